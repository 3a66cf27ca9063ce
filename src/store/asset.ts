import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { asset } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type AssetRow = typeof asset.$inferSelect;
export interface AssetOnUnit extends AssetRow {
  unitId: string | null;
}

export async function insertAsset(tx: Tx, row: AssetRow): Promise<void> {
  await builder(tx).insert(asset).values(row);
}

// Drizzle leaves column names bare in a select from one table, so the outer ones are written out.
export const onUnit = (atMs: number) => ({
  fleetId: asset.fleetId,
  assetId: asset.assetId,
  kind: asset.kind,
  serial: asset.serial,
  patternId: asset.patternId,
  patternVersion: asset.patternVersion,
  createdAtMs: asset.createdAtMs,
  note: asset.note,
  make: asset.make,
  modelYear: asset.modelYear,
  tireSize: asset.tireSize,
  unitId: sql<string | null>`(select i.unit_id from liftwright.install i
     where i.fleet_id = asset.fleet_id and i.asset_id = asset.asset_id
       and i.during @> to_timestamp(${atMs}::float8 / 1000))`.as('unit_id'),
});

export async function listAssets(
  tx: Tx,
  fleetId: number,
  atMs: number,
  after: [assetId: string] | null,
  limit: number,
): Promise<AssetOnUnit[]> {
  return builder(tx)
    .select(onUnit(atMs))
    .from(asset)
    .where(and(eq(asset.fleetId, fleetId), after ? gt(asset.assetId, after[0]) : undefined))
    .orderBy(asc(asset.assetId))
    .limit(limit);
}

export async function findAsset(
  tx: Tx,
  fleetId: number,
  assetId: string,
  atMs: number,
): Promise<AssetOnUnit | null> {
  const rows = await builder(tx)
    .select(onUnit(atMs))
    .from(asset)
    .where(and(eq(asset.fleetId, fleetId), eq(asset.assetId, assetId)));
  return rows[0] ?? null;
}

/** The kinds of the assets that there are. */
export async function kindsOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<Pick<AssetRow, 'assetId' | 'kind'>[]> {
  return builder(tx)
    .select({ assetId: asset.assetId, kind: asset.kind })
    .from(asset)
    .where(
      and(
        eq(asset.fleetId, fleetId),
        sql`${asset.assetId} = any (${sql.param([...assetIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(asset.assetId));
}
