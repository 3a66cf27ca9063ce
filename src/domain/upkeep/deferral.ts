import { type Day, ordinalOf } from './calendar.ts';
import { dayBeyondGrains, type Grid, type MeterUse, NO_USE } from './measure-task.ts';
import type { TaskRule } from './task-rule.ts';

/**
 * Leave to go past the limit until a day and an amount of use, whichever comes first; both edges
 * belong inside. It covers one interval: doing the task spends it.
 */
export interface Deferral {
  fromAtMs: number;
  untilDay: Day;
  /** By meter, the grains that may be used after it began. Severity does not weigh them. */
  untilUse: Readonly<Record<string, number>>;
  /** By meter, the grains used since the task was last done, when the deferral began. */
  usedBefore: Readonly<Record<string, number>>;
  approver: string;
  /** What the unit may not do meanwhile, in words. */
  restriction: string | null;
}

export type DeferralRefusal = 'statutory' | 'nobody_may' | 'role' | 'needs_use' | 'other_meter';

/** Why this deferral may not be granted, by a person with these roles; null when it may. */
export function refuseDeferral(
  rule: TaskRule,
  untilUse: Deferral['untilUse'],
  roles: readonly string[],
): DeferralRefusal | null {
  const refusal = refuseForTask(rule, untilUse);
  if (refusal) return refusal;
  const may = roles.includes('admin') || (rule.mayExtend === 'lead' && roles.includes('lead'));
  return may ? null : 'role';
}

/** The part that does not depend on who grants it, checked again whenever it is used. */
function refuseForTask(rule: TaskRule, untilUse: Deferral['untilUse']): DeferralRefusal | null {
  if (rule.statutory) return 'statutory';
  if (rule.mayExtend === 'nobody') return 'nobody_may';
  const meters = Object.keys(untilUse);
  if (meters.some((meter) => !rule.meters.some((m) => m.meter === meter))) return 'other_meter';
  return rule.meters.length > 0 && meters.length === 0 ? 'needs_use' : null;
}

/** The grains since done with which the deferral ends; null when it does not name the meter. */
export function lastGrainsOf(deferral: Deferral, meter: string): number | null {
  const until = deferral.untilUse[meter];
  return until === undefined ? null : until + (deferral.usedBefore[meter] ?? 0);
}

/** `spent`: the task was done since. `ended`: on `endedOn` (an ordinal) it no longer held. */
export type DeferralStanding =
  | { state: 'active' }
  | { state: 'ended'; endedOn: number }
  | { state: 'spent' }
  | { state: 'refused'; reason: DeferralRefusal };

export function standingOf(
  rule: TaskRule,
  deferral: Deferral,
  grid: Grid,
  use: Readonly<Record<string, MeterUse>>,
  today: number,
): DeferralStanding {
  const reason = refuseForTask(rule, deferral.untilUse);
  if (reason) return { state: 'refused', reason };
  if (deferral.fromAtMs < grid.done.atMs) return { state: 'spent' };
  const doneOn = ordinalOf(grid.done.day);
  const ends: number[] = [];
  const dayAfter = ordinalOf(deferral.untilDay) + 1;
  if (dayAfter <= today) ends.push(dayAfter);
  for (const meter of Object.keys(deferral.untilUse)) {
    const last = lastGrainsOf(deferral, meter)!;
    const day = dayBeyondGrains(use[meter] ?? NO_USE, doneOn, last, today);
    if (day !== null) ends.push(day);
  }
  return ends.length === 0 ? { state: 'active' } : { state: 'ended', endedOn: Math.min(...ends) };
}
