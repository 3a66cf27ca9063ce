import { v7 as uuid } from 'uuid';
import type { Role } from '../domain/access/role.ts';
import type { TaskRule } from '../domain/upkeep/task-rule.ts';
import { Problem } from '../errors.ts';
import { assetsOnUnit } from '../store/install.ts';
import { markUnits } from '../store/unit-mark.ts';
import { findDone, insertDone, type TaskDoneRow, voidDone } from '../store/upkeep.ts';
import type { Actor } from './actor.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindUnit } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import type { Work } from './work.ts';

/** Who says so: a key is not a person, but until people sign, its name is what is known. */
export interface Recorder {
  keyId: string;
  name: string;
  role: Role;
}

/** The asset of a unit that has the task, now. */
export async function assetWithTask(
  work: Work,
  unitId: string,
  taskKey: string,
  assetId: string | null,
): Promise<{ assetId: string; rule: TaskRule }> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const found: { assetId: string; rule: TaskRule }[] = [];
  for (const asset of await assetsOnUnit(tx, fleetId, unitId, nowMs)) {
    if (assetId !== null && asset.assetId !== assetId) continue;
    const pattern = await patternOf(tx, fleetId, asset);
    const rule = pattern?.tasks.find((task) => task.key === taskKey);
    if (rule) found.push({ assetId: asset.assetId, rule });
  }
  if (found.length > 1) throw new Problem('task_ambiguous', 'Say which one with assetId.');
  const only = found[0];
  if (!only) throw new Problem('not_found', 'No asset on this unit has that task.');
  return only;
}

/** Has a unit assessed anew. */
export async function reassess(work: Work, unitId: string): Promise<void> {
  const shards = await markUnits(work.tx, work.fleetId, [unitId], work.nowMs);
  for (const shard of shards) work.wake('assess', shard);
}

/**
 * Records that a task was done, at a time that may lie in the past. What the meters showed then is
 * looked up, never asked for.
 *
 * @throws Problem not_found, task_ambiguous, time_invalid
 */
export async function recordDone(
  work: Work,
  by: Recorder,
  input: {
    unitId: string;
    taskKey: string;
    assetId: string | null;
    atMs: number;
    estimated: boolean;
    note: string | null;
  },
): Promise<TaskDoneRow> {
  const { nowMs } = work;
  if (input.atMs > nowMs + 120_000 || input.atMs < earliestMs) {
    throw new Problem('time_invalid', '`at` must be a time that has been.');
  }
  const { assetId } = await assetWithTask(work, input.unitId, input.taskKey, input.assetId);
  return writeDone(work, { ...by, personId: null }, { ...input, assetId, cardId: null });
}

/**
 * Records a task as done with what it was done on: a job card whose steps say so. The asset need
 * not be on the unit any more.
 */
export async function writeDone(
  work: Work,
  by: Actor,
  input: {
    unitId: string;
    taskKey: string;
    assetId: string;
    atMs: number;
    estimated: boolean;
    note: string | null;
    cardId: string | null;
  },
): Promise<TaskDoneRow> {
  const { tx, fleetId, nowMs } = work;
  const row: TaskDoneRow = {
    fleetId,
    doneId: uuid(),
    assetId: input.assetId,
    taskKey: input.taskKey,
    doneAtMs: Math.min(input.atMs, nowMs),
    estimated: input.estimated,
    note: input.note,
    recordedBy: by.personId === null ? `key/${by.keyId}` : `person/${by.personId}`,
    recordedAtMs: nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
    cardId: input.cardId,
    meterValues: null,
  };
  await insertDone(tx, row);
  work.record({
    type: 'task.done',
    subject: `unit/${input.unitId}`,
    data: {
      doneId: row.doneId,
      assetId: row.assetId,
      task: row.taskKey,
      estimated: row.estimated,
      ...(row.cardId === null ? {} : { cardId: row.cardId }),
    },
    personal: { by: by.name, note: row.note },
    occurredAtMs: row.doneAtMs,
  });
  await reassess(work, input.unitId);
  return row;
}

/** Declares a recorded done wrong; it stays in the history. */
export async function voidRecordedDone(
  work: Work,
  by: Recorder,
  input: { unitId: string; doneId: string; reason: string },
): Promise<TaskDoneRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await findDone(tx, fleetId, input.doneId);
  const here = row && (await assetsOnUnit(tx, fleetId, input.unitId, nowMs));
  if (!row || !here?.some((asset) => asset.assetId === row.assetId)) {
    throw new Problem('not_found', 'There is no such record on this unit.');
  }
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It counts no more already.');
  const voiding = {
    voidReason: input.reason,
    voidedBy: `key/${by.keyId}`,
    voidedAtMs: nowMs,
  };
  await voidDone(tx, fleetId, input.doneId, voiding);
  work.record({
    type: 'task.done_voided',
    subject: `unit/${input.unitId}`,
    data: { doneId: row.doneId, assetId: row.assetId, task: row.taskKey },
    personal: { by: by.name, reason: input.reason },
    occurredAtMs: nowMs,
  });
  await reassess(work, input.unitId);
  return { ...row, ...voiding };
}
