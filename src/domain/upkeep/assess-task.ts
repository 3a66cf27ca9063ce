import { localDay } from '../usage/local-day.ts';
import { type Day, ordinalOf } from './calendar.ts';
import type { DeferralStanding } from './deferral.ts';
import { explain } from './explain-task.ts';
import {
  CALENDAR,
  crossedDriver,
  earliest,
  formatDay,
  type Grid,
  type Measured,
} from './measure-task.ts';
import { nextCheck } from './next-check.ts';
import { FORECAST_METHOD, type NoDay, type Projection } from './project-task.ts';
import type { UnitFunction } from './service-point.ts';
import { type CallCause, calledDue } from './task-call.ts';
import type { OverrunEffect } from './task-rule.ts';
import { type TaskInput, type TaskStatus, type Working, work } from './task-working.ts';
import type { Reason } from './upkeep-reason.ts';

/** A level of one measure, in its thousandths. `left` is negative once the level is passed. */
export interface LevelAssessment {
  at: number;
  left: number;
  /** Past: the day it was crossed. To come: for opens and full the first day, for limit the last
   * day inside. A silent meter's may lie before today: expected there, not confirmed. */
  day: Day | null;
  past: boolean;
}

export interface MeasureAssessment {
  /** A meter (thousandths of a grain) or 'calendar' (thousandths of a day). */
  measure: string;
  used: number;
  /** Most that it can be now; more than `used` only while nobody hears from the meter. */
  most: number;
  known: 'calendar' | 'known' | 'stale' | 'none';
  /** From when on its use is not known. */
  silentSinceMs: number | null;
  opens: LevelAssessment;
  full: LevelAssessment;
  limit: LevelAssessment;
  noDay: NoDay | null;
}

/**
 * The whole task's date for a level, and the measure that gives it ('deferral' for its end, 'call'
 * where something called it due).
 */
export interface Milestone {
  day: Day | null;
  past: boolean;
  by: string | null;
  noDay: NoDay | null;
}

export interface TaskAssessment {
  task: string;
  status: TaskStatus;
  /** What the known use alone says: differs from `status` only when that is `unknown`. */
  knownStatus: TaskStatus;
  /** The measure that gives the status: see `crossedDriver`, else the earliest projected full. */
  driver: string | null;
  opens: Milestone;
  full: Milestone;
  limit: Milestone;
  overrunSince: Day | null;
  /** What being overrun does to readiness; null while it is not. */
  effect: { effect: OverrunEffect; functions: UnitFunction[] } | null;
  measures: MeasureAssessment[];
  /** Silent meters that could change the answer. */
  unknownBecause: string[];
  /** `partial`: meters that the dates leave out. */
  forecast: { method: typeof FORECAST_METHOD; partial: string[] };
  deferral: (DeferralStanding & { approver: string; restriction: string | null }) | null;
  /** What called it due now, and was not answered yet. */
  called: { day: Day; cause: CallCause; what: string | null; calls: number } | null;
  reasons: (Reason & { text: string })[];
  /** When calendar, projected date, silence or deferral next change something; null: never. */
  nextCheckAtMs: number | null;
  nextCheckDay: Day | null;
}

/**
 * One upkeep task of one asset at one moment. Pure. Whichever measure comes first gives the
 * answer; the window's edges belong inside. `overrun` wins over `unknown`, and it is `unknown` only
 * when silent meters, used as fast as they physically can be, would make the answer another. A task
 * that is called due is in its window at least.
 * Throws RangeError for malformed days, use that is not whole grains, or a meter without its facts.
 */
export function assessTask(input: TaskInput): TaskAssessment {
  const { grid, called, zone } = input;
  const plain = grid ? byItsMeasures(input, grid) : neverDone(input);
  return called ? calledDue(plain, called, zone) : plain;
}

function byItsMeasures(input: TaskInput, grid: Grid): TaskAssessment {
  const { rule } = input;
  const w = work(input, grid);
  const check = nextCheck(w);
  const driver = driverOf(w);
  return {
    task: rule.key,
    status: w.status,
    knownStatus: w.knownStatus,
    driver,
    opens: milestone(
      w,
      (m) => m.openedOn,
      (p) => p.opensOn,
    ),
    full: milestone(
      w,
      (m) => m.fullOn,
      (p) => p.fullOn,
    ),
    limit: limitMilestone(w),
    overrunSince: formatDay(w.overrunOn),
    effect: effectOf(w),
    measures: w.measures.map((m) => assessMeasure(w, m)),
    unknownBecause: w.unknownBecause,
    forecast: { method: FORECAST_METHOD, partial: partialOf(w) },
    deferral: deferralOf(w),
    called: null,
    reasons: explain(w, driver, partialOf(w)),
    nextCheckAtMs: check,
    nextCheckDay: check === null ? null : localDay(check, input.zone),
  };
}

function assessMeasure(w: Working, m: Measured): MeasureAssessment {
  const silent = w.silents.find((s) => s.meter === m.measure);
  const p = w.projections.find((q) => q.measure === m.measure)!;
  const level = (at: number, past: number | null, toCome: number | null): LevelAssessment => ({
    at,
    left: at - m.used,
    day: formatDay(past ?? toCome),
    past: past !== null,
  });
  return {
    measure: m.measure,
    used: m.used,
    most: silent?.most ?? m.used,
    known: m.measure === CALENDAR ? 'calendar' : (silent?.why ?? 'known'),
    silentSinceMs: silent?.sinceMs ?? null,
    opens: level(m.opens, m.openedOn, p.opensOn),
    full: level(m.full, m.fullOn, p.fullOn),
    limit: level(m.limit, m.beyondOn, p.lastOn),
    noDay: p.noDay,
  };
}

function milestone(
  w: Working,
  pastIn: (m: Measured) => number | null,
  toComeIn: (p: Projection) => number | null,
): Milestone {
  const past = earliest(w.measures, pastIn);
  const found = past ?? earliest(w.projections, toComeIn);
  if (found) return { day: formatDay(found.day), past: past !== null, by: found.by, noDay: null };
  const noDay = w.projections.find((p) => p.noDay !== null)?.noDay ?? null;
  return { day: null, past: false, by: null, noDay };
}

/** With a deferral in force the limit is the later of the ordinary limit and the deferral's end. */
function limitMilestone(w: Working): Milestone {
  const ordinary = milestone(
    w,
    (m) => m.beyondOn,
    (p) => p.lastOn,
  );
  if (w.standing?.state === 'ended' && w.overrunOn !== null && ordinary.past) {
    const by = w.overrunOn === w.standing.endedOn ? 'deferral' : ordinary.by;
    return { ...ordinary, day: formatDay(w.overrunOn), by };
  }
  const end = w.deferredTo;
  if (end === null || ordinary.day === null) return ordinary;
  if (!ordinary.past && ordinalOf(ordinary.day) >= end) return ordinary;
  return { day: formatDay(end), past: false, by: 'deferral', noDay: null };
}

function driverOf(w: Working): string | null {
  const crossed = crossedDriver(w.measures) ?? earliest(w.projections, (p) => p.fullOn);
  if (crossed) return crossed.by;
  // No date at all: the measure with the greatest share used, compared without a quotient.
  let best: Measured | null = null;
  for (const m of w.measures) {
    if (!best || BigInt(m.used) * BigInt(best.full) > BigInt(best.used) * BigInt(m.full)) best = m;
  }
  return best?.measure ?? null;
}

function effectOf(w: Working): TaskAssessment['effect'] {
  if (w.status !== 'overrun') return null;
  const { overrunEffect, functions } = w.input.rule;
  return { effect: overrunEffect, functions };
}

/** A meter at rest is not left out: it is known to bring nothing. */
function partialOf(w: Working): string[] {
  const silent = new Set(w.silents.map((s) => s.meter));
  return w.projections
    .filter((p) => silent.has(p.measure) || p.noDay === 'rate_unknown')
    .map((p) => p.measure);
}

function deferralOf(w: Working): TaskAssessment['deferral'] {
  if (!w.standing || !w.input.deferral) return null;
  const { approver, restriction } = w.input.deferral;
  return { ...w.standing, approver, restriction };
}

function neverDone(input: TaskInput): TaskAssessment {
  const none: Milestone = { day: null, past: false, by: null, noDay: null };
  return {
    task: input.rule.key,
    status: 'unknown',
    knownStatus: 'unknown',
    driver: null,
    opens: none,
    full: none,
    limit: none,
    overrunSince: null,
    effect: null,
    measures: [],
    unknownBecause: [],
    forecast: { method: FORECAST_METHOD, partial: [] },
    deferral: null,
    called: null,
    reasons: [{ code: 'never_done', text: 'Nothing says when it was last done.' }],
    nextCheckAtMs: null,
    nextCheckDay: null,
  };
}
