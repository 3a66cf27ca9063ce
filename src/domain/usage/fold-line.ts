/**
 * Drives the fold along a line, segment by segment: from the start, on from a head, or again after
 * a late reading.
 */
import { fold } from './fold.ts';
import type { FoldRules } from './fold-rules.ts';
import { emptyFoldState, type FoldState, sameState } from './fold-state.ts';
import { comparePositions, type Position, type Run } from './run.ts';
import { type DatedRules, endOfDay, rulesOn, type Segment, utcDayOf } from './segment.ts';
import { SegmentBuilder } from './segment-builder.ts';
import type { Attribute } from './split.ts';

/** All that the fold of one line depends on, besides its readings. */
export interface LineContext {
  readonly rules: FoldRules;
  /** Later figures, sorted; they never change what was folded before their day. */
  readonly dated: readonly DatedRules[];
  readonly attribute: Attribute;
  /**
   * Readings up to here are put away: a stored segment ends right there, and neither it nor one
   * before it is ever folded again or gone on with. Null or nothing: the line begins with its first
   * reading.
   */
  readonly cut?: Position | null;
}

/** A position from which to fold, or the first behind the cut when it lies before that. */
export function behindCut(from: Position, cut: Position | null | undefined): Position {
  if (cut == null || comparePositions(from, cut) > 0) return from;
  return { ordinal: cut.ordinal, seq: cut.seq + 1 };
}

export interface Refolded {
  /** Stored segments `replacedFrom` up to (not including) `replacedTo` give way to `segments`. */
  readonly replacedFrom: number;
  readonly replacedTo: number;
  readonly segments: readonly Segment[];
  /**
   * The states agreed before the readings ran out, so the stored segments after `replacedTo` stand.
   */
  readonly agreed: boolean;
}

/**
 * Where folding again must begin when the earliest new reading is at `from`: `keep` stored segments
 * end before it. Readings are needed from after `after` on (null: from the line's first).
 */
export function resumeFor(
  stored: readonly Segment[],
  from: Position,
): { readonly keep: number; readonly after: Position | null } {
  let low = 0;
  let high = stored.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (comparePositions(stored[middle]!.end, from) < 0) low = middle + 1;
    else high = middle;
  }
  return { keep: low, after: stored[low - 1]?.end ?? null };
}

/**
 * Folds a line piece by piece, so that its readings need not be in memory together. Give it the
 * line's stored segments (or the last few, from one that ends before `from`) and the positions of
 * the earliest and the latest new reading; then push every run after `resumeFor(…).after` in line
 * order until `push` says that it is done.
 */
export class LineFold {
  private readonly context: LineContext;
  private readonly stored: readonly Segment[];
  private readonly until: Position;
  private readonly keep: number;
  private state: FoldState;
  private builder: SegmentBuilder | null = null;
  private rules: FoldRules;
  private extendsKept = false;
  private next: number;
  private readonly segments: Segment[] = [];
  private agreedAt: number | null = null;

  constructor(
    context: LineContext,
    stored: readonly Segment[],
    span: { readonly from: Position; readonly until: Position },
  ) {
    this.context = context;
    this.stored = stored;
    this.until = span.until;
    const { cut } = context;
    this.keep = resumeFor(stored, behindCut(span.from, cut)).keep;
    const last = stored[this.keep - 1]?.end ?? emptyFoldState;
    if (cut != null && comparePositions(last, cut) < 0) {
      throw new Error('the checkpoint of a line whose readings are put away is missing');
    }
    this.next = this.keep;
    this.state = stored[this.keep - 1]?.state ?? emptyFoldState;
    this.rules = context.rules;
  }

  /** Folds a run; true when the stored segments agree from here on and nothing more is needed. */
  push(run: Run): boolean {
    const { earliestMs } = this.context.rules;
    let index = firstAfter(this.state, run);
    while (index < run.at.length && this.agreedAt === null) {
      const utcDay = utcDayOf(run, index, earliestMs);
      if (this.builder?.utcDay !== utcDay) {
        this.close();
        if (this.agreedAt !== null) break;
        this.open(utcDay, { ordinal: run.ordinal, seq: run.firstSeq + index });
      }
      const end = endOfDay(run, index, utcDay, earliestMs);
      const builder = this.builder!;
      this.state = fold(this.state, run, this.rules, builder, index, end);
      builder.readings += end - index;
      index = end;
    }
    return this.agreedAt !== null;
  }

  /** Ends the fold; the last segment is the head. */
  finish(): Refolded {
    const agreed = this.agreedAt !== null;
    if (!agreed) this.close(true);
    return {
      replacedFrom: this.extendsKept ? this.keep - 1 : this.keep,
      replacedTo: this.agreedAt ?? this.stored.length,
      segments: this.segments,
      agreed,
    };
  }

  private open(utcDay: number, start: Position): void {
    const kept = this.segments.length === 0 ? this.stored[this.keep - 1] : undefined;
    const { cut } = this.context;
    const isOpen = kept !== undefined && (cut == null || comparePositions(kept.end, cut) > 0);
    const base = isOpen && kept.utcDay === utcDay ? kept : null;
    this.extendsKept ||= base !== null;
    this.builder = new SegmentBuilder(utcDay, base?.start ?? start, this.context.attribute, base);
    this.rules = rulesOn(utcDay, this.context.rules, this.context.dated);
  }

  private close(atEnd = false): void {
    if (this.builder === null) return;
    const segment = this.builder.close(this.state);
    this.segments.push(segment);
    this.builder = null;
    if (atEnd || comparePositions(segment.end, this.until) <= 0) return;
    while (this.next < this.stored.length) {
      const order = comparePositions(this.stored[this.next]!.end, segment.end);
      if (order > 0) return;
      this.next += 1;
      if (order === 0 && sameState(this.stored[this.next - 1]!.state, segment.state)) {
        this.agreedAt = this.next;
      }
    }
  }
}

function firstAfter(state: FoldState, run: Run): number {
  if (run.ordinal > state.ordinal) return 0;
  if (run.ordinal < state.ordinal) return run.at.length;
  return Math.max(0, state.seq + 1 - run.firstSeq);
}

const wholeLine = {
  from: { ordinal: -1, seq: -1 },
  until: { ordinal: Number.MAX_SAFE_INTEGER, seq: 0 },
};

/**
 * Folds the readings after the last stored segment (null: all of the line's); the last result is
 * the head.
 */
export function foldLine(
  context: LineContext,
  head: Segment | null,
  runs: Iterable<Run>,
): readonly Segment[] {
  const stored = head === null ? [] : [head];
  const from = head === null ? wholeLine.from : { ...head.end, seq: head.end.seq + 1 };
  const line = new LineFold(context, stored, { from, until: wholeLine.until });
  for (const run of runs) line.push(run);
  const { segments, replacedFrom } = line.finish();
  return replacedFrom < stored.length || head === null ? segments : [head, ...segments];
}

/**
 * Folds again after new readings between `span.from` and `span.until`, until the states agree with
 * the stored ones. `runs` holds every reading after `resumeFor(stored, span.from).after`, the new
 * ones among them.
 */
export function refold(
  context: LineContext,
  stored: readonly Segment[],
  runs: Iterable<Run>,
  span: { readonly from: Position; readonly until: Position },
): Refolded {
  const line = new LineFold(context, stored, span);
  for (const run of runs) {
    if (line.push(run)) break;
  }
  return line.finish();
}

/** The stored segments with a refold put in their place. */
export function applyRefold(stored: readonly Segment[], refolded: Refolded): Segment[] {
  return [
    ...stored.slice(0, refolded.replacedFrom),
    ...refolded.segments,
    ...stored.slice(refolded.replacedTo),
  ];
}
