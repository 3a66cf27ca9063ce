import type { Cause } from '../domain/events/cause.ts';
import {
  type Candidate,
  deviceCandidates,
  firstDifference,
  type LinkedSource,
  linkSources,
  type SourceChoice,
} from '../domain/usage/link-sources.ts';
import { type AssetKind, builtInMeters } from '../domain/usage/meter.ts';
import { kindsOfAssets } from '../store/asset.ts';
import { countersOf } from '../store/counter.ts';
import { shardsOfMovedGateways } from '../store/gateway-watch.ts';
import { type ReadLine, readLinesOfAssets } from '../store/hand-reading.ts';
import { type InstallRow, installsOf, installsOnUnits, lockInstalls } from '../store/install.ts';
import {
  choicesOfAssets,
  type MeterSourceRow,
  markLinesFrom,
  replaceSources,
  sourcesOfAssets,
} from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';
import { markUnits } from '../store/unit-mark.ts';
import type { Work } from './work.ts';

export const metersOfKind = (kind: AssetKind): string[] =>
  builtInMeters.filter((meter) => meter.assetKind === kind).map((meter) => meter.name);

/** What could count for an asset, what people chose, and what then counts. */
export interface AssetSources {
  assetId: string;
  kind: AssetKind;
  installs: InstallRow[];
  candidates: Candidate[];
  choices: SourceChoice[];
  sources: LinkedSource[];
}

/** A dial counts for its asset wherever that is, from when it was first known what it showed. */
const handCandidate = ({ meter, lineId, fromMs }: ReadLine): Candidate => ({
  meter,
  lineId,
  rank: 'hand',
  order: lineId,
  fromMs,
  toMs: null,
});

/** Works out which lines count for the assets, from all that is known of them now. */
export async function workOutSources(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<AssetSources[]> {
  const ofAssets = await installsOf(tx, fleetId, { assetIds });
  const units = [...new Set(ofAssets.map((i) => i.unitId))];
  const there = await installsOnUnits(tx, fleetId, units);
  const gateways = there.flatMap(({ gatewayId, unitId, during }) =>
    gatewayId ? [{ gatewayId, unitId, ...during }] : [],
  );
  const gatewayIds = [...new Set(gateways.map((gateway) => gateway.gatewayId))];
  const counters = (await countersOf(tx, fleetId, gatewayIds)).map((counter) => ({
    gatewayId: counter.gatewayId,
    meter: counter.line.meter,
    lineId: counter.line.lineId,
    counterId: counter.counterId,
  }));
  const chosen = await choicesOfAssets(tx, fleetId, assetIds);
  const read = await readLinesOfAssets(tx, fleetId, assetIds);
  return (await kindsOfAssets(tx, fleetId, assetIds)).map(({ assetId, kind }) => {
    const installs = ofAssets.filter((i) => i.assetId === assetId);
    const places = installs.map(({ unitId, during }) => ({ unitId, ...during }));
    const meters = metersOfKind(kind);
    const candidates = [
      ...deviceCandidates(meters, places, gateways, counters),
      ...read.filter((line) => line.assetId === assetId).map(handCandidate),
    ];
    const choices = chosen
      .filter((choice) => choice.assetId === assetId)
      .map(({ choiceId, meter, lineId, during }) => ({ choiceId, meter, lineId, ...during }));
    const sources = linkSources(meters, candidates, choices);
    return { assetId, kind, installs, candidates, choices, sources };
  });
}

/**
 * What counts when, whatever made it so: a choice that says no other than the rule leaves no seam,
 * at which use would be rounded otherwise.
 */
function countingRows(
  fleetId: number,
  assetId: string,
  sources: readonly LinkedSource[],
): MeterSourceRow[] {
  const rows: MeterSourceRow[] = [];
  for (const { meter, lineId, fromMs, toMs } of sources) {
    const last = rows.at(-1);
    const goesOn = last?.meter === meter && last.lineId === lineId && last.during.toMs === fromMs;
    if (last && goesOn) last.during = { ...last.during, toMs };
    else rows.push({ fleetId, assetId, meter, lineId, during: { fromMs, toMs } });
  }
  return rows;
}

/** By line, from when on its use of one asset belongs elsewhere. */
function changedLines(
  before: readonly MeterSourceRow[],
  after: readonly MeterSourceRow[],
  movedFromMs: number | null,
  byHand: ReadonlySet<number>,
): Map<number, number> {
  const changed = new Map<number, number>();
  const rows = [...before, ...after];
  for (const lineId of new Set(rows.map((row) => row.lineId))) {
    const periods = (list: readonly MeterSourceRow[]) =>
      list.filter((row) => row.lineId === lineId).map((row) => row.during);
    const differs = firstDifference(periods(before), periods(after));
    // Where it sits gives the calendar of its days, also when the same line goes on counting. A
    // dial has its days also from before it was put anywhere.
    const moved = movedFromMs !== null && byHand.has(lineId) ? 0 : movedFromMs;
    const fromMs = Math.min(differs ?? Infinity, moved ?? Infinity);
    if (fromMs !== Infinity) changed.set(lineId, fromMs);
  }
  return changed;
}

export interface Relinked {
  /** Units whose installs, gateways or counters changed: before and after. */
  unitIds: readonly string[];
  /** Assets whose own installs changed; they may be on no unit any more. */
  assetIds?: readonly string[];
  /** From when on those assets are elsewhere. */
  movedFromMs?: number;
  causes?: readonly Cause[];
}

/**
 * Works out anew which lines count for the assets that are, or ever were, on these units, and has
 * the lines whose use now belongs elsewhere folded anew from there on. Called when an install, a
 * gateway, a counter or a choice of the units changed; one at a time in a fleet, so that of two
 * changes at once the later sees the earlier.
 */
export async function linkMeterSources(work: Work, changed: Relinked): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const { unitIds, causes = [], movedFromMs = null } = changed;
  await lockInstalls(tx, fleetId);
  const there = await installsOnUnits(tx, fleetId, unitIds);
  const moved = new Set(changed.assetIds ?? []);
  const assetIds = [
    ...new Set([...moved, ...there.flatMap((i) => (i.assetId ? [i.assetId] : []))]),
  ];
  const current = await sourcesOfAssets(tx, fleetId, assetIds);
  const lines = new Map<number, number>();
  const units = new Set(unitIds);
  for (const each of await workOutSources(tx, fleetId, assetIds)) {
    const { assetId, installs, candidates, sources } = each;
    const hand = candidates.filter((c) => c.rank === 'hand').map((c) => c.lineId);
    for (const { unitId } of installs) units.add(unitId);
    const before = current.filter((source) => source.assetId === assetId);
    const after = countingRows(fleetId, assetId, sources);
    const touched = changedLines(
      before,
      after,
      moved.has(assetId) ? movedFromMs : null,
      new Set(hand),
    );
    if (touched.size === 0) continue;
    await replaceSources(tx, fleetId, assetId, after);
    for (const [lineId, fromMs] of touched) {
      lines.set(lineId, Math.min(fromMs, lines.get(lineId) ?? Infinity));
    }
  }
  const anew = [...lines].map(([lineId, fromMs]) => ({ lineId, fromMs }));
  const shards = await markLinesFrom(tx, fleetId, anew, nowMs, causes);
  for (const shard of shards) work.wake('fold', shard);
  const marked = await markUnits(tx, fleetId, [...units], nowMs, causes);
  for (const shard of marked) work.wake('assess', shard);
  for (const shard of await shardsOfMovedGateways(tx, fleetId)) work.wake('watch', shard);
}
