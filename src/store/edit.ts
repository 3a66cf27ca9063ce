import { and, eq, sql } from 'drizzle-orm';
import { asset, gateway, unit, unitYard, visit, yard } from '../../db/schema/index.ts';
import type { Period } from '../domain/usage/link-sources.ts';
import { builder, type Tx } from './tx.ts';

const editable = { yard, unit, asset, gateway, visit } as const;

/** Keeps others from changing a thing until the transaction ends; nothing when it is not there. */
export async function lockThing(
  tx: Tx,
  fleetId: number,
  table: keyof typeof editable,
  id: string,
): Promise<void> {
  await tx.query(
    `select from liftwright.${table} where fleet_id = $1 and ${table}_id = $2 for no key update`,
    [fleetId, id],
  );
}

export async function updateYard(
  tx: Tx,
  fleetId: number,
  yardId: string,
  set: { name?: string | undefined; timeZone?: string | undefined },
): Promise<void> {
  await builder(tx)
    .update(yard)
    .set(set)
    .where(and(eq(yard.fleetId, fleetId), eq(yard.yardId, yardId)));
}

export async function updateUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
  set: {
    number?: string | undefined;
    note?: string | null | undefined;
    furnishedBy?: string | null | undefined;
  },
): Promise<void> {
  await builder(tx)
    .update(unit)
    .set(set)
    .where(and(eq(unit.fleetId, fleetId), eq(unit.unitId, unitId)));
}

export async function updateAsset(
  tx: Tx,
  fleetId: number,
  assetId: string,
  set: {
    serial?: string | undefined;
    note?: string | null | undefined;
    make?: string | null | undefined;
    modelYear?: number | null | undefined;
    tireSize?: string | null | undefined;
    patternId?: string | undefined;
    patternVersion?: number | undefined;
  },
): Promise<void> {
  await builder(tx)
    .update(asset)
    .set(set)
    .where(and(eq(asset.fleetId, fleetId), eq(asset.assetId, assetId)));
}

export async function updateGateway(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  set: { serial?: string | undefined; note?: string | null | undefined },
): Promise<void> {
  await builder(tx)
    .update(gateway)
    .set(set)
    .where(and(eq(gateway.fleetId, fleetId), eq(gateway.gatewayId, gatewayId)));
}

export type YardRole = (typeof unitYard.$inferSelect)['role'];

const ofRole = (fleetId: number, unitId: string, role: YardRole) =>
  and(eq(unitYard.fleetId, fleetId), eq(unitYard.unitId, unitId), eq(unitYard.role, role));

/** The last yard of a unit in a role, and since when. */
export async function lastYard(
  tx: Tx,
  fleetId: number,
  unitId: string,
  role: YardRole,
): Promise<{ yardId: string; during: Period } | null> {
  const rows = await builder(tx)
    .select({ yardId: unitYard.yardId, during: unitYard.during })
    .from(unitYard)
    .where(ofRole(fleetId, unitId, role))
    .orderBy(sql`lower(${unitYard.during}) desc`)
    .limit(1);
  return rows[0] ?? null;
}

/** Ends the last yard of a unit in a role at an instant; one that only began then never was. */
export async function endLastYard(
  tx: Tx,
  fleetId: number,
  unitId: string,
  role: YardRole,
  last: Period,
  atMs: number,
): Promise<void> {
  const it = and(ofRole(fleetId, unitId, role), eq(unitYard.during, last));
  if (last.fromMs === atMs) await builder(tx).delete(unitYard).where(it);
  else {
    const during = { fromMs: last.fromMs, toMs: atMs };
    await builder(tx).update(unitYard).set({ during }).where(it);
  }
}

/** The units whose home this yard is, or was. */
export async function unitsEverOfYard(tx: Tx, fleetId: number, yardId: string): Promise<string[]> {
  const rows = await builder(tx)
    .selectDistinct({ unitId: unitYard.unitId })
    .from(unitYard)
    .where(
      and(eq(unitYard.fleetId, fleetId), eq(unitYard.yardId, yardId), eq(unitYard.role, 'home')),
    );
  return rows.map((row) => row.unitId);
}
