import type { LineContext } from '../domain/usage/fold-line.ts';
import { defaultJitterSteps, earliestReadingMs } from '../domain/usage/fold-rules.ts';
import { addRange, emptySet, type NumberSet } from '../domain/usage/number-set.ts';
import {
  type Position,
  type Run,
  runWithout,
  type StreamCause,
  strongestCause,
} from '../domain/usage/run.ts';
import { attributeBy, type MeterSource } from '../domain/usage/split.ts';
import { type LineRow, streamsOfLine } from '../store/counter.ts';
import { installsOf } from '../store/install.ts';
import { sourcesOfLine } from '../store/meter-source.ts';
import { leftOutNumbers, runLengthMax, runsAfter } from '../store/reading.ts';
import type { Tx } from '../store/tx.ts';
import { calendarOf, homeYards } from '../store/unit.ts';

/** Runs read at a time: bounds the memory of a rebuild. */
const runsAtOnce = 200;

/** For which assets a line counts, from-to, each with the calendar of the unit that it was on. */
export async function sourcesWithCalendars(
  tx: Tx,
  fleetId: number,
  lineId: number,
): Promise<MeterSource[]> {
  const sources = await sourcesOfLine(tx, fleetId, lineId);
  const assetIds = [...new Set(sources.map((source) => source.assetId))];
  if (assetIds.length === 0) return [];
  const installs = await installsOf(tx, fleetId, { assetIds });
  const yards = await homeYards(tx, fleetId, [...new Set(installs.map((i) => i.unitId))]);
  const found: MeterSource[] = [];
  for (const { assetId, during } of sources) {
    for (const place of installs) {
      if (place.assetId !== assetId) continue;
      const fromMs = Math.max(during.fromMs, place.during.fromMs);
      const ends = [during.toMs, place.during.toMs].filter((ms) => ms !== null);
      const toMs = ends.length > 0 ? Math.min(...ends) : null;
      const calendar = calendarOf(yards.get(place.unitId) ?? []);
      if ((toMs === null || toMs > fromMs) && calendar.length > 0) {
        found.push({ fromMs, toMs, assetId, calendar });
      }
    }
  }
  return found.sort((a, b) => a.fromMs - b.fromMs);
}

/** All that the fold of a line depends on besides its readings. */
export async function lineContext(
  tx: Tx,
  line: LineRow,
): Promise<LineContext & { sources: MeterSource[] }> {
  const sources = await sourcesWithCalendars(tx, line.fleetId, line.lineId);
  return {
    rules: {
      grainsPerTick: line.resolutionGrains,
      minMsPerTick: line.minMsPerTick,
      widthBits: line.widthBits,
      jitterSteps: defaultJitterSteps,
      earliestMs: earliestReadingMs,
    },
    dated: [],
    attribute: attributeBy(sources),
    sources,
  };
}

/**
 * The runs of a line after a position, in order, without the numbers that are in conflict. A stream
 * without readings hands its cause on to the next.
 */
export async function* lineRuns(
  tx: Tx,
  line: LineRow,
  after: Position | null,
): AsyncGenerator<Run> {
  const { fleetId, lineId } = line;
  let handedOn: StreamCause[] = [];
  for (const stream of await streamsOfLine(tx, fleetId, lineId)) {
    const { ordinal, streamId } = stream;
    if (after !== null && ordinal < after.ordinal) continue;
    const from = after !== null && ordinal === after.ordinal ? after.seq : -1;
    const cause = strongestCause([...handedOn, stream.cause]);
    let leftOut: NumberSet = emptySet;
    for (const seq of await leftOutNumbers(tx, fleetId, streamId)) {
      leftOut = addRange(leftOut, seq, seq);
    }
    let next = { seq: from, firstSeq: from - runLengthMax };
    let any = from >= 0;
    for (;;) {
      const rows = await runsAfter(tx, fleetId, streamId, next, runsAtOnce);
      for (const row of rows) {
        for (const run of runWithout({ ordinal, cause, ...row }, leftOut)) {
          any = true;
          yield run;
        }
      }
      const last = rows.at(-1);
      if (!last || rows.length < runsAtOnce) break;
      next = {
        seq: last.firstSeq + last.raw.length - 1,
        firstSeq: last.firstSeq,
      };
    }
    handedOn = any ? [] : [...handedOn, stream.cause];
  }
}
