/**
 * PTO hours within engine hours. A PTO is driven by the engine, so over any stretch of days its
 * hours cannot rise by more than the engine's; their totals say nothing, because controllers are
 * replaced. Common practice, no source. Pure.
 */

/** Use of one meter by day, seconds, oldest first; days without use are left out. */
export type UseByDay = readonly (readonly [day: string, seconds: number])[];

export interface PtoBeyondEngine {
  /** The first and last day compared. */
  fromDay: string;
  toDay: string;
  ptoSeconds: number;
  engineSeconds: number;
}

/** Readings of the two are not of the same moments, and each counts in steps of three minutes. */
const slackSeconds = 1_800;

const rises = (days: UseByDay, from: string, to: string) =>
  days.reduce((sum, [day, s]) => (day >= from && day <= to ? sum + s : sum), 0);

/**
 * Whether the PTO's hours rose by more than the engine's, over the days after `afterDay` that both
 * meters had come beyond; null when they did not, or there is no such day.
 */
export function ptoBeyondEngine(
  pto: UseByDay,
  engine: UseByDay,
  afterDay: string,
): PtoBeyondEngine | null {
  const ends = [pto.at(-1)?.[0] ?? '', engine.at(-1)?.[0] ?? ''].sort();
  const days = [...pto, ...engine]
    .map(([day]) => day)
    .filter((day) => day > afterDay && day < (ends[0] as string))
    .sort();
  const [fromDay, toDay] = [days[0], days.at(-1)];
  if (fromDay === undefined || toDay === undefined) return null;
  const ptoSeconds = rises(pto, fromDay, toDay);
  const engineSeconds = rises(engine, fromDay, toDay);
  if (ptoSeconds <= engineSeconds + slackSeconds) return null;
  return { fromDay, toDay, ptoSeconds, engineSeconds };
}
