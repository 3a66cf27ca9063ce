import { and, eq, inArray } from 'drizzle-orm';
import { meterStart } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type MeterStartRow = typeof meterStart.$inferSelect;

export async function insertMeterStart(tx: Tx, row: MeterStartRow): Promise<void> {
  await builder(tx).insert(meterStart).values(row);
}

/** Puts another value in the place of one that was wrong. */
export async function replaceMeterStart(tx: Tx, row: MeterStartRow): Promise<void> {
  const { atMs, grains, recordedBy, recordedAtMs } = row;
  await builder(tx)
    .update(meterStart)
    .set({ atMs, grains, recordedBy, recordedAtMs })
    .where(
      and(
        eq(meterStart.fleetId, row.fleetId),
        eq(meterStart.assetId, row.assetId),
        eq(meterStart.meter, row.meter),
      ),
    );
}

/** The starting values of assets. */
export async function startsOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<MeterStartRow[]> {
  if (assetIds.length === 0) return [];
  return builder(tx)
    .select()
    .from(meterStart)
    .where(and(eq(meterStart.fleetId, fleetId), inArray(meterStart.assetId, [...assetIds])));
}
