import { v7 as uuid } from 'uuid';
import type { CallCause } from '../domain/upkeep/task-call.ts';
import { Problem } from '../errors.ts';
import { assetsOnUnit } from '../store/install.ts';
import {
  callsOfCause,
  findCall,
  insertCalls,
  type TaskCallRow,
  type TaskCallShown,
  withdrawCallRow,
} from '../store/task-call.ts';
import { assetWithTask, reassess } from './record-upkeep.ts';
import type { Work } from './work.ts';

/** Whose key it was, for what needs no person. */
interface KeyHolder {
  keyId: string;
  name: string;
}

export interface NewCalls {
  unitId: string;
  tasks: readonly { assetId: string; taskKey: string }[];
  cause: { kind: CallCause; id: string | null };
  /** The word of the closed list that stands for the cause. */
  what: string | null;
  /** A person's own words. */
  words: string | null;
}

/**
 * Calls tasks due now: each is in its window at once and stays so until it is done after this. The
 * tasks must be there; a task that is named twice is called once.
 */
export async function callTasks(
  work: Work,
  by: KeyHolder,
  { unitId, tasks, cause, what, words }: NewCalls,
): Promise<TaskCallRow[]> {
  const { tx, fleetId, nowMs } = work;
  const each = new Map(tasks.map((task) => [`${task.assetId} ${task.taskKey}`, task]));
  const rows = [...each.values()].map(
    ({ assetId, taskKey }): TaskCallRow => ({
      fleetId,
      callId: uuid(),
      assetId,
      taskKey,
      calledAtMs: nowMs,
      cause: cause.kind,
      causeId: cause.id,
      what,
      words,
      recordedBy: `key/${by.keyId}`,
      recordedAtMs: nowMs,
      withdrawReason: null,
      withdrawnBy: null,
      withdrawnAtMs: null,
    }),
  );
  await insertCalls(tx, rows);
  for (const { callId, assetId, taskKey } of rows) {
    work.record({
      type: 'task.called',
      subject: `unit/${unitId}`,
      data: { callId, assetId, task: taskKey, cause, what },
      personal: { by: by.name, words },
      occurredAtMs: nowMs,
    });
  }
  if (rows.length > 0) await reassess(work, unitId);
  return rows;
}

/** A person calls a task of a unit due now. @throws Problem not_found, task_ambiguous */
export async function callTask(
  work: Work,
  by: KeyHolder,
  input: { unitId: string; taskKey: string; assetId: string | null; words: string },
): Promise<TaskCallRow> {
  const { unitId, taskKey, words } = input;
  const { assetId } = await assetWithTask(work, unitId, taskKey, input.assetId);
  const tasks = [{ assetId, taskKey }];
  const cause = { kind: 'person', id: null } as const;
  const [row] = await callTasks(work, by, { unitId, tasks, cause, what: null, words });
  return row as TaskCallRow;
}

async function withdraw(
  work: Work,
  by: KeyHolder,
  unitId: string,
  rows: readonly TaskCallRow[],
  reason: string,
): Promise<TaskCallRow[]> {
  const { tx, fleetId, nowMs } = work;
  const withdrawal = {
    withdrawReason: reason,
    withdrawnBy: `key/${by.keyId}`,
    withdrawnAtMs: nowMs,
  };
  for (const { callId, assetId, taskKey } of rows) {
    await withdrawCallRow(tx, fleetId, callId, withdrawal);
    work.record({
      type: 'task.call_withdrawn',
      subject: `unit/${unitId}`,
      data: { callId, assetId, task: taskKey },
      personal: { by: by.name, reason },
      occurredAtMs: nowMs,
    });
  }
  if (rows.length > 0) await reassess(work, unitId);
  return rows.map((row) => ({ ...row, ...withdrawal }));
}

/**
 * A call was for nothing; it stays in the history.
 *
 * @throws Problem not_found, already_voided
 */
export async function withdrawCall(
  work: Work,
  by: KeyHolder,
  input: { unitId: string; callId: string; reason: string },
): Promise<TaskCallShown> {
  const { tx, fleetId, nowMs } = work;
  const row = await findCall(tx, fleetId, input.callId);
  const here = row && (await assetsOnUnit(tx, fleetId, input.unitId, nowMs));
  if (!row || !here?.some((asset) => asset.assetId === row.assetId)) {
    throw new Problem('not_found', 'There is no such call on this unit.');
  }
  if (row.withdrawnAtMs !== null) throw new Problem('already_voided', 'It was withdrawn already.');
  const [withdrawn] = await withdraw(work, by, input.unitId, [row], input.reason);
  return { ...row, ...withdrawn };
}

/** Withdraws what one symptom, incident or defect called due, because there was nothing to it. */
export async function withdrawCallsOf(
  work: Work,
  by: KeyHolder,
  input: { unitId: string; causeId: string; reason: string },
): Promise<void> {
  const rows = await callsOfCause(work.tx, work.fleetId, input.causeId);
  await withdraw(work, by, input.unitId, rows, input.reason);
}
