import { and, desc, eq, isNull, lt, sql } from 'drizzle-orm';
import { taskCall } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type TaskCallRow = typeof taskCall.$inferSelect;
/** `answered`: it was done since, and that was neither voided nor only estimated. */
export interface TaskCallShown extends TaskCallRow {
  answered: boolean;
}

export async function insertCalls(tx: Tx, rows: readonly TaskCallRow[]): Promise<void> {
  if (rows.length > 0)
    await builder(tx)
      .insert(taskCall)
      .values([...rows]);
}

/** The calls that one symptom, incident or defect made and nobody withdrew. */
export async function callsOfCause(
  tx: Tx,
  fleetId: number,
  causeId: string,
): Promise<TaskCallRow[]> {
  return builder(tx)
    .select()
    .from(taskCall)
    .where(
      and(
        eq(taskCall.fleetId, fleetId),
        eq(taskCall.causeId, causeId),
        isNull(taskCall.withdrawnAtMs),
      ),
    )
    .for('update');
}

export async function withdrawCallRow(
  tx: Tx,
  fleetId: number,
  callId: string,
  withdrawal: { withdrawReason: string; withdrawnBy: string; withdrawnAtMs: number },
): Promise<void> {
  await builder(tx)
    .update(taskCall)
    .set(withdrawal)
    .where(and(eq(taskCall.fleetId, fleetId), eq(taskCall.callId, callId)));
}

const answered = sql<boolean>`exists (select from liftwright.task_done d
  where d.fleet_id = "task_call"."fleet_id" and d.asset_id = "task_call"."asset_id"
    and d.task_key = "task_call"."task_key" and d.done_at > "task_call"."called_at"
    and d.voided_at is null and not d.estimated)`;

/** A call, held until the transaction ends. */
export async function findCall(
  tx: Tx,
  fleetId: number,
  callId: string,
): Promise<TaskCallShown | null> {
  const [found] = await builder(tx)
    .select({ row: taskCall, answered })
    .from(taskCall)
    .where(and(eq(taskCall.fleetId, fleetId), eq(taskCall.callId, callId)))
    .for('update');
  return found ? { ...found.row, answered: found.answered } : null;
}

/** What called tasks of an asset due, the latest first; withdrawn and answered ones too. */
export async function listCalls(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; taskKey: string | undefined },
  after: [callId: string] | null,
  limit: number,
): Promise<TaskCallShown[]> {
  const rows = await builder(tx)
    .select({ row: taskCall, answered })
    .from(taskCall)
    .where(
      and(
        eq(taskCall.fleetId, fleetId),
        eq(taskCall.assetId, filter.assetId),
        filter.taskKey === undefined ? undefined : eq(taskCall.taskKey, filter.taskKey),
        after ? lt(taskCall.callId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(taskCall.callId))
    .limit(limit);
  return rows.map(({ row, answered: isAnswered }) => ({ ...row, answered: isAnswered }));
}

/** The tasks that one cause called due, and that still are: not withdrawn, not done since. */
export async function openCallsOfCause(
  tx: Tx,
  fleetId: number,
  causeId: string,
): Promise<{ assetId: string; taskKey: string }[]> {
  const rows = await builder(tx)
    .select({ assetId: taskCall.assetId, taskKey: taskCall.taskKey, answered })
    .from(taskCall)
    .where(
      and(
        eq(taskCall.fleetId, fleetId),
        eq(taskCall.causeId, causeId),
        isNull(taskCall.withdrawnAtMs),
      ),
    )
    .orderBy(taskCall.callId);
  return rows.filter((row) => !row.answered).map(({ assetId, taskKey }) => ({ assetId, taskKey }));
}
