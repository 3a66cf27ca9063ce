import { exactParts } from '../domain/upkeep/document-reader.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import type { ServicePoint } from '../domain/upkeep/service-point.ts';
import { builtInMeters, type Meter } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import type { AssetOnUnit } from '../store/asset.ts';
import type { Tx } from '../store/tx.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindAsset } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import type { Work } from './work.ts';

type WearPart = LiftPattern['wearParts'][number];

/** A place of an asset where parts wear, by the pattern that it follows now. */
export interface WearPlace {
  asset: AssetOnUnit;
  pattern: LiftPattern | null;
  point: ServicePoint | null;
  wearPart: WearPart | null;
  /** The meters that wear it: those that the pattern names, else all of such an asset. */
  meters: string[];
}

const refuse = (words: string) => new Problem('reference_unknown', words);

/**
 * The place that is meant. An asset with a pattern has the points and wear parts of it and no
 * others; one without may have any.
 *
 * @throws Problem not_found, reference_unknown
 */
export async function mustFindPlace(
  work: Work,
  place: { assetId: string; pointKey: string; part: string | null },
): Promise<WearPlace> {
  const { tx, fleetId, nowMs } = work;
  const asset = await mustFindAsset(tx, fleetId, place.assetId, nowMs);
  const own = builtInMeters.filter((meter: Meter) => meter.assetKind === asset.kind);
  const all = own.map((meter) => meter.name);
  const pattern = await patternOf(tx, fleetId, asset);
  if (pattern === null) return { asset, pattern, point: null, wearPart: null, meters: all };
  const point = pattern.servicePoints.find((each) => each.key === place.pointKey);
  if (!point) throw refuse('pointKey names no service point of its pattern.');
  if (place.part === null) return { asset, pattern, point, wearPart: null, meters: all };
  const wearPart = pattern.wearParts.find((each) => each.key === place.part);
  if (!wearPart) throw refuse('part names no wear part of its pattern.');
  if (!wearPart.points.includes(point.key)) throw refuse('That wear part has no such point.');
  return { asset, pattern, point, wearPart, meters: wearPart.meters };
}

/** The meters that wear a part, by the pattern that its asset follows now. */
export async function metersOfPart(
  tx: Tx,
  fleetId: number,
  asset: AssetOnUnit,
  part: string,
): Promise<string[]> {
  const pattern = await patternOf(tx, fleetId, asset);
  const wearPart = pattern?.wearParts.find((each) => each.key === part);
  if (wearPart) return wearPart.meters;
  return builtInMeters.filter((each) => each.assetKind === asset.kind).map(({ name }) => name);
}

/** @throws Problem time_invalid */
export function pastInstant(work: Work, atMs: number, what = 'at'): number {
  if (atMs > work.nowMs + 120_000 || atMs < earliestMs) {
    throw new Problem('time_invalid', `\`${what}\` must be a time that has been.`);
  }
  return Math.min(atMs, work.nowMs);
}

function wholeParts(value: number, what: string, scale: number, decimals: string): number {
  const parts = exactParts(value, scale);
  if (parts !== null) return parts;
  throw new Problem('measure_invalid', `\`${what}\` must have at most ${decimals} decimals.`);
}

/** A figure as whole thousandths. @throws Problem measure_invalid */
export const thousandths = (value: number, what: string): number =>
  wholeParts(value, what, 1000, 'three');

/** A figure as whole ten-thousandths. @throws Problem measure_invalid */
export const tenThousandths = (value: number, what: string): number =>
  wholeParts(value, what, 10_000, 'four');
