import { and, asc, eq, gt, type SQL, sql } from 'drizzle-orm';
import { usageEntry } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type UsageEntryRow = typeof usageEntry.$inferSelect;

export async function insertAdjustment(
  tx: Tx,
  row: Omit<UsageEntryRow, 'entryId'>,
): Promise<UsageEntryRow> {
  const rows = await builder(tx).insert(usageEntry).values(row).returning();
  return rows[0] as UsageEntryRow;
}

async function entryWhere(tx: Tx, fleetId: number, which: SQL): Promise<UsageEntryRow | null> {
  const rows = await builder(tx)
    .select()
    .from(usageEntry)
    .where(and(eq(usageEntry.fleetId, fleetId), which));
  return rows[0] ?? null;
}

export const findUsageEntry = (tx: Tx, fleetId: number, entryId: number) =>
  entryWhere(tx, fleetId, eq(usageEntry.entryId, entryId));

/** The entry that takes this one back. */
export const withdrawalOf = (tx: Tx, fleetId: number, entryId: number) =>
  entryWhere(tx, fleetId, eq(usageEntry.withdraws, entryId));

export interface ListedEntry extends UsageEntryRow {
  withdrawnBy: number | null;
}

/** Entries of an asset, in the order of recording. */
export async function listUsageEntries(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; meter?: string | undefined; kind?: UsageEntryRow['kind'] | undefined },
  after: [entryId: number] | null,
  limit: number,
): Promise<ListedEntry[]> {
  const rows = await builder(tx)
    .select({
      entry: usageEntry,
      // Drizzle leaves column names bare in a select from one table.
      withdrawnBy: sql<string | null>`(select w.entry_id from liftwright.usage_entry w
        where w.fleet_id = usage_entry.fleet_id and w.withdraws = usage_entry.entry_id)`,
    })
    .from(usageEntry)
    .where(
      and(
        eq(usageEntry.fleetId, fleetId),
        eq(usageEntry.assetId, filter.assetId),
        filter.meter === undefined ? undefined : eq(usageEntry.meter, filter.meter),
        filter.kind === undefined ? undefined : eq(usageEntry.kind, filter.kind),
        after ? gt(usageEntry.entryId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(usageEntry.entryId))
    .limit(limit);
  return rows.map(({ entry, withdrawnBy }) => ({
    ...entry,
    withdrawnBy: withdrawnBy === null ? null : Number(withdrawnBy),
  }));
}

/** Number of the lock between who keeps looked-up use of an asset, and who adjusts it. */
const assetLock = `hashtextextended('use of asset ' || $1::int || '/' || $2::uuid, 0)`;

/** Waits for those who just look up use of the asset, and holds off others until the end. */
export async function lockUseOfAsset(tx: Tx, fleetId: number, assetId: string): Promise<void> {
  await tx.query(`select pg_advisory_xact_lock(${assetLock})`, [fleetId, assetId]);
}

/**
 * What adjustments bring on a local day up to an instant, in grains. Nobody adjusts the asset's use
 * before this transaction ends, so that what is kept of it is not of before.
 */
export async function adjustedUntil(
  tx: Tx,
  fleetId: number,
  { assetId, meter, day, atMs }: { assetId: string; meter: string; day: string; atMs: number },
): Promise<number> {
  // A statement of its own: the next one must see what was adjusted until the lock was had.
  await tx.query({
    name: 'share_use_of_asset',
    text: `select pg_advisory_xact_lock_shared(${assetLock})`,
    values: [fleetId, assetId],
  });
  const { rows } = await tx.query({
    name: 'adjusted_until',
    text: `select coalesce(sum(grains), 0)::float8 as grains from liftwright.usage_entry
      where fleet_id = $1 and asset_id = $2 and meter = $3 and day = $4 and kind = 'adjustment'
        and at <= to_timestamp($5::float8 / 1000)`,
    values: [fleetId, assetId, meter, day, atMs],
  });
  return rows[0].grains;
}

/** Use up to the end of a local day, adjustments included, in grains. */
export async function useToDay(
  tx: Tx,
  fleetId: number,
  { assetId, meter, day }: { assetId: string; meter: string; day: string },
): Promise<number> {
  const { rows } = await tx.query(
    `select ((select coalesce(sum(d.grains), 0) from liftwright.usage_day d
          where d.fleet_id = $1 and d.asset_id = $2 and d.meter = $3 and d.day <= $4::date)
        + (select coalesce(sum(e.grains), 0) from liftwright.usage_entry e
          where e.fleet_id = $1 and e.asset_id = $2 and e.meter = $3 and e.day <= $4::date
            and e.kind = 'adjustment'))::float8 as grains`,
    [fleetId, assetId, meter, day],
  );
  return rows[0].grains;
}
