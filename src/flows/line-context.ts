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
import type { LineStream, WorkLine } from '../store/line-work.ts';
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

/** All that the fold of a line depends on besides its readings. */
export function lineContext(line: WorkLine, sources: readonly MeterSource[]): LineContext {
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
  };
}

/**
 * The runs of a line after a position, in order, without the numbers that are in conflict. A stream
 * without readings hands its cause on to the next.
 */
export async function* lineRuns(
  tx: Tx,
  fleetId: number,
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
        for (const run of runWithout({ ordinal, cause, ...row }, leftOut)) {
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
