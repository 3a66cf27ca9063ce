import { instantText, instantTextOrNull } from '../domain/instant.ts';
import type { Limits } from '../domain/shop/limit.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import type { ListedDeferral, TaskDeferralRow } from '../store/upkeep.ts';
import { showUse } from './show-stop.ts';

export const showDeferral = (row: TaskDeferralRow) => ({
  deferralId: row.deferralId,
  assetId: row.assetId,
  task: row.taskKey,
  untilDay: row.untilDay,
  untilUse: showUse(row.untilUse as Record<string, number>),
  approver: row.approver,
  approverId: row.approverPerson,
  restriction: row.restriction,
  effect: row.effect,
  functions: row.functions as UnitFunction[],
  limits: row.limits as Limits,
  reason: row.reason,
  from: instantText(row.fromAtMs),
  endedAt: instantTextOrNull(row.endedAtMs),
});

/**
 * Whether it still holds: nobody took its place, its day has not passed on any yard's calendar, its
 * use is not over and the task was not done, as far as that was assessed. `today` is the first day
 * that is today somewhere.
 */
export const runsOn = (row: ListedDeferral, today: string): boolean =>
  row.endedAtMs === null && row.untilDay >= today && (row.state === null || row.state === 'active');

export const showListedDeferral = (row: ListedDeferral, today: string) => ({
  ...showDeferral(row),
  unitId: row.unitId,
  runs: runsOn(row, today),
});
