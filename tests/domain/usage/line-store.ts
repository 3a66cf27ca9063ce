/**
 * A line as the service keeps it, in memory: readings by position, segments, refolded after each
 * delivery.
 */
import {
  applyRefold,
  foldLine,
  type LineContext,
  refold,
  resumeFor,
} from '../../../src/domain/usage/fold-line.ts';
import { comparePositions, type Position, type Run } from '../../../src/domain/usage/run.ts';
import type { Segment } from '../../../src/domain/usage/segment.ts';

/** A reading as a run of one. */
export type Single = Run;

export function positionOf(single: Single): Position {
  return { ordinal: single.ordinal, seq: single.firstSeq };
}

/**
 * Neighbouring readings joined to runs, whenever each arrived; `sizes` cuts them shorter, over and
 * over.
 */
export function joinRuns(singles: readonly Single[], sizes: readonly number[] = [500]): Run[] {
  const runs: { head: Single; at: number[]; raw: number[]; arrivals: number[] }[] = [];
  let cut = 0;
  for (const each of singles) {
    const last = runs.at(-1);
    const joins =
      last !== undefined &&
      last.head.ordinal === each.ordinal &&
      last.head.firstSeq + last.at.length === each.firstSeq &&
      last.head.offsetMs === each.offsetMs &&
      last.at.length < sizes[cut % sizes.length]!;
    if (joins) {
      last.at.push(each.at[0]!);
      last.raw.push(each.raw[0]!);
      last.arrivals.push(each.receivedAtMs);
    } else {
      const arrivals = [each.receivedAtMs];
      runs.push({ head: each, at: [each.at[0]!], raw: [each.raw[0]!], arrivals });
      cut += 1;
    }
  }
  return runs.map(({ head, at, raw, arrivals }) => ({
    ...head,
    at: Float64Array.from(at),
    raw: Float64Array.from(raw),
    arrivals: arrivals.every((ms) => ms === arrivals[0]) ? null : Float64Array.from(arrivals),
  }));
}

export class LineStore {
  segments: Segment[] = [];
  refoldedReadings = 0;
  private readonly context: LineContext;
  private singles: Single[] = [];

  constructor(context: LineContext) {
    this.context = context;
  }

  /** Keeps what is new and folds again from there, through stored (JSON) states. */
  deliver(batch: readonly Single[], sizes?: readonly number[]): void {
    const known = new Set(this.singles.map((each) => `${each.ordinal}/${each.firstSeq}`));
    const fresh: Single[] = [];
    for (const each of batch) {
      const key = `${each.ordinal}/${each.firstSeq}`;
      if (!known.has(key)) fresh.push(each);
      known.add(key);
    }
    if (fresh.length === 0) return;
    const order = (a: Single, b: Single) => comparePositions(positionOf(a), positionOf(b));
    fresh.sort(order);
    this.singles = [...this.singles, ...fresh].sort(order);
    const span = { from: positionOf(fresh[0]!), until: positionOf(fresh.at(-1)!) };
    const stored = JSON.parse(JSON.stringify(this.segments)) as Segment[];
    const { after } = resumeFor(stored, span.from);
    const needed = this.singles.filter(
      (each) => after === null || comparePositions(positionOf(each), after) > 0,
    );
    const refolded = refold(this.context, stored, joinRuns(needed, sizes), span);
    for (const segment of refolded.segments) this.refoldedReadings += segment.readings;
    this.segments = applyRefold(stored, refolded);
  }

  /** The segments of all readings folded at once. */
  afresh(): Segment[] {
    return [...foldLine(this.context, null, joinRuns(this.singles))];
  }
}
