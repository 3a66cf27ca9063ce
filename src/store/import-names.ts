import { and, eq, inArray } from 'drizzle-orm';
import { asset, gateway, liftPattern, taskDone, unit, yard } from '../../db/schema/index.ts';
import type { GatewayRow } from './gateway.ts';
import { builder, type Tx } from './tx.ts';
import type { UnitRow } from './unit.ts';
import type { TaskDoneRow } from './upkeep.ts';
import type { YardRow } from './yard.ts';

/** What is there already, found by the names that people know it by. */

type Names = readonly string[];

export async function yardsNamed(tx: Tx, fleetId: number, names: Names): Promise<YardRow[]> {
  if (names.length === 0) return [];
  return builder(tx)
    .select()
    .from(yard)
    .where(and(eq(yard.fleetId, fleetId), inArray(yard.name, [...names])));
}

export async function unitsNumbered(tx: Tx, fleetId: number, numbers: Names): Promise<UnitRow[]> {
  if (numbers.length === 0) return [];
  return builder(tx)
    .select()
    .from(unit)
    .where(and(eq(unit.fleetId, fleetId), inArray(unit.number, [...numbers])));
}

export type AssetBySerial = typeof asset.$inferSelect;

/** Of every kind: a serial is unique only within a kind. */
export async function assetsWithSerial(
  tx: Tx,
  fleetId: number,
  serials: Names,
): Promise<AssetBySerial[]> {
  if (serials.length === 0) return [];
  return builder(tx)
    .select()
    .from(asset)
    .where(and(eq(asset.fleetId, fleetId), inArray(asset.serial, [...serials])));
}

export async function gatewaysWithSerial(
  tx: Tx,
  fleetId: number,
  serials: Names,
): Promise<GatewayRow[]> {
  if (serials.length === 0) return [];
  return builder(tx)
    .select()
    .from(gateway)
    .where(and(eq(gateway.fleetId, fleetId), inArray(gateway.serial, [...serials])));
}

export interface PatternByName {
  patternId: string;
  version: number;
  name: string;
  assetKind: AssetBySerial['kind'];
}

export async function patternsNamed(
  tx: Tx,
  fleetId: number,
  names: Names,
): Promise<PatternByName[]> {
  if (names.length === 0) return [];
  return builder(tx)
    .select({
      patternId: liftPattern.patternId,
      version: liftPattern.version,
      name: liftPattern.name,
      assetKind: liftPattern.assetKind,
    })
    .from(liftPattern)
    .where(and(eq(liftPattern.fleetId, fleetId), inArray(liftPattern.name, [...names])));
}

/** What was ever recorded as done on these assets, voided or not. */
export async function donesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: Names,
): Promise<TaskDoneRow[]> {
  if (assetIds.length === 0) return [];
  return builder(tx)
    .select()
    .from(taskDone)
    .where(and(eq(taskDone.fleetId, fleetId), inArray(taskDone.assetId, [...assetIds])));
}

export async function setUnitNote(
  tx: Tx,
  fleetId: number,
  unitId: string,
  note: string,
): Promise<void> {
  await builder(tx)
    .update(unit)
    .set({ note })
    .where(and(eq(unit.fleetId, fleetId), eq(unit.unitId, unitId)));
}

export async function setGatewayNote(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  note: string,
): Promise<void> {
  await builder(tx)
    .update(gateway)
    .set({ note })
    .where(and(eq(gateway.fleetId, fleetId), eq(gateway.gatewayId, gatewayId)));
}

export async function setAssetPattern(
  tx: Tx,
  fleetId: number,
  assetId: string,
  pattern: { patternId: string; patternVersion: number },
): Promise<void> {
  await builder(tx)
    .update(asset)
    .set(pattern)
    .where(and(eq(asset.fleetId, fleetId), eq(asset.assetId, assetId)));
}
