import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { asset, install, installCorrection } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type InstallRow = typeof install.$inferSelect;

export async function insertInstall(tx: Tx, row: InstallRow): Promise<void> {
  await builder(tx).insert(install).values(row);
}

/**
 * One who changes what sits where, or what counts for it, at a time in a fleet: what counts follows
 * from all installs together. Held until the transaction ends.
 */
export async function lockInstalls(tx: Tx, fleetId: number): Promise<void> {
  await tx.query(
    `select pg_advisory_xact_lock(hashtextextended('installs of fleet ' || $1::int, 0))`,
    [fleetId],
  );
}

export async function updateInstall(
  tx: Tx,
  fleetId: number,
  { installId, unitId, during, note }: InstallRow,
): Promise<void> {
  await builder(tx)
    .update(install)
    .set({ unitId, during, note })
    .where(and(eq(install.fleetId, fleetId), eq(install.installId, installId)));
}

export async function deleteInstall(tx: Tx, fleetId: number, installId: string): Promise<void> {
  await builder(tx)
    .delete(install)
    .where(and(eq(install.fleetId, fleetId), eq(install.installId, installId)));
}

export async function findInstall(
  tx: Tx,
  fleetId: number,
  installId: string,
): Promise<InstallRow | null> {
  const rows = await builder(tx)
    .select()
    .from(install)
    .where(and(eq(install.fleetId, fleetId), eq(install.installId, installId)));
  return rows[0] ?? null;
}

export type CorrectionRow = typeof installCorrection.$inferSelect;

export async function insertCorrection(tx: Tx, row: CorrectionRow): Promise<void> {
  await builder(tx).insert(installCorrection).values(row);
}

/** The corrections of an install, oldest first. */
export async function correctionsOf(
  tx: Tx,
  fleetId: number,
  installId: string,
  limit: number,
): Promise<CorrectionRow[]> {
  return builder(tx)
    .select()
    .from(installCorrection)
    .where(and(eq(installCorrection.fleetId, fleetId), eq(installCorrection.installId, installId)))
    .orderBy(asc(installCorrection.correctionId))
    .limit(limit);
}

/** Work recorded on an asset as done in a period and not voided, oldest first. */
export async function donesWithin(
  tx: Tx,
  fleetId: number,
  assetId: string,
  during: InstallRow['during'],
  limit: number,
): Promise<string[]> {
  const { rows } = await tx.query(
    `select done_id from liftwright.task_done
     where fleet_id = $1 and asset_id = $2 and voided_at is null
       and done_at >= to_timestamp($3::float8 / 1000)
       and ($4::float8 is null or done_at < to_timestamp($4::float8 / 1000))
     order by done_at, done_id limit $5`,
    [fleetId, assetId, during.fromMs, during.toMs, limit],
  );
  return rows.map((row) => row.done_id);
}

export async function listInstalls(
  tx: Tx,
  fleetId: number,
  filter: { unitId?: string | undefined },
  after: [installId: string] | null,
  limit: number,
): Promise<InstallRow[]> {
  return builder(tx)
    .select()
    .from(install)
    .where(
      and(
        eq(install.fleetId, fleetId),
        filter.unitId ? eq(install.unitId, filter.unitId) : undefined,
        after ? gt(install.installId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(install.installId))
    .limit(limit);
}

/** The install of an asset or a gateway that holds at an instant. */
export async function installAt(
  tx: Tx,
  fleetId: number,
  what: { assetId: string } | { gatewayId: string },
  atMs: number,
): Promise<InstallRow | null> {
  const is =
    'assetId' in what ? eq(install.assetId, what.assetId) : eq(install.gatewayId, what.gatewayId);
  const rows = await builder(tx)
    .select()
    .from(install)
    .where(
      and(
        eq(install.fleetId, fleetId),
        is,
        sql`${install.during} @> to_timestamp(${atMs}::float8 / 1000)`,
      ),
    );
  return rows[0] ?? null;
}

/** Every install, past and present, on the given units. */
export async function installsOnUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
): Promise<InstallRow[]> {
  return builder(tx)
    .select()
    .from(install)
    .where(
      and(
        eq(install.fleetId, fleetId),
        sql`${install.unitId} = any (${sql.param([...unitIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(install.installId));
}

/** Every install, past and present, of the given assets or gateways. */
export async function installsOf(
  tx: Tx,
  fleetId: number,
  ids: { assetIds?: readonly string[]; gatewayIds?: readonly string[] },
): Promise<InstallRow[]> {
  const { assetIds = [], gatewayIds = [] } = ids;
  return builder(tx)
    .select()
    .from(install)
    .where(
      and(
        eq(install.fleetId, fleetId),
        sql`(${install.assetId} = any (${sql.param([...assetIds])}::uuid[])
          or ${install.gatewayId} = any (${sql.param([...gatewayIds])}::uuid[]))`,
      ),
    )
    .orderBy(asc(install.installId));
}

export interface InstalledAsset {
  assetId: string;
  kind: (typeof asset.$inferSelect)['kind'];
  serial: string;
  patternId: string | null;
  patternVersion: number | null;
}

/** The assets that are on a unit at an instant. */
export async function assetsOnUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
  atMs: number,
): Promise<InstalledAsset[]> {
  return builder(tx)
    .select({
      assetId: asset.assetId,
      kind: asset.kind,
      serial: asset.serial,
      patternId: asset.patternId,
      patternVersion: asset.patternVersion,
    })
    .from(install)
    .innerJoin(asset, and(eq(asset.fleetId, install.fleetId), eq(asset.assetId, install.assetId)))
    .where(
      and(
        eq(install.fleetId, fleetId),
        eq(install.unitId, unitId),
        sql`${install.during} @> to_timestamp(${atMs}::float8 / 1000)`,
      ),
    )
    .orderBy(asc(asset.kind), asc(asset.serial));
}

/** The units that the given assets are on at an instant. */
export async function unitsOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  atMs: number,
): Promise<string[]> {
  if (assetIds.length === 0) return [];
  const rows = await builder(tx)
    .selectDistinct({ unitId: install.unitId })
    .from(install)
    .where(
      and(
        eq(install.fleetId, fleetId),
        sql`${install.assetId} = any (${sql.param([...assetIds])}::uuid[])`,
        sql`${install.during} @> to_timestamp(${atMs}::float8 / 1000)`,
      ),
    );
  return rows.map((row) => row.unitId);
}
