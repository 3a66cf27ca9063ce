import { dayOf, ordinalOf } from '../../../src/domain/upkeep/calendar.ts';
import type { DonePoint, MeterUse } from '../../../src/domain/upkeep/measure-task.ts';
import { newGrid } from '../../../src/domain/upkeep/next-grid.ts';
import type { MeterSource } from '../../../src/domain/upkeep/silence.ts';
import type { TaskRule } from '../../../src/domain/upkeep/task-rule.ts';
import type { TaskInput } from '../../../src/domain/upkeep/task-working.ts';
import { startOfLocalDay } from '../../../src/domain/usage/local-day.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';

export const ZONE = 'America/Chicago';
export const HOUR = 3600;
export const DAY_MS = 86_400_000;

/** 50 PTO hours, 150 lifts or 30 days; overrun takes the wheel lift away. */
export function rule(changes: Partial<TaskRule> = {}): TaskRule {
  return {
    key: 'grease_all',
    name: 'Grease all fittings',
    points: [],
    meters: [
      { meter: 'pto_hours', grains: 50 * HOUR },
      { meter: 'lift_cycles', grains: 150 },
    ],
    calendar: { days: 30 },
    opensThousandths: 900,
    limitThousandths: 1100,
    statutory: false,
    overrunEffect: 'no',
    functions: ['wheel_lift'],
    mayExtend: 'lead',
    severity: {},
    work: null,
    cautions: [],
    ...changes,
  };
}

/** Noon of a yard day. */
export function noon(day: string): number {
  return startOfLocalDay(day, ZONE) + 12 * 3_600_000;
}

export function done(day: string, changes: Partial<DonePoint> = {}): DonePoint {
  return { id: `done-${day}`, day, atMs: noon(day), estimated: false, ...changes };
}

export function daysAfter(day: string, days: number): string {
  return dayOf(ordinalOf(day) + days);
}

/** The same grains on each of `days` days after `from`. */
export function evenUse(from: string, days: number, grains: number): MeterUse {
  const list = Array.from({ length: days }, (_, i) => ({ day: daysAfter(from, i + 1), grains }));
  return { afterDone: 0, days: list };
}

/** All of it on one day. */
export function useOn(day: string, grains: number): MeterUse {
  return { afterDone: 0, days: [{ day, grains }] };
}

export function fresh(nowMs: number): MeterSource {
  return {
    kind: 'counting',
    knownUntilMs: nowMs - 60_000,
    staleAtMs: nowMs + 3 * DAY_MS,
    staleReason: 'no_contact',
  };
}

export function staleSince(atMs: number): MeterSource {
  return {
    kind: 'counting',
    knownUntilMs: atMs,
    staleAtMs: atMs + DAY_MS,
    staleReason: 'no_contact',
  };
}

/** Greased on 2026-10-01, now noon of `today`; both meters fresh and unused unless changed. */
export function input(today: string, changes: Partial<TaskInput> = {}): TaskInput {
  const nowMs = noon(today);
  return {
    rule: rule(),
    meters: builtInMeters,
    grid: newGrid(done('2026-10-01')),
    use: {},
    sources: { pto_hours: fresh(nowMs), lift_cycles: fresh(nowMs) },
    rates: {
      pto_hours: { grains: 28 * HOUR, days: 28 },
      lift_cycles: { grains: 28 * 3, days: 28 },
    },
    exposures: [],
    deferral: null,
    called: null,
    today,
    nowMs,
    zone: ZONE,
    ...changes,
  };
}
