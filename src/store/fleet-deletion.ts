import { eq, sql } from 'drizzle-orm';
import type pg from 'pg';
import { fleet, fleetDeletion } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type FleetDeletionRow = typeof fleetDeletion.$inferSelect;

export async function fleetName(tx: Tx, fleetId: number): Promise<string | null> {
  const rows = await builder(tx)
    .select({ name: fleet.name })
    .from(fleet)
    .where(eq(fleet.fleetId, fleetId));
  return rows[0]?.name ?? null;
}

/** The deletion of a fleet, locked. */
export async function lockDeletion(tx: Tx, fleetId: number): Promise<FleetDeletionRow | null> {
  const rows = await builder(tx)
    .select()
    .from(fleetDeletion)
    .where(eq(fleetDeletion.fleetId, fleetId))
    .for('update');
  return rows[0] ?? null;
}

/** A deletion that is asked for; an earlier question that was not confirmed is forgotten. */
export async function saveQuestion(
  tx: Tx,
  row: { fleetId: number; askedAtMs: number; tokenSha256: Buffer; tokenUntilMs: number },
): Promise<void> {
  await builder(tx)
    .insert(fleetDeletion)
    .values(row)
    .onConflictDoUpdate({
      target: fleetDeletion.fleetId,
      set: row,
      setWhere: sql`${fleetDeletion.confirmedAtMs} is null`,
    });
}

export async function saveConfirmation(tx: Tx, fleetId: number, atMs: number): Promise<void> {
  await builder(tx)
    .update(fleetDeletion)
    .set({ confirmedAtMs: atMs, tokenSha256: null })
    .where(eq(fleetDeletion.fleetId, fleetId));
}

/** Ends every key of a fleet. */
export async function revokeAllKeys(tx: Tx, fleetId: number, atMs: number): Promise<void> {
  await tx.query(
    `update liftwright.api_key set revoked_at = to_timestamp($2::float8 / 1000)
     where fleet_id = $1 and revoked_at is null`,
    [fleetId, atMs],
  );
}

/**
 * Fleets to delete: confirmed by `confirmedByMs`, and not finished, or only since
 * `finishedSinceMs`.
 */
export async function leavingFleets(
  scheduler: pg.Pool,
  confirmedByMs: number,
  finishedSinceMs: number,
): Promise<number[]> {
  const { rows } = await scheduler.query(
    `select fleet_id from liftwright.fleet_deletion
     where confirmed_at <= to_timestamp($1::float8 / 1000)
       and (finished_at is null or finished_at >= to_timestamp($2::float8 / 1000))
     order by confirmed_at limit 100`,
    [confirmedByMs, finishedSinceMs],
  );
  return rows.map((row) => row.fleet_id);
}

/** Deletes one batch and counts it; false when nothing is left. */
export async function deleteBatch(tx: Tx, fleetId: number, most: number): Promise<boolean> {
  const { rows } = await tx.query(
    `with gone as (select * from liftwright.delete_fleet_batch($1, $2))
     update liftwright.fleet_deletion d
       set deleted = jsonb_set(d.deleted, array[g.table_name],
         to_jsonb(coalesce((d.deleted ->> g.table_name)::bigint, 0) + g.deleted))
     from gone g where d.fleet_id = $1 returning g.deleted`,
    [fleetId, most],
  );
  return rows.length > 0;
}

export async function saveFinished(tx: Tx, fleetId: number, atMs: number): Promise<void> {
  await tx.query(
    `update liftwright.fleet_deletion
       set finished_at = coalesce(finished_at, to_timestamp($2::float8 / 1000))
     where fleet_id = $1`,
    [fleetId, atMs],
  );
}
