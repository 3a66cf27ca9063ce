import { fold } from '../domain/usage/fold.ts';
import { emptyFoldState } from '../domain/usage/fold-state.ts';
import { localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import { comparePositions, type Position } from '../domain/usage/run.ts';
import type { Segment } from '../domain/usage/segment.ts';
import { attributeBy } from '../domain/usage/split.ts';
import { segmentBefore } from '../store/fold-segment.ts';
import { findLine, lineSetting } from '../store/line-work.ts';
import type { Tx } from '../store/tx.ts';
import { lineUseOfDay } from '../store/usage.ts';
import { adjustedUntil } from '../store/usage-entry.ts';
import { saveUseUntil, type UseUntil } from '../store/use-until.ts';
import { lineContext, lineRuns } from './line-context.ts';

/** A line that counted for the asset's meter, from-to. */
export interface LookupSource {
  meter: string;
  lineId: number;
  fromMs: number;
  toMs: number | null;
}

const dayMs = 86_400_000;

/** Whether readings that would have to be folded from there are put away. */
const isPutAway = (before: Segment | null, cut: Position | null | undefined): boolean =>
  cut != null && comparePositions(before?.end ?? emptyFoldState, cut) < 0;

/**
 * Where the readings of a day are put away: what was counted on it, as if it had been used evenly
 * while the line counted for the asset.
 */
async function evenly(
  tx: Tx,
  fleetId: number,
  assetId: string,
  source: LookupSource,
  day: string,
  dayStartMs: number,
  atMs: number,
): Promise<number> {
  const { meter, lineId } = source;
  const grains = await lineUseOfDay(tx, fleetId, { assetId, meter, lineId, day });
  const fromMs = Math.max(source.fromMs, dayStartMs);
  const toMs = Math.min(source.toMs ?? Infinity, dayStartMs + dayMs);
  if (atMs >= toMs) return grains;
  return Math.floor((grains * (atMs - fromMs)) / (toMs - fromMs));
}

/** Folds the readings around one instant again, and adds up what lies on its day before it. */
async function foldUntil(
  tx: Tx,
  fleetId: number,
  assetId: string,
  source: LookupSource,
  day: string,
  dayStartMs: number,
  atMs: number,
): Promise<number> {
  const line = await findLine(tx, fleetId, source.lineId);
  if (!line) return 0;
  const setting = await lineSetting(tx, line, atMs);
  const { streams, sources } = setting;
  const context = lineContext(line, setting);
  // A counter's use after the instant belongs to nobody here: its sources end there.
  const cut = sources
    .filter((each) => each.assetId === assetId && each.fromMs < atMs)
    .map((each) => ({ ...each, toMs: Math.min(each.toMs ?? atMs, atMs) }));
  const attribute = attributeBy(cut);
  let grains = 0;
  const add = (_assetId: string, onDay: string, part: number) => {
    if (onDay === day) grains += part;
  };
  const before = await segmentBefore(tx, fleetId, source.lineId, Math.floor(dayStartMs / dayMs));
  if (isPutAway(before, context.cut)) {
    return evenly(tx, fleetId, assetId, source, day, dayStartMs, atMs);
  }
  let state = before?.state ?? emptyFoldState;
  const sink = {
    increment: (fromMs: number, toMs: number, part: number) => {
      if (toMs > dayStartMs && fromMs < atMs) attribute(fromMs, toMs, part, add);
    },
    verdict: () => undefined,
  };
  for await (const run of lineRuns(tx, line, streams, before?.end ?? null)) {
    state = fold(state, run, context.rules, sink);
    if (state.base !== 'none' && state.atMs >= atMs) break;
  }
  return grains;
}

/**
 * What a line counted from one instant to another, in grains, whoever's use it was: folded again
 * from its readings. An increment that reaches beyond the period is split by time.
 */
export async function lineUseBetween(
  tx: Tx,
  fleetId: number,
  lineId: number,
  fromMs: number,
  toMs: number,
): Promise<number> {
  const line = await findLine(tx, fleetId, lineId);
  if (!line) return 0;
  const setting = await lineSetting(tx, line, toMs);
  const context = lineContext(line, setting);
  const calendar = [{ fromMs: 0, timeZone: 'UTC' }];
  const attribute = attributeBy([{ fromMs, toMs, assetId: '', calendar }]);
  let grains = 0;
  const add = (_assetId: string, _day: string, part: number) => {
    grains += part;
  };
  const sink = {
    increment: (a: number, b: number, part: number) => {
      if (b > fromMs && a < toMs) attribute(a, b, part, add);
    },
    verdict: () => undefined,
  };
  const before = await segmentBefore(tx, fleetId, lineId, Math.floor(fromMs / dayMs));
  let state = before?.state ?? emptyFoldState;
  for await (const run of lineRuns(tx, line, setting.streams, before?.end ?? null)) {
    state = fold(state, run, context.rules, sink);
    if (state.base !== 'none' && state.atMs >= toMs) break;
  }
  return grains;
}

/**
 * Looks up the use of an asset's meters on the local day of an instant, up to that instant: from
 * the readings, so that a task done at noon does not take the afternoon with it. Answers are kept
 * until the fold or an adjustment touches that day again.
 */
export class UseLookup {
  readonly #tx: Tx;
  readonly #fleetId: number;
  readonly #assetId: string;
  readonly #zone: string;
  readonly #sources: readonly LookupSource[];
  readonly #known: Map<string, number>;
  readonly #keep: boolean;

  constructor(
    tx: Tx,
    asset: { fleetId: number; assetId: string; zone: string },
    sources: readonly LookupSource[],
    known: readonly UseUntil[],
    keep = true,
  ) {
    this.#tx = tx;
    this.#fleetId = asset.fleetId;
    this.#assetId = asset.assetId;
    this.#zone = asset.zone;
    this.#keep = keep;
    this.#sources = sources;
    this.#known = new Map(known.map((use) => [`${use.meter} ${use.atMs}`, use.grains]));
  }

  async until(meter: string, atMs: number): Promise<number> {
    const key = `${meter} ${atMs}`;
    const known = this.#known.get(key);
    if (known !== undefined) return known;
    const day = localDay(atMs, this.#zone);
    const dayStartMs = startOfLocalDay(day, this.#zone);
    const moment = { assetId: this.#assetId, meter, day, atMs };
    let grains = await adjustedUntil(this.#tx, this.#fleetId, moment);
    for (const source of this.#sources) {
      const { fromMs, toMs } = source;
      if (source.meter !== meter || fromMs >= atMs || (toMs ?? Infinity) <= dayStartMs) continue;
      grains += await foldUntil(
        this.#tx,
        this.#fleetId,
        this.#assetId,
        source,
        day,
        dayStartMs,
        atMs,
      );
    }
    if (this.#keep) {
      await saveUseUntil(this.#tx, this.#fleetId, this.#assetId, day, { meter, atMs, grains });
    }
    this.#known.set(key, grains);
    return grains;
  }
}
