import { CALENDAR, calendarDays, type Grid, type Measured } from './measure-task.ts';
import { ceilDiv, firstDayReaching, floorDiv, lastDayWithin, type Span } from './severity.ts';
import type { TaskRule } from './task-rule.ts';

/** Use of the last days: `grains` in all over `days` days, normally 28. */
export interface MeanRate {
  grains: number;
  days: number;
}

export const FORECAST_METHOD = 'mean_rate_28d';
/** Ten years. What comes later is "beyond the horizon", and looked at again by then. */
export const HORIZON_DAYS = 3653;

/** Why a level has no date. */
export type NoDay = 'rate_unknown' | 'rate_zero' | 'beyond_horizon';

/**
 * The days (ordinals) still to come: the first day at or over opens, at or over full, and the last
 * day not beyond limit. Null for levels already crossed, and where `noDay` says why.
 */
export interface Projection {
  measure: string;
  opensOn: number | null;
  fullOn: number | null;
  lastOn: number | null;
  noDay: NoDay | null;
}

/** The calendar's own days: exact, no rate needed. */
export function projectCalendar(
  rule: TaskRule,
  grid: Grid,
  measured: Measured,
  spans: readonly Span[],
): Projection {
  const days = calendarDays(rule, grid, spans)!;
  return {
    measure: CALENDAR,
    opensOn: measured.openedOn === null ? days.opensOn : null,
    fullOn: measured.fullOn === null ? days.fullOn : null,
    lastOn: measured.beyondOn === null ? days.lastOn : null,
    noDay: days.lastOn === null ? 'beyond_horizon' : null,
  };
}

/**
 * A meter at its mean rate from `start` on, the day to which its use is known. Severities that are
 * known to come count. Throws RangeError for a rate that is not whole grains over 1 to 366 days.
 */
export function projectMeter(
  measured: Measured,
  rate: MeanRate | null,
  start: number,
  spans: readonly Span[],
): Projection {
  const none = { measure: measured.measure, opensOn: null, fullOn: null, lastOn: null };
  if (!rate) return { ...none, noDay: 'rate_unknown' };
  const { grains, days } = rate;
  const whole = Number.isSafeInteger(grains) && Number.isSafeInteger(days);
  if (!whole || days < 1 || days > 366) {
    throw new RangeError(`not a rate: ${grains} grains in ${days} days`);
  }
  if (grains <= 0) return { ...none, noDay: 'rate_zero' };
  const reach = (level: number) =>
    level <= measured.used
      ? null
      : firstDayReaching(spans, start, ceilDiv((level - measured.used) * days, grains));
  const within = floorDiv(Math.max(0, measured.limit - measured.used) * days, grains);
  const lastOn = measured.beyondOn === null ? lastDayWithin(spans, start, within) : null;
  const projection = {
    measure: measured.measure,
    opensOn: reach(measured.opens),
    fullOn: reach(measured.full),
    lastOn,
  };
  const beyond = lastOn === null && measured.beyondOn === null;
  return { ...projection, noDay: beyond ? 'beyond_horizon' : null };
}
