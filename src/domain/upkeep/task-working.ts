import { localDay } from '../usage/local-day.ts';
import type { Meter } from '../usage/meter.ts';
import { type Day, ordinalOf } from './calendar.ts';
import { type Deferral, type DeferralStanding, lastGrainsOf, standingOf } from './deferral.ts';
import {
  CALENDAR,
  earliest,
  type Grid,
  grainsSince,
  type Measured,
  type MeterUse,
  measureTask,
  NO_USE,
} from './measure-task.ts';
import {
  HORIZON_DAYS,
  type MeanRate,
  type Projection,
  projectCalendar,
  projectMeter,
} from './project-task.ts';
import { type Exposure, type Span, severitySpans } from './severity.ts';
import { type MeterSource, type Silent, type SpanClock, silenceOf, spanClock } from './silence.ts';
import type { OpenCalls } from './task-call.ts';
import type { TaskRule } from './task-rule.ts';

export type TaskStatus = 'ahead' | 'in_window' | 'overrun' | 'unknown';

export interface TaskInput {
  rule: TaskRule;
  /** At least the meters of the rule. */
  meters: readonly Meter[];
  /** From `replayDone`; null when nothing says when the task was last done. */
  grid: Grid | null;
  /** Since the last done, by meter; a meter left out was not used. */
  use: Readonly<Record<string, MeterUse>>;
  /** By meter; a meter left out has no source. */
  sources: Readonly<Record<string, MeterSource>>;
  /** Mean use of the last 28 days by meter; left out or null: unknown. */
  rates: Readonly<Record<string, MeanRate | null>>;
  exposures: readonly Exposure[];
  deferral: Deferral | null;
  /** Calls that it was not done since. */
  called: OpenCalls | null;
  /** The yard's day at `nowMs`. */
  today: Day;
  nowMs: number;
  /** The yard's IANA time zone. */
  zone: string;
}

/** What the parts of an assessment share. Days are ordinals. */
export interface Working {
  input: TaskInput;
  grid: Grid;
  today: number;
  spans: Span[];
  clock: SpanClock;
  measures: Measured[];
  projections: Projection[];
  silents: Silent[];
  standing: DeferralStanding | null;
  overrunOn: number | null;
  /** The last day that an active deferral covers. */
  deferredTo: number | null;
  knownStatus: TaskStatus;
  status: TaskStatus;
  unknownBecause: string[];
}

/** Throws RangeError as `assessTask` does. */
export function work(input: TaskInput, grid: Grid): Working {
  const { rule, use, deferral } = input;
  const today = ordinalOf(input.today);
  const doneOn = ordinalOf(grid.done.day);
  const from = Math.min(doneOn, today);
  const spans = severitySpans(rule.severity, input.exposures, from, today + HORIZON_DAYS);
  const clock = spanClock(spans, input.zone);
  const measures = measureTask(rule, grid, use, today, spans);
  const silents = silentMeters(input, grid, measures, clock);
  const standing = deferral ? standingOf(rule, deferral, grid, use, today) : null;
  const crossed = earliest(measures, (m) => m.beyondOn);
  const overrunOn = crossed && overrunDay(crossed.day, standing);
  const knownStatus =
    overrunOn !== null
      ? 'overrun'
      : measures.some((m) => m.openedOn !== null)
        ? 'in_window'
        : 'ahead';
  const w: Working = {
    input,
    grid,
    today,
    spans,
    clock,
    measures,
    projections: [],
    silents,
    standing,
    overrunOn,
    deferredTo: null,
    knownStatus,
    status: knownStatus,
    unknownBecause: [],
  };
  w.projections = measures.map((m) => project(w, m));
  if (deferral && standing?.state === 'active') w.deferredTo = deferralLastDay(w, deferral);
  w.unknownBecause = couldChange(w);
  if (w.unknownBecause.length > 0) w.status = 'unknown';
  return w;
}

/** A deferral moves the overrun to its own end, never to an earlier day. */
function overrunDay(crossedOn: number, standing: DeferralStanding | null): number | null {
  if (standing?.state === 'active') return null;
  return standing?.state === 'ended' ? Math.max(crossedOn, standing.endedOn) : crossedOn;
}

function silentMeters(
  input: TaskInput,
  grid: Grid,
  measures: readonly Measured[],
  clock: SpanClock,
): Silent[] {
  const silents: Silent[] = [];
  for (const { meter } of input.rule.meters) {
    const facts = input.meters.find((m) => m.name === meter);
    if (!facts) throw new RangeError(`no facts given for the meter ${meter}`);
    const silent = silenceOf(
      facts,
      input.sources[meter] ?? { kind: 'none' },
      measures.find((m) => m.measure === meter)!,
      grainsSince(input.use[meter] ?? NO_USE),
      grid.carry[meter] ?? 0,
      grid.done.atMs,
      input.nowMs,
      clock,
    );
    if (silent) silents.push(silent);
  }
  return silents;
}

/** What a silent meter could do to the answer, were it used as fast as possible. */
export function couldBe(w: Working, silent: Silent): 'nothing' | 'opened' | 'beyond_limit' {
  const measured = w.measures.find((m) => m.measure === silent.meter)!;
  if (w.knownStatus === 'overrun') return 'nothing';
  const { deferral } = w.input;
  const active = w.standing?.state === 'active' ? deferral : null;
  if (active && endsDeferral(active, silent) && w.measures.some((m) => couldPass(w, m))) {
    return 'beyond_limit';
  }
  const held = active && !w.silents.some((s) => endsDeferral(active, s));
  if (silent.most > measured.limit && !held) return 'beyond_limit';
  return silent.most >= measured.opens && w.knownStatus === 'ahead' ? 'opened' : 'nothing';
}

function endsDeferral(deferral: Deferral, silent: Silent): boolean {
  const last = lastGrainsOf(deferral, silent.meter);
  return last !== null && silent.mostGrains > last;
}

function couldPass(w: Working, measured: Measured): boolean {
  const most = w.silents.find((s) => s.meter === measured.measure)?.most ?? measured.used;
  return measured.beyondOn !== null || most > measured.limit;
}

function couldChange(w: Working): string[] {
  return w.silents.filter((s) => couldBe(w, s) !== 'nothing').map((s) => s.meter);
}

function project(w: Working, measured: Measured): Projection {
  const { rule, rates, zone } = w.input;
  if (measured.measure === CALENDAR) return projectCalendar(rule, w.grid, measured, w.spans);
  const silent = w.silents.find((s) => s.meter === measured.measure);
  const known = silent ? ordinalOf(localDay(silent.sinceMs, zone)) : w.today;
  const start = Math.min(known, w.today);
  return projectMeter(measured, rates[measured.measure] ?? null, start, w.spans);
}

/** The last day that an active deferral covers: its date, or its use at the mean rate. */
function deferralLastDay(w: Working, deferral: Deferral): number {
  const { use, rates, zone } = w.input;
  let last = ordinalOf(deferral.untilDay);
  for (const meter of Object.keys(deferral.untilUse)) {
    const rate = rates[meter];
    if (!rate || rate.grains <= 0) continue;
    const left = Math.max(0, lastGrainsOf(deferral, meter)! - grainsSince(use[meter] ?? NO_USE));
    const silent = w.silents.find((s) => s.meter === meter);
    const start = silent ? ordinalOf(localDay(silent.sinceMs, zone)) : w.today;
    const product = left * rate.days;
    const days = (product - (product % rate.grains)) / rate.grains;
    last = Math.min(last, start + days);
  }
  return Math.max(last, w.today);
}
