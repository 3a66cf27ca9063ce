import { unitsOfAssets } from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { homeYards, type UnitCalendarRow } from '../store/unit.ts';

/** The home yard of a unit at an instant: its calendar is the unit's. Null: it has none. */
export async function homeYardAt(
  tx: Tx,
  fleetId: number,
  unitId: string,
  atMs: number,
): Promise<UnitCalendarRow | null> {
  const rows = (await homeYards(tx, fleetId, [unitId])).get(unitId) ?? [];
  return rows.findLast((row) => row.fromMs <= atMs) ?? rows[0] ?? null;
}

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
  const yard = await homeYardAt(tx, fleetId, unitId, atMs);
  return { zone: yard?.timeZone ?? 'UTC', isOnUnit: yard !== null };
}
