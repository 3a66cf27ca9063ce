import { and, asc, desc, eq, isNull, lt, ne, sql } from 'drizzle-orm';
import { taskDeferral, taskDone, upkeepState } from '../../db/schema/index.ts';
import { pressingOf } from '../domain/shop/pressing-task.ts';
import type { TaskAssessment } from '../domain/upkeep/assess-task.ts';
import { builder, type Tx } from './tx.ts';

export type TaskDoneRow = typeof taskDone.$inferSelect;
export type TaskDeferralRow = typeof taskDeferral.$inferSelect;

export async function insertDone(tx: Tx, row: TaskDoneRow): Promise<void> {
  await builder(tx).insert(taskDone).values(row);
}

export async function findDone(
  tx: Tx,
  fleetId: number,
  doneId: string,
): Promise<TaskDoneRow | null> {
  const rows = await builder(tx)
    .select()
    .from(taskDone)
    .where(and(eq(taskDone.fleetId, fleetId), eq(taskDone.doneId, doneId)))
    .for('update');
  return rows[0] ?? null;
}

/** What was recorded as done on a job card, voided or not. */
export async function donesOfCard(tx: Tx, fleetId: number, cardId: string): Promise<TaskDoneRow[]> {
  return builder(tx)
    .select()
    .from(taskDone)
    .where(and(eq(taskDone.fleetId, fleetId), eq(taskDone.cardId, cardId)))
    .orderBy(asc(taskDone.doneId));
}

/** What was recorded as done on an asset, voided or not, the latest told first. */
export async function listDones(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; taskKey: string | undefined },
  after: [doneId: string] | null,
  limit: number,
): Promise<TaskDoneRow[]> {
  return builder(tx)
    .select()
    .from(taskDone)
    .where(
      and(
        eq(taskDone.fleetId, fleetId),
        eq(taskDone.assetId, filter.assetId),
        filter.taskKey === undefined ? undefined : eq(taskDone.taskKey, filter.taskKey),
        after ? lt(taskDone.doneId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(taskDone.doneId))
    .limit(limit);
}

export async function voidDone(
  tx: Tx,
  fleetId: number,
  doneId: string,
  voiding: { voidReason: string; voidedBy: string; voidedAtMs: number },
): Promise<void> {
  await builder(tx)
    .update(taskDone)
    .set(voiding)
    .where(and(eq(taskDone.fleetId, fleetId), eq(taskDone.doneId, doneId)));
}

export async function insertDeferral(tx: Tx, row: TaskDeferralRow): Promise<void> {
  await builder(tx).insert(taskDeferral).values(row);
}

/** A deferral, the unit that its asset is on now, and what its task's assessment says of it. */
export interface ListedDeferral extends TaskDeferralRow {
  unitId: string | null;
  /** Null: not assessed since it was granted. */
  state: string | null;
}

/** The deferrals of a fleet or of what is on a unit, the last granted first. */
export async function listDeferrals(
  tx: Tx,
  fleetId: number,
  filter: { unitId: string | null; open: boolean; atMs: number },
  after: [deferralId: string] | null,
  limit: number,
): Promise<ListedDeferral[]> {
  const d = taskDeferral;
  const unitNow = sql<string | null>`(select i.unit_id from liftwright.install i
    where i.fleet_id = task_deferral.fleet_id and i.asset_id = task_deferral.asset_id
      and i.during @> to_timestamp(${filter.atMs}::float8 / 1000))`;
  const state = sql<string | null>`(select s.assessment -> 'deferral' ->> 'state'
    from liftwright.upkeep_state s where s.fleet_id = task_deferral.fleet_id
      and s.asset_id = task_deferral.asset_id and s.task_key = task_deferral.task_key
      and s.assessed_at >= task_deferral.from_at)`;
  const rows = await builder(tx)
    .select({ row: d, unitId: unitNow.as('unit_id'), state: state.as('state') })
    .from(d)
    .where(
      and(
        eq(d.fleetId, fleetId),
        filter.unitId === null ? undefined : sql`${unitNow} = ${filter.unitId}::uuid`,
        filter.open ? isNull(d.endedAtMs) : undefined,
        after ? lt(d.deferralId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(d.deferralId))
    .limit(limit);
  return rows.map(({ row, unitId, state: said }) => ({ ...row, unitId, state: said }));
}

/** A new deferral of a task takes the place of the one before. */
export async function endDeferrals(
  tx: Tx,
  fleetId: number,
  assetId: string,
  taskKey: string,
  endedAtMs: number,
): Promise<void> {
  await builder(tx)
    .update(taskDeferral)
    .set({ endedAtMs })
    .where(
      and(
        eq(taskDeferral.fleetId, fleetId),
        eq(taskDeferral.assetId, assetId),
        eq(taskDeferral.taskKey, taskKey),
        isNull(taskDeferral.endedAtMs),
      ),
    );
}

export interface UpkeepState {
  assetId: string;
  taskKey: string;
  unitId: string;
  status: TaskAssessment['status'];
  fullOn: string | null;
  assessment: TaskAssessment;
  assessedAtMs: number;
}

/** The assessed tasks of a unit, as last written. */
export async function upkeepOfUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
): Promise<UpkeepState[]> {
  const rows = await builder(tx)
    .select()
    .from(upkeepState)
    .where(and(eq(upkeepState.fleetId, fleetId), eq(upkeepState.unitId, unitId)))
    .orderBy(asc(upkeepState.assetId), asc(upkeepState.taskKey));
  return rows.map((row) => ({
    ...row,
    assessment: row.assessment as TaskAssessment,
  }));
}

export async function saveUpkeep(
  tx: Tx,
  fleetId: number,
  states: readonly UpkeepState[],
): Promise<void> {
  if (states.length === 0) return;
  const rows = states.map((state) => ({
    asset_id: state.assetId,
    task_key: state.taskKey,
    unit_id: state.unitId,
    status: state.status,
    full_on: state.fullOn,
    assessment: state.assessment,
    assessed_ms: state.assessedAtMs,
    pressing: pressingOf(state.assessment) ?? {},
  }));
  await tx.query({
    name: 'save_upkeep',
    text: `insert into liftwright.upkeep_state
        (fleet_id, asset_id, task_key, unit_id, status, full_on, assessment, assessed_at, pressing)
      select $1, asset_id, task_key, unit_id, status, full_on, assessment,
        to_timestamp(assessed_ms / 1000), pressing
      from jsonb_to_recordset($2) as r (asset_id uuid, task_key text, unit_id uuid, status text,
        full_on date, assessment jsonb, assessed_ms float8, pressing jsonb)
      on conflict (fleet_id, asset_id, task_key) do update set unit_id = excluded.unit_id,
        status = excluded.status, full_on = excluded.full_on, assessment = excluded.assessment,
        assessed_at = excluded.assessed_at, pressing = excluded.pressing`,
    values: [fleetId, JSON.stringify(rows)],
  });
}

const keysOf = (states: readonly { assetId: string; taskKey: string }[]) => sql`(
  select * from unnest(${sql.param(states.map((s) => s.assetId))}::uuid[],
    ${sql.param(states.map((s) => s.taskKey))}::text[]))`;

const isOneOf = (fleetId: number, states: readonly { assetId: string; taskKey: string }[]) =>
  and(
    eq(upkeepState.fleetId, fleetId),
    sql`(${upkeepState.assetId}, ${upkeepState.taskKey}) in ${keysOf(states)}`,
  );

const sameTask = <T extends { assetId: string; taskKey: string }>(
  states: readonly T[],
  rows: readonly { assetId: string; taskKey: string }[],
): T[] =>
  states.filter((s) => rows.some((r) => r.assetId === s.assetId && r.taskKey === s.taskKey));

/**
 * Takes away what a unit no longer has: tasks of assets that left it, or of another pattern.
 * Answers what was taken away: another unit may have taken it over meanwhile.
 */
export async function dropUpkeep(
  tx: Tx,
  fleetId: number,
  unitId: string,
  gone: readonly UpkeepState[],
): Promise<UpkeepState[]> {
  if (gone.length === 0) return [];
  const rows = await builder(tx)
    .delete(upkeepState)
    .where(and(isOneOf(fleetId, gone), eq(upkeepState.unitId, unitId)))
    .returning({ assetId: upkeepState.assetId, taskKey: upkeepState.taskKey });
  return sameTask(gone, rows);
}

/** Of what stood with other units, what still does; nobody else takes it away meanwhile. */
export async function holdUpkeep(
  tx: Tx,
  fleetId: number,
  unitId: string,
  away: readonly UpkeepState[],
): Promise<UpkeepState[]> {
  if (away.length === 0) return [];
  const rows = await builder(tx)
    .select({ assetId: upkeepState.assetId, taskKey: upkeepState.taskKey })
    .from(upkeepState)
    .where(and(isOneOf(fleetId, away), ne(upkeepState.unitId, unitId)))
    .orderBy(asc(upkeepState.assetId), asc(upkeepState.taskKey))
    .for('update');
  return sameTask(away, rows);
}
