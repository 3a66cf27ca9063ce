import { unitsOfAssets } from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { homeYards } from '../store/unit.ts';

/**
 * The time zone of the days of an asset: that of the home yard of the unit that it is on. Not
 * `isOnUnit`: it is on none, and its days are those of UTC.
 */
export async function zoneOfAsset(
  tx: Tx,
  fleetId: number,
  assetId: string,
  atMs: number,
): Promise<{ zone: string; isOnUnit: boolean }> {
  const [unitId] = await unitsOfAssets(tx, fleetId, [assetId], atMs);
  if (unitId === undefined) return { zone: 'UTC', isOnUnit: false };
  const rows = (await homeYards(tx, fleetId, [unitId])).get(unitId) ?? [];
  const yard = rows.findLast((row) => row.fromMs <= atMs) ?? rows[0];
  return { zone: yard?.timeZone ?? 'UTC', isOnUnit: yard !== undefined };
}
