import { linkSources } from '../domain/usage/link-sources.ts';
import { type AssetKind, builtInMeters } from '../domain/usage/meter.ts';
import { findAsset } from '../store/asset.ts';
import { countersOf } from '../store/counter.ts';
import { installsOf, installsOnUnits } from '../store/install.ts';
import {
  type MeterSourceRow,
  markWholeLines,
  replaceSources,
  sourcesOfAssets,
} from '../store/meter-source.ts';
import { markUnits } from '../store/unit-mark.ts';
import type { Work } from './work.ts';

export const metersOfKind = (kind: AssetKind): string[] =>
  builtInMeters.filter((meter) => meter.assetKind === kind).map((meter) => meter.name);

const sameSources = (a: readonly MeterSourceRow[], b: readonly MeterSourceRow[]): boolean => {
  const text = (rows: readonly MeterSourceRow[]) =>
    rows
      .map((r) => `${r.meter} ${r.lineId} ${r.during.fromMs} ${r.during.toMs}`)
      .sort()
      .join('|');
  return text(a) === text(b);
};

/**
 * Works out anew which lines count for the assets that are, or ever were, on these units, and has
 * the lines whose use now belongs elsewhere folded anew. Called when an install, a gateway or a
 * counter of the units changed.
 */
export async function linkMeterSources(work: Work, unitIds: readonly string[]): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const there = await installsOnUnits(tx, fleetId, unitIds);
  const assetIds = [...new Set(there.flatMap((i) => (i.assetId ? [i.assetId] : [])))];
  const ofAssets = await installsOf(tx, fleetId, { assetIds });
  const everywhere = [...new Set([...unitIds, ...ofAssets.map((i) => i.unitId)])];
  const installs = await installsOnUnits(tx, fleetId, everywhere);
  const gatewayIds = [...new Set(installs.flatMap((i) => (i.gatewayId ? [i.gatewayId] : [])))];
  const gateways = installs.flatMap(({ gatewayId, unitId, during }) =>
    gatewayId ? [{ gatewayId, unitId, ...during }] : [],
  );
  const counters = (await countersOf(tx, fleetId, gatewayIds)).map((counter) => ({
    gatewayId: counter.gatewayId,
    meter: counter.line.meter,
    lineId: counter.line.lineId,
    counterId: counter.counterId,
  }));
  const current = await sourcesOfAssets(tx, fleetId, assetIds);
  const touched = new Set<number>();
  for (const assetId of assetIds) {
    const asset = await findAsset(tx, fleetId, assetId, nowMs);
    if (!asset) continue;
    const places = ofAssets
      .filter((i) => i.assetId === assetId)
      .map(({ unitId, during }) => ({ unitId, ...during }));
    const before = current.filter((source) => source.assetId === assetId);
    const after = linkSources(metersOfKind(asset.kind), places, gateways, counters).map(
      ({ meter, lineId, fromMs, toMs }) => ({
        fleetId,
        assetId,
        meter,
        lineId,
        during: { fromMs, toMs },
      }),
    );
    if (sameSources(before, after)) continue;
    await replaceSources(tx, fleetId, assetId, after);
    for (const { lineId } of [...before, ...after]) touched.add(lineId);
  }
  const shards = await markWholeLines(tx, fleetId, [...touched], nowMs);
  for (const shard of shards) work.wake('fold', shard);
  for (const shard of await markUnits(tx, fleetId, everywhere, nowMs)) work.wake('assess', shard);
}
