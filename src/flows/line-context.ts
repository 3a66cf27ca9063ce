import type { LineContext } from '../domain/usage/fold-line.ts';
import { defaultJitterSteps, earliestReadingMs, positionKey } from '../domain/usage/fold-rules.ts';
import { handAllowanceMs } from '../domain/usage/hand-reading.ts';
import { builtInMeter } from '../domain/usage/meter.ts';
import { addRange, emptySet, type NumberSet } from '../domain/usage/number-set.ts';
import {
  type Position,
  type Run,
  runAsDecided,
  type StreamCause,
  strongestCause,
} from '../domain/usage/run.ts';
import { attributeBy } from '../domain/usage/split.ts';
import { dialReadingsAfter } from '../store/hand-reading.ts';
import type { LineStream } from '../store/line-streams.ts';
import type { LineWork, WorkLine } from '../store/line-work.ts';
import { runsAfter } from '../store/reading.ts';
import type { Tx } from '../store/tx.ts';

/**
 * Readings read at a time, about: bounds the memory of a rebuild. How many runs that is depends on
 * how long they are, from single readings up to 5,000.
 */
const readingsAtOnce = 100_000;
const runsAtFirst = 50;
const runsAtMost = 5_000;

/** How many runs to read next, when so many were as long as this together. */
const nextPage = (runs: number, readings: number): number =>
  Math.min(runsAtMost, Math.ceil((readingsAtOnce * runs) / readings));

const handReadingsAtOnce = 2_000;

/** Up to where the readings of a line are put away. */
function cutOf(streams: readonly LineStream[]): Position | null {
  const last = streams.findLast((stream) => stream.cutSeq !== null);
  return last ? { ordinal: last.ordinal, seq: last.cutSeq as number } : null;
}

/** All that the fold of a line depends on besides its readings. */
export function lineContext(
  line: WorkLine,
  { streams, sources, decided }: Pick<LineWork, 'streams' | 'sources' | 'decided'>,
): LineContext {
  const meter = line.byHand ? builtInMeter(line.meter) : undefined;
  return {
    rules: {
      grainsPerTick: line.resolutionGrains,
      minMsPerTick: line.minMsPerTick,
      widthBits: line.widthBits,
      // A dial has no bad contacts: what falls is another dial, or a wrong entry.
      jitterSteps: meter ? 0 : defaultJitterSteps,
      earliestMs: earliestReadingMs,
      ...(meter ? { allowanceMs: handAllowanceMs(meter) } : {}),
      ...(decided.length > 0
        ? { decided: new Map(decided.map((each) => [positionKey(each), each])) }
        : {}),
    },
    dated: [],
    attribute: attributeBy(sources),
    cut: cutOf(streams),
  };
}

/**
 * The runs of a line after a position, in order, without the numbers that are in conflict. A stream
 * without readings hands its cause on to the next.
 */
export function lineRuns(
  tx: Tx,
  line: WorkLine,
  streams: readonly LineStream[],
  after: Position | null,
): AsyncGenerator<Run> {
  return line.byHand ? handRuns(tx, line, after) : deviceRuns(tx, line, streams, after);
}

/** Readings by hand, each a run of its own: numbered by their time, so that a late one fits in. */
async function* handRuns(
  tx: Tx,
  { fleetId, lineId }: WorkLine,
  after: Position | null,
): AsyncGenerator<Run> {
  let seq = after?.seq ?? -1;
  for (;;) {
    const rows = await dialReadingsAfter(tx, fleetId, lineId, seq, handReadingsAtOnce);
    for (const { atMs, grains, ordinal, recordedAtMs } of rows) {
      const cause = ordinal > 0 ? 'controller_replaced' : 'first';
      const at = { firstSeq: atMs, at: [atMs], raw: [grains] };
      yield { ordinal, cause, ...at, receivedAtMs: Math.max(recordedAtMs, atMs), offsetMs: 0 };
    }
    const last = rows.at(-1);
    if (!last || rows.length < handReadingsAtOnce) return;
    seq = last.atMs;
  }
}

async function* deviceRuns(
  tx: Tx,
  { fleetId }: WorkLine,
  streams: readonly LineStream[],
  after: Position | null,
): AsyncGenerator<Run> {
  let handedOn: StreamCause[] = [];
  for (const stream of streams) {
    const { ordinal, streamId } = stream;
    if (after !== null && ordinal < after.ordinal) continue;
    const from = after !== null && ordinal === after.ordinal ? after.seq : -1;
    const cause = strongestCause([...handedOn, stream.cause]);
    let leftOut: NumberSet = emptySet;
    for (const seq of stream.leftOut) leftOut = addRange(leftOut, seq, seq);
    let next = from;
    let limit = runsAtFirst;
    let any = from >= 0;
    for (;;) {
      const rows = await runsAfter(tx, fleetId, streamId, next, limit);
      let readings = 0;
      for (const row of rows) {
        readings += row.raw.length;
        for (const run of runAsDecided({ ordinal, cause, ...row }, leftOut, stream.replaced)) {
          any = true;
          yield run;
        }
      }
      const last = rows.at(-1);
      if (!last || rows.length < limit) break;
      next = last.firstSeq + last.raw.length - 1;
      limit = nextPage(rows.length, readings);
    }
    handedOn = any ? [] : [...handedOn, stream.cause];
  }
}
