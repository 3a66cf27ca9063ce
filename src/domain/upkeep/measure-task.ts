import { addMonths } from '../usage/local-day.ts';
import { type Day, dayOf, ordinalOf } from './calendar.ts';
import { factorOn, firstDayReaching, lastDayWithin, type Span, weighDays } from './severity.ts';
import type { TaskRule } from './task-rule.ts';

/**
 * How much of each interval is used. One unit everywhere: thousandths of a grain for a meter,
 * thousandths of a yard day for the calendar, so that severity factors and window edges stay
 * integers. Every comparison is between integers.
 */

/** The measure of a task's days or months, beside its meters. */
export const CALENDAR = 'calendar';

/** When a task was done: its instant, and the yard day of that instant. */
export interface DonePoint {
  id: string;
  day: Day;
  atMs: number;
  /** Given by a person for a unit that joined, not recorded here. */
  estimated: boolean;
}

/**
 * Where the running intervals start, as an offset against the use at done: `carry` counts as used
 * already. It is 0 after a re-base, negative when a task done early kept its grid, positive when
 * one done late did. The calendar starts at `anchorDay` + `monthsFromAnchor`; months are added to
 * the anchor, not to one another, so that the 31st does not become the 28th for good.
 */
export interface Grid {
  done: DonePoint;
  /** Thousandths of a grain by meter; a meter left out carries 0. */
  carry: Readonly<Record<string, number>>;
  calendar: {
    anchorDay: Day;
    monthsFromAnchor: number;
    /** Thousandths of a day. */
    carry: number;
  };
}

/**
 * Use of one meter since the task was done, in integer grains. A day may be negative where an
 * adjustment made it so.
 */
export interface MeterUse {
  /** On the day it was done, after it was done. */
  afterDone: number;
  /** Later days, in rising order. Days beyond the day of the assessment count as that day. */
  days: readonly { day: Day; grains: number }[];
}

export const NO_USE: MeterUse = { afterDone: 0, days: [] };

/** The levels of one measure, in its thousandths. */
export interface Levels {
  opens: number;
  full: number;
  /** The last value inside. */
  limit: number;
}

export interface Measured extends Levels {
  /** A meter, or 'calendar'. */
  measure: string;
  used: number;
  /** The days (ordinals) on which used came to opens, came to full, and went beyond limit. */
  openedOn: number | null;
  fullOn: number | null;
  beyondOn: number | null;
}

export function levelsOf(rule: TaskRule, interval: number): Levels {
  return {
    opens: interval * rule.opensThousandths,
    full: interval * 1000,
    limit: interval * rule.limitThousandths,
  };
}

/** Walks the days of use since done. RangeError for use that is not whole or not in order. */
export function measureMeter(
  rule: TaskRule,
  meter: { meter: string; grains: number },
  grid: Grid,
  use: MeterUse,
  asOf: number,
  spans: readonly Span[],
): Measured {
  const doneOn = ordinalOf(grid.done.day);
  const levels = levelsOf(rule, meter.grains);
  const opened = newCrossing(levels.opens);
  const full = newCrossing(levels.full);
  const beyond = newCrossing(levels.limit + 1);
  let used = grid.carry[meter.meter] ?? 0;
  const count = (day: number, grains: number) => {
    used += grains * factorOn(spans, day);
    for (const crossing of [opened, full, beyond]) passDay(crossing, used, day);
  };
  count(doneOn, wholeGrains(use.afterDone));
  let last = doneOn;
  for (const { day, grains } of use.days) {
    const ordinal = ordinalOf(day);
    if (ordinal <= last) throw new RangeError(`days of use out of order at ${day}`);
    last = ordinal;
    count(Math.max(doneOn, Math.min(ordinal, asOf)), wholeGrains(grains));
  }
  return {
    measure: meter.meter,
    used,
    ...levels,
    openedOn: opened.day,
    fullOn: full.day,
    beyondOn: beyond.day,
  };
}

interface Crossing {
  level: number;
  day: number | null;
}

function newCrossing(level: number): Crossing {
  return { level, day: null };
}

/** A correction that takes use back below a level also takes back its crossing. */
function passDay(crossing: Crossing, used: number, day: number): void {
  if (used < crossing.level) crossing.day = null;
  else crossing.day ??= day;
}

function wholeGrains(grains: number): number {
  if (!Number.isSafeInteger(grains)) throw new RangeError(`use is not whole grains: ${grains}`);
  return grains;
}

/** Unweighted grains since done. */
export function grainsSince(use: MeterUse): number {
  return use.days.reduce((sum, { grains }) => sum + grains, use.afterDone);
}

/** The first day on which the unweighted grains since done were more than `grains`. */
export function dayBeyondGrains(
  use: MeterUse,
  doneOn: number,
  grains: number,
  asOf: number,
): number | null {
  const crossing = newCrossing(grains + 1);
  let sum = use.afterDone;
  passDay(crossing, sum, doneOn);
  for (const entry of use.days) {
    sum += entry.grains;
    passDay(crossing, sum, Math.max(doneOn, Math.min(ordinalOf(entry.day), asOf)));
  }
  return crossing.day;
}

/** The length of the running calendar interval in days, or null for a task without one. */
export function calendarLength(rule: TaskRule, grid: Grid): number | null {
  if (!rule.calendar) return null;
  if ('days' in rule.calendar) return rule.calendar.days;
  const { anchorDay, monthsFromAnchor } = grid.calendar;
  const base = addMonths(anchorDay, monthsFromAnchor);
  const full = addMonths(anchorDay, monthsFromAnchor + rule.calendar.months);
  return ordinalOf(full) - ordinalOf(base);
}

/**
 * The calendar's measure and the days on which it comes to its levels, whether past or still to
 * come: opens is the first day at or over 0.9 of the interval (rounded up), limit the last day not
 * over 1.1 (rounded down), so that no day outside the exact window counts as inside. Days are null
 * beyond the spans.
 */
export function calendarDays(
  rule: TaskRule,
  grid: Grid,
  spans: readonly Span[],
): (Levels & { opensOn: number | null; fullOn: number | null; lastOn: number | null }) | null {
  const length = calendarLength(rule, grid);
  if (length === null) return null;
  const levels = levelsOf(rule, length);
  const doneOn = ordinalOf(grid.done.day);
  const { carry } = grid.calendar;
  return {
    ...levels,
    opensOn: firstDayReaching(spans, doneOn, levels.opens - carry),
    fullOn: firstDayReaching(spans, doneOn, levels.full - carry),
    lastOn: lastDayWithin(spans, doneOn, levels.limit - carry),
  };
}

export function measureCalendar(
  rule: TaskRule,
  grid: Grid,
  asOf: number,
  spans: readonly Span[],
): Measured | null {
  const days = calendarDays(rule, grid, spans);
  if (!days) return null;
  const past = (day: number | null) => (day !== null && day <= asOf ? day : null);
  return {
    measure: CALENDAR,
    used: grid.calendar.carry + weighDays(spans, ordinalOf(grid.done.day), asOf),
    opens: days.opens,
    full: days.full,
    limit: days.limit,
    openedOn: past(days.opensOn),
    fullOn: past(days.fullOn),
    beyondOn: days.lastOn === null ? null : past(days.lastOn + 1),
  };
}

/** Every measure of a task: the calendar first, then its meters in the order of the rule. */
export function measureTask(
  rule: TaskRule,
  grid: Grid,
  use: Readonly<Record<string, MeterUse>>,
  asOf: number,
  spans: readonly Span[],
): Measured[] {
  const calendar = measureCalendar(rule, grid, asOf, spans);
  const meters = rule.meters.map((meter) =>
    measureMeter(rule, meter, grid, use[meter.meter] ?? NO_USE, asOf, spans),
  );
  return calendar ? [calendar, ...meters] : meters;
}

/** Of some measures, the one with the earliest day; ties go to the first (the calendar: a day
 * begins before anything is used on it). */
export function earliest<T extends { measure: string }>(
  measures: readonly T[],
  dayIn: (measure: T) => number | null,
): { by: string; day: number } | null {
  let best: { by: string; day: number } | null = null;
  for (const measure of measures) {
    const day = dayIn(measure);
    if (day !== null && (!best || day < best.day)) best = { by: measure.measure, day };
  }
  return best;
}

/** Of the crossings already made the furthest level's earliest: the measure that gave it drives. */
export function crossedDriver(measures: readonly Measured[]): { by: string; day: number } | null {
  return (
    earliest(measures, (m) => m.beyondOn) ??
    earliest(measures, (m) => m.fullOn) ??
    earliest(measures, (m) => m.openedOn)
  );
}

export function formatDay(ordinal: number | null): Day | null {
  return ordinal === null ? null : dayOf(ordinal);
}
