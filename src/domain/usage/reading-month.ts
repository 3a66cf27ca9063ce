/** Months of arrival, in UTC: what readings are kept in, made ahead, and put away by. */

const utcMonth = (ms: number): number => {
  const date = new Date(ms);
  return date.getUTCFullYear() * 12 + date.getUTCMonth();
};

const startOf = (month: number): number => Date.UTC(Math.floor(month / 12), month % 12, 1);

/** The first instant of the month that follows the one of an instant. */
export const nextMonthMs = (ms: number): number => startOf(utcMonth(ms) + 1);

/**
 * The first instant of the oldest month that is kept whole when so many months before the present
 * one are: what arrived before it may be put away.
 */
export const keptFromMs = (nowMs: number, keepMonths: number): number =>
  startOf(utcMonth(nowMs) - keepMonths);

/** From when on a month (its first instant) is to be put away. */
export const putAwayFromMs = (monthMs: number, keepMonths: number): number =>
  startOf(utcMonth(monthMs) + 1 + keepMonths);

/** The months from `fromMs` to `toMs`, as first instants, that are not among those there. */
export function missingMonths(there: readonly number[], fromMs: number, toMs: number): number[] {
  const missing: number[] = [];
  for (let month = utcMonth(fromMs); startOf(month) <= toMs; month += 1) {
    if (!there.includes(startOf(month))) missing.push(startOf(month));
  }
  return missing;
}
