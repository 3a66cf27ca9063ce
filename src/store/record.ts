import { and, asc, eq, gt, isNull, or, sql } from 'drizzle-orm';
import { controlPeriod, preservationOrder } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type ControlPeriodRow = typeof controlPeriod.$inferSelect;
export type PreservationOrderRow = typeof preservationOrder.$inferSelect;

export async function insertControlPeriod(tx: Tx, row: ControlPeriodRow): Promise<void> {
  await builder(tx).insert(controlPeriod).values(row);
}

const isPeriod = (fleetId: number, periodId: string) =>
  and(eq(controlPeriod.fleetId, fleetId), eq(controlPeriod.periodId, periodId));

export async function findControlPeriod(
  tx: Tx,
  fleetId: number,
  periodId: string,
): Promise<ControlPeriodRow | null> {
  const rows = await builder(tx).select().from(controlPeriod).where(isPeriod(fleetId, periodId));
  return rows[0] ?? null;
}

export async function updateControlPeriod(
  tx: Tx,
  fleetId: number,
  periodId: string,
  set: Partial<
    Pick<ControlPeriodRow, 'endedDay' | 'endReason' | 'voidReason' | 'voidedBy' | 'voidedAtMs'>
  >,
): Promise<void> {
  await builder(tx).update(controlPeriod).set(set).where(isPeriod(fleetId, periodId));
}

/** Control periods of a unit in the order of telling, voided ones too. */
export async function listControlPeriods(
  tx: Tx,
  fleetId: number,
  unitId: string,
  after: [periodId: string] | null,
  limit: number,
): Promise<ControlPeriodRow[]> {
  return builder(tx)
    .select()
    .from(controlPeriod)
    .where(
      and(
        eq(controlPeriod.fleetId, fleetId),
        eq(controlPeriod.unitId, unitId),
        after ? gt(controlPeriod.periodId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(controlPeriod.periodId))
    .limit(limit);
}

/** Whether a period that counts overlaps these days. */
export async function overlapsControl(
  tx: Tx,
  fleetId: number,
  unitId: string,
  days: { fromDay: string; endedDay: string | null },
  butPeriodId: string | null,
): Promise<boolean> {
  const rows = await builder(tx)
    .select({ periodId: controlPeriod.periodId })
    .from(controlPeriod)
    .where(
      and(
        eq(controlPeriod.fleetId, fleetId),
        eq(controlPeriod.unitId, unitId),
        isNull(controlPeriod.voidedAtMs),
        butPeriodId === null ? undefined : sql`${controlPeriod.periodId} <> ${butPeriodId}`,
        days.endedDay === null ? undefined : sql`${controlPeriod.fromDay} <= ${days.endedDay}`,
        sql`coalesce(${controlPeriod.endedDay}, 'infinity') >= ${days.fromDay}`,
      ),
    )
    .limit(1);
  return rows.length > 0;
}

export async function insertPreservationOrder(tx: Tx, row: PreservationOrderRow): Promise<void> {
  await builder(tx).insert(preservationOrder).values(row);
}

const isOrder = (fleetId: number, orderId: string) =>
  and(eq(preservationOrder.fleetId, fleetId), eq(preservationOrder.orderId, orderId));

/** An order that nobody else changes meanwhile. */
export async function lockPreservationOrder(
  tx: Tx,
  fleetId: number,
  orderId: string,
): Promise<PreservationOrderRow | null> {
  const rows = await builder(tx)
    .select()
    .from(preservationOrder)
    .where(isOrder(fleetId, orderId))
    .for('update');
  return rows[0] ?? null;
}

export async function liftOrder(
  tx: Tx,
  fleetId: number,
  orderId: string,
  lifting: Pick<PreservationOrderRow, 'liftedAtMs' | 'liftedBy' | 'liftedPerson' | 'liftReason'>,
): Promise<void> {
  await builder(tx).update(preservationOrder).set(lifting).where(isOrder(fleetId, orderId));
}

/** Orders in the order of placing: all, or those that hold a unit; lifted ones too. */
export async function listPreservationOrders(
  tx: Tx,
  fleetId: number,
  filter: { unitId?: string | undefined; standing?: boolean | undefined },
  after: [orderId: string] | null,
  limit: number,
): Promise<PreservationOrderRow[]> {
  const { unitId, standing } = filter;
  const lifted = sql`${preservationOrder.liftedAtMs} is not null`;
  return builder(tx)
    .select()
    .from(preservationOrder)
    .where(
      and(
        eq(preservationOrder.fleetId, fleetId),
        unitId === undefined
          ? undefined
          : or(eq(preservationOrder.unitId, unitId), isNull(preservationOrder.unitId)),
        standing === undefined ? undefined : standing ? sql`not (${lifted})` : lifted,
        after ? gt(preservationOrder.orderId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(preservationOrder.orderId))
    .limit(limit);
}

/** How many orders of a fleet stand. */
export async function standingOrders(tx: Tx, fleetId: number): Promise<number> {
  const { rows } = await tx.query(
    `select count(*)::int as n from liftwright.preservation_order
     where fleet_id = $1 and lifted_at is null`,
    [fleetId],
  );
  return rows[0].n;
}

/** Keeps orders and the deletion of a fleet from passing each other. */
export async function lockFleet(tx: Tx, fleetId: number): Promise<void> {
  await tx.query('select from liftwright.fleet where fleet_id = $1 for no key update', [fleetId]);
}
