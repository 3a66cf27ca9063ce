import { v7 as uuid } from 'uuid';
import { servedFunctions } from '../domain/shop/finding.ts';
import { hasLimit, type Limits, limitsText } from '../domain/shop/limit.ts';
import type { StopEffect } from '../domain/shop/stop.ts';
import { type DeferralRefusal, refuseDeferral } from '../domain/upkeep/deferral.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import type { TaskRule } from '../domain/upkeep/task-rule.ts';
import { builtInMeter, parseGrains } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { findAsset } from '../store/asset.ts';
import { hasUnfitAt } from '../store/finding.ts';
import { endDeferrals, insertDeferral, type TaskDeferralRow } from '../store/upkeep.ts';
import type { SignedActor } from './actor.ts';
import { assetWithTask, type Recorder, reassess } from './record-upkeep.ts';
import type { Work } from './work.ts';

const refusalText: Record<DeferralRefusal, string> = {
  statutory: 'A task with a legal date is never deferred.',
  nobody_may: 'The pattern lets nobody extend this task.',
  role: 'This key may not extend this task.',
  needs_use: 'Say in untilUse how much may be used meanwhile: a deferral ends by date and by use.',
  other_meter: 'untilUse names a meter that this task does not count.',
};

const deferralMostMs = 366 * 86_400_000;

export interface NewDeferral {
  unitId: string;
  taskKey: string;
  assetId: string | null;
  untilDay: string;
  /** By meter, in its unit. */
  untilUse: Readonly<Record<string, number>>;
  /** What the unit may not do meanwhile, in words. */
  restriction: string;
  /** What that does to readiness; null: it limits, where there is any restriction. */
  effect: 'none' | StopEffect | null;
  /** Null: those of the task. */
  functions: readonly UnitFunction[] | null;
  limits: Limits;
  reason: string;
}

function grainsOf(untilUse: Readonly<Record<string, number>>): Record<string, number> {
  const grains: Record<string, number> = {};
  for (const [meter, amount] of Object.entries(untilUse)) {
    const known = builtInMeter(meter);
    if (!known) throw new Problem('meter_unknown', `There is no meter "${meter.slice(0, 40)}".`);
    grains[meter] = parseGrains(amount, known.dimension);
  }
  return grains;
}

/** What the restriction does to readiness; words alone are a limit in words. */
async function restrictionOf(
  work: Work,
  input: NewDeferral,
  assetId: string,
  rule: TaskRule,
): Promise<Pick<TaskDeferralRow, 'effect' | 'functions' | 'limits'>> {
  const words = input.restriction.trim();
  const said = words === '' ? {} : { words: [words.slice(0, 300)] };
  const limits = hasLimit(input.limits) ? input.limits : said;
  const effect = input.effect ?? (hasLimit(limits) ? 'limited' : 'none');
  if (effect === 'limited' && !hasLimit(limits)) {
    throw new Problem('deferral_refused', 'Say in `limits` or `restriction` what is allowed.');
  }
  const named = input.functions ?? rule.functions;
  const kept = effect === 'limited' ? limits : {};
  if (named.length > 0) return { effect, functions: [...named], limits: kept };
  const asset = await findAsset(work.tx, work.fleetId, assetId, work.nowMs);
  const functions = servedFunctions(asset && { kind: asset.kind, serves: [] });
  return { effect, functions, limits: kept };
}

/** A legal date is never put off, nor what somebody may not extend, nor what is unfit. */
async function mustBeDeferrable(
  work: Work,
  by: Recorder,
  assetId: string,
  rule: TaskRule,
  untilUse: Readonly<Record<string, number>>,
): Promise<void> {
  // a lead has signed; what only an admin may extend wants the key of one besides
  const refusal = refuseDeferral(rule, untilUse, ['lead', by.role]);
  if (refusal) throw new Problem('deferral_refused', refusalText[refusal]);
  if (await hasUnfitAt(work.tx, work.fleetId, assetId, rule.points)) {
    throw new Problem('deferral_refused', 'A place that it serves was found unfit: mend that.');
  }
}

/**
 * Lets a task go past its limit until a day and an amount of use, by the leave of a person who
 * signs; takes the place of an earlier one. Its restriction limits readiness while it runs.
 *
 * @throws Problem not_found, task_ambiguous, time_invalid, meter_unknown, deferral_refused
 */
export async function deferTask(
  work: Work,
  by: Recorder,
  approver: SignedActor,
  input: NewDeferral,
): Promise<TaskDeferralRow> {
  const { tx, fleetId, nowMs } = work;
  const { assetId, rule } = await assetWithTask(work, input.unitId, input.taskKey, input.assetId);
  const until = Date.parse(`${input.untilDay}T00:00:00Z`);
  if (until < nowMs - 86_400_000 || until > nowMs + deferralMostMs) {
    throw new Problem('time_invalid', 'untilDay must be from today to a year ahead.');
  }
  const untilUse = grainsOf(input.untilUse);
  await mustBeDeferrable(work, by, assetId, rule, untilUse);
  const restriction = await restrictionOf(work, input, assetId, rule);
  await endDeferrals(tx, fleetId, assetId, input.taskKey, nowMs);
  const row: TaskDeferralRow = {
    fleetId,
    deferralId: uuid(),
    assetId,
    taskKey: input.taskKey,
    fromAtMs: nowMs,
    untilDay: input.untilDay,
    untilUse,
    approver: approver.name,
    approverPerson: approver.personId,
    restriction: input.restriction,
    ...restriction,
    reason: input.reason,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    endedAtMs: null,
  };
  await insertDeferral(tx, row);
  work.record({
    type: 'task.deferred',
    subject: `unit/${input.unitId}`,
    data: {
      deferralId: row.deferralId,
      assetId,
      task: row.taskKey,
      untilDay: row.untilDay,
      untilUse: input.untilUse,
      restriction: row.restriction,
      effect: row.effect,
      functions: row.functions,
      limits: limitsText(row.limits as Limits),
      approverId: approver.personId,
    },
    personal: { approver: row.approver, reason: row.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  await reassess(work, input.unitId);
  work.changed('readiness');
  return row;
}
