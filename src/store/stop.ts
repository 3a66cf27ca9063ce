import { and, asc, desc, eq, gt, lt, ne, sql } from 'drizzle-orm';
import { stop, stopAct } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type StopRow = typeof stop.$inferSelect;
export type StopActRow = typeof stopAct.$inferSelect;

/**
 * One at a time says what is wrong with a unit, so that the same fault told twice at once is one.
 * Held until the transaction ends.
 */
export async function lockFaults(tx: Tx, fleetId: number, unitId: string): Promise<void> {
  await tx.query(
    `select pg_advisory_xact_lock(hashtextextended('faults of ' || $1::int || '/' || $2::text, 0))`,
    [fleetId, unitId],
  );
}

export async function insertStop(tx: Tx, row: StopRow): Promise<void> {
  await builder(tx).insert(stop).values(row);
}

export async function insertStopAct(tx: Tx, row: StopActRow): Promise<void> {
  await builder(tx).insert(stopAct).values(row);
}

/** A stop, kept from others until the transaction ends. */
export async function lockStop(tx: Tx, fleetId: number, stopId: string): Promise<StopRow | null> {
  const rows = await builder(tx)
    .select()
    .from(stop)
    .where(and(eq(stop.fleetId, fleetId), eq(stop.stopId, stopId)))
    .for('update');
  return rows[0] ?? null;
}

export async function updateStop(
  tx: Tx,
  fleetId: number,
  stopId: string,
  set: Partial<Pick<StopRow, 'state' | 'untilAtMs' | 'droppedAtMs' | 'clearedAtMs'>>,
): Promise<void> {
  await builder(tx)
    .update(stop)
    .set(set)
    .where(and(eq(stop.fleetId, fleetId), eq(stop.stopId, stopId)));
}

/** The stops that a finding set and that are not cleared, kept from others. */
export async function lockStopsOfFinding(
  tx: Tx,
  fleetId: number,
  findingId: string,
): Promise<StopRow[]> {
  return builder(tx)
    .select()
    .from(stop)
    .where(and(eq(stop.fleetId, fleetId), eq(stop.findingId, findingId), ne(stop.state, 'cleared')))
    .orderBy(asc(stop.stopId))
    .for('update');
}

/** What something has stopped and is not cleared; locked: kept from others until the end. */
export async function stopsOfCause(
  tx: Tx,
  fleetId: number,
  cause: { kind: string; id: string },
  lock = false,
): Promise<StopRow[]> {
  const query = builder(tx)
    .select()
    .from(stop)
    .where(
      and(
        eq(stop.fleetId, fleetId),
        eq(stop.causeKind, cause.kind),
        eq(stop.causeId, cause.id),
        ne(stop.state, 'cleared'),
      ),
    )
    .orderBy(asc(stop.stopId));
  return lock ? query.for('update') : query;
}

/** The stops of a unit and of what is on it now, the last set first. */
export async function listStops(
  tx: Tx,
  fleetId: number,
  filter: { unitId: string; atMs: number; open: boolean | undefined },
  after: [stopId: string] | null,
  limit: number,
): Promise<StopRow[]> {
  const open = filter.open ? ne(stop.state, 'cleared') : eq(stop.state, 'cleared');
  return builder(tx)
    .select()
    .from(stop)
    .where(
      and(
        eq(stop.fleetId, fleetId),
        sql`(${stop.unitId} = ${filter.unitId}::uuid or ${stop.assetId} in (
          select i.asset_id from liftwright.install i where i.fleet_id = ${fleetId}
            and i.unit_id = ${filter.unitId}::uuid and i.asset_id is not null
            and i.during @> to_timestamp(${filter.atMs}::float8 / 1000)))`,
        filter.open === undefined ? undefined : open,
        after ? lt(stop.stopId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(stop.stopId))
    .limit(limit);
}

/** What was done with a stop, oldest first. */
export async function listStopActs(
  tx: Tx,
  fleetId: number,
  stopId: string,
  after: [actId: string] | null,
  limit: number,
): Promise<StopActRow[]> {
  return builder(tx)
    .select()
    .from(stopAct)
    .where(
      and(
        eq(stopAct.fleetId, fleetId),
        eq(stopAct.stopId, stopId),
        after ? gt(stopAct.actId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(stopAct.actId))
    .limit(limit);
}
