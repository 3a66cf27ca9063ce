import { Problem } from '../errors.ts';
import { type AssetOnUnit, findAsset } from '../store/asset.ts';
import { findGateway, type GatewayWithContact } from '../store/gateway.ts';
import type { Tx } from '../store/tx.ts';
import { findUnit, type UnitWithYards } from '../store/unit.ts';

/** That what is named is not there. */
export const absent = (what: string): Problem =>
  new Problem('not_found', `There is no such ${what} in this fleet.`);

/** A unit as it is at an instant. @throws Problem not_found */
export async function mustFindUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
  atMs: number,
): Promise<UnitWithYards> {
  const row = await findUnit(tx, fleetId, unitId, atMs);
  if (!row) throw absent('unit');
  return row;
}

/** An asset and where it is at an instant. @throws Problem not_found */
export async function mustFindAsset(
  tx: Tx,
  fleetId: number,
  assetId: string,
  atMs: number,
): Promise<AssetOnUnit> {
  const row = await findAsset(tx, fleetId, assetId, atMs);
  if (!row) throw absent('asset');
  return row;
}

/** A gateway. @throws Problem not_found */
export async function mustFindGateway(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<GatewayWithContact> {
  const row = await findGateway(tx, fleetId, gatewayId);
  if (!row) throw absent('gateway');
  return row;
}
