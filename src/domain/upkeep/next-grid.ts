import { ordinalOf } from './calendar.ts';
import {
  CALENDAR,
  crossedDriver,
  type DonePoint,
  type Grid,
  type Measured,
  type MeterUse,
  measureTask,
} from './measure-task.ts';
import { type Exposure, severitySpans } from './severity.ts';
import type { TaskRule } from './task-rule.ts';

export const MAX_DONES = 5_000;

/** All intervals start at the done point. */
export function newGrid(done: DonePoint): Grid {
  return {
    done,
    carry: {},
    calendar: { anchorDay: done.day, monthsFromAnchor: 0, carry: 0 },
  };
}

/** What one "done" did: `kept` is the measure whose grid went on, null when all started anew. */
export interface GridStep {
  done: DonePoint;
  where: 'first' | 'before_window' | 'in_window' | 'after_window';
  kept: string | null;
  grid: Grid;
}

/**
 * "Done" inside the window: the driving measure keeps its grid (next full = previous full +
 * interval), all others start at the done point. Outside the window all start there. The ordinary
 * window counts: a task past its limit re-bases, even where a deferral covered it.
 *
 * A statutory task always starts anew. 49 CFR 396.17(c) asks for an inspection "within the
 * preceding 12 months": keeping the grid of one done early would make the next one late.
 *
 * `use` runs from the last done to this one, the last day ending at the done instant.
 */
export function nextGrid(
  rule: TaskRule,
  grid: Grid,
  done: DonePoint,
  use: Readonly<Record<string, MeterUse>>,
  exposures: readonly Exposure[],
): GridStep {
  const from = ordinalOf(grid.done.day);
  const on = ordinalOf(done.day);
  const spans = severitySpans(rule.severity, exposures, Math.min(from, on), Math.max(from, on));
  const measures = measureTask(rule, grid, use, on, spans);
  const fresh = newGrid(done);
  if (measures.some((m) => m.beyondOn !== null)) {
    return { done, where: 'after_window', kept: null, grid: fresh };
  }
  const driver = crossedDriver(measures);
  if (!driver) return { done, where: 'before_window', kept: null, grid: fresh };
  if (rule.statutory) return { done, where: 'in_window', kept: null, grid: fresh };
  const kept = measures.find((m) => m.measure === driver.by)!;
  return { done, where: 'in_window', kept: kept.measure, grid: keepGrid(rule, grid, fresh, kept) };
}

function keepGrid(rule: TaskRule, grid: Grid, fresh: Grid, kept: Measured): Grid {
  const carry = kept.used - kept.full;
  if (kept.measure !== CALENDAR) return { ...fresh, carry: { [kept.measure]: carry } };
  if (!rule.calendar || 'days' in rule.calendar) {
    return { ...fresh, calendar: { ...fresh.calendar, carry } };
  }
  const { anchorDay, monthsFromAnchor } = grid.calendar;
  const months = monthsFromAnchor + rule.calendar.months;
  return { ...fresh, calendar: { anchorDay, monthsFromAnchor: months, carry } };
}

/** A recorded "done"; `voided` once a person has declared it wrong. */
export interface DoneRecord extends DonePoint {
  voided: boolean;
}

/**
 * The grid after a whole history, in the order in which things were done, whatever the order in
 * which they were recorded. Records with the same id are one record, the earliest,
 * voided if any of them is.
 * Two at one instant go in order of id.
 *
 * `ruleAt` gives the rule in force at a done, so that a later pattern never changes what an
 * earlier "done" did. `useBetween` gives the use from one done to the next.
 * Throws RangeError beyond `MAX_DONES` records.
 */
export function replayDone(
  history: readonly DoneRecord[],
  ruleAt: (done: DonePoint) => TaskRule,
  useBetween: (from: DonePoint, to: DonePoint) => Readonly<Record<string, MeterUse>>,
  exposures: readonly Exposure[],
): { grid: Grid | null; steps: GridStep[] } {
  if (history.length > MAX_DONES) throw new RangeError(`more than ${MAX_DONES} dones of one task`);
  const steps: GridStep[] = [];
  let grid: Grid | null = null;
  for (const done of inOrder(history)) {
    const step: GridStep = grid
      ? nextGrid(ruleAt(done), grid, done, useBetween(grid.done, done), exposures)
      : { done, where: 'first', kept: null, grid: newGrid(done) };
    steps.push(step);
    grid = step.grid;
  }
  return { grid, steps };
}

function inOrder(history: readonly DoneRecord[]): DonePoint[] {
  const voided = new Set(history.filter((record) => record.voided).map((record) => record.id));
  const standing = new Map<string, DonePoint>();
  for (const { id, day, atMs, estimated } of history) {
    const known = standing.get(id);
    if (voided.has(id) || (known && known.atMs <= atMs)) continue;
    standing.set(id, { id, day, atMs, estimated });
  }
  return [...standing.values()].sort(
    (a, b) => a.atMs - b.atMs || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
}
