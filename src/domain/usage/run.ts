/** Readings as the fold takes them: runs of consecutive sequence numbers, in line order. */
import { absent, addRange, type NumberSet } from './number-set.ts';

/** Why a stream began, as the server recorded it when it issued the epoch. Weakest first. */
export const streamCauses = [
  'first',
  'sequence_lost',
  'counter_reset',
  'controller_replaced',
] as const;
export type StreamCause = (typeof streamCauses)[number];

/**
 * Where a reading stands in its line: the ordinal of its stream, then its number within the stream.
 */
export interface Position {
  readonly ordinal: number;
  readonly seq: number;
}

/**
 * Readings `firstSeq`, `firstSeq + 1`, … of one stream, as they arrived together or were joined
 * later. `at` and `raw` have the same length: device time in ms, and the device's own ticks.
 */
export interface Run {
  readonly ordinal: number;
  /**
   * Why the run's stream began; used at its first reading only. Where streams before it have no
   * readings (so that the fold never meets them), the strongest of their causes and its own:
   * `strongestCause`.
   */
  readonly cause: StreamCause;
  readonly firstSeq: number;
  readonly at: ArrayLike<number>;
  readonly raw: ArrayLike<number>;
  /** When the first of them arrived. */
  readonly receivedAtMs: number;
  /** When each arrived, where they were posted apart and joined; null or nothing: all at once. */
  readonly arrivals?: ArrayLike<number> | null;
  /** Above zero: the post proved the device's clock fast by this much. */
  readonly offsetMs: number;
}

export function comparePositions(a: Position, b: Position): number {
  return a.ordinal - b.ordinal || a.seq - b.seq;
}

export function arrivedAt(run: Run, index: number): number {
  return run.arrivals?.[index] ?? run.receivedAtMs;
}

export function strongestCause(causes: readonly StreamCause[]): StreamCause {
  let strongest = 0;
  for (const cause of causes) strongest = Math.max(strongest, streamCauses.indexOf(cause));
  return streamCauses[strongest]!;
}

/**
 * The parts of a run without some of its numbers: those in conflict, which count for nothing until
 * decided.
 */
export function runWithout(run: Run, leftOut: NumberSet): Run[] {
  if (run.at.length === 0) return [];
  const lastSeq = run.firstSeq + run.at.length - 1;
  return absent(leftOut, run.firstSeq, lastSeq).map(([from, to]) => {
    const first = from - run.firstSeq;
    const end = to - run.firstSeq + 1;
    return {
      ...run,
      firstSeq: from,
      at: part(run.at, first, end),
      raw: part(run.raw, first, end),
      receivedAtMs: arrivedAt(run, first),
      arrivals: run.arrivals ? part(run.arrivals, first, end) : null,
    };
  });
}

function part(values: ArrayLike<number>, from: number, to: number): ArrayLike<number> {
  if (values instanceof Float64Array) return values.subarray(from, to);
  return Array.prototype.slice.call(values, from, to);
}

/** A reading that a person put in the place of the one with its number. */
export interface ReplacedReading {
  readonly seq: number;
  readonly atMs: number;
  readonly raw: number;
  readonly receivedAtMs: number;
}

/** The parts of a run without some of its numbers, and with others in the place of what it says. */
export function runAsDecided(
  run: Run,
  leftOut: NumberSet,
  replaced: readonly ReplacedReading[],
): Run[] {
  const lastSeq = run.firstSeq + run.at.length - 1;
  const own = replaced.filter(({ seq }) => seq >= run.firstSeq && seq <= lastSeq);
  if (own.length === 0) return runWithout(run, leftOut);
  let without = leftOut;
  for (const { seq } of own) without = addRange(without, seq, seq);
  const others = own.map(({ seq, atMs, raw, receivedAtMs }) => {
    // What its post said of the clock was not kept with it.
    const one = { firstSeq: seq, at: [atMs], raw: [raw], receivedAtMs, arrivals: null };
    return { ...run, ...one, offsetMs: 0 };
  });
  return [...runWithout(run, without), ...others].sort((a, b) => a.firstSeq - b.firstSeq);
}
