/**
 * Segments: the fold's checkpoints. A line is cut before every reading whose UTC day differs from
 * that of the reading before it, so the cuts depend on the readings alone and not on when they
 * came. A segment holds the state after its last reading, and the use and verdicts that its own
 * readings brought; the last one is the open head.
 */
import { clockFault, type FoldRules, placedAt } from './fold-rules.ts';
import type { FoldState } from './fold-state.ts';
import { arrivedAt, type Position, type Run } from './run.ts';
import type { FoldVerdict, VerdictDetail } from './verdict.ts';

/** Use of an asset on a local day; the meter is the line's. */
export interface Share {
  readonly assetId: string;
  readonly day: string;
  readonly grains: number;
}

/**
 * A verdict that is kept. Jitter and suspect clocks come in stretches: such a row stands for every
 * number from `seq` to `lastSeq`, with the time and value of the first. `accepted` takes back an
 * earlier row.
 */
export interface KeptVerdict extends Position {
  readonly lastSeq: number;
  readonly verdict: FoldVerdict;
  readonly atMs: number;
  readonly raw: number;
  readonly detail: VerdictDetail;
}

export interface Segment {
  /** Days since 1970-01-01 in UTC. */
  readonly utcDay: number;
  readonly start: Position;
  readonly end: Position;
  readonly readings: number;
  readonly state: FoldState;
  /**
   * Sorted by day, then asset; one for each pair. They may lie on days before the segment's own.
   */
  readonly shares: readonly Share[];
  /** In the order they were found; at most one for a position. */
  readonly verdicts: readonly KeptVerdict[];
  /**
   * Verdicts that found no room in the list. A `rebase` always does, and what is still open is in
   * the state.
   */
  readonly unlisted: number;
}

/** From `fromMs` on (at the start of a UTC day) the counter is judged by these figures. */
export interface DatedRules extends Pick<FoldRules, 'minMsPerTick' | 'jitterSteps'> {
  readonly fromMs: number;
}

const dayMs = 86_400_000;

/** Kept verdicts of one segment; a sound device makes a handful a month. */
export const maxVerdictsPerSegment = 1_000;

/**
 * The UTC day a reading is filed under: its own where that can be true, else that of its arrival.
 */
function filingMs(run: Run, index: number, earliestMs: number): number {
  const receivedAtMs = arrivedAt(run, index);
  const placed = placedAt(run.at[index]!, run.offsetMs, receivedAtMs);
  return clockFault(placed, receivedAtMs, earliestMs) === null ? placed : receivedAtMs;
}

export function utcDayOf(run: Run, index: number, earliestMs: number): number {
  return Math.floor(filingMs(run, index, earliestMs) / dayMs);
}

/** Index after the last reading, from `from` on, that is filed under this UTC day. */
export function endOfDay(run: Run, from: number, utcDay: number, earliestMs: number): number {
  const startMs = utcDay * dayMs;
  const endMs = startMs + dayMs;
  let index = from;
  for (; index < run.at.length; index += 1) {
    const filed = filingMs(run, index, earliestMs);
    if (filed < startMs || filed >= endMs) break;
  }
  return index;
}

/** The rules in force on a UTC day. */
export function rulesOn(utcDay: number, rules: FoldRules, dated: readonly DatedRules[]): FoldRules {
  let inForce: DatedRules | undefined;
  for (const each of dated) {
    if (each.fromMs <= utcDay * dayMs) inForce = each;
  }
  if (inForce === undefined) return rules;
  const { minMsPerTick, jitterSteps } = inForce;
  return { ...rules, minMsPerTick, jitterSteps };
}

/**
 * What was said, as of this state, of positions that may yet be spoken of again: at most three.
 * Whoever keeps one row for each position puts these back before the fold goes on again from an
 * earlier state.
 */
export function openVerdicts(state: FoldState): KeptVerdict[] {
  const open: KeptVerdict[] = state.aside.map(({ ordinal, seq, atMs, raw }) => {
    const reason = raw < state.raw ? 'fall' : 'too_fast';
    const detail: VerdictDetail = { reason, against: state.raw };
    return { ordinal, seq, lastSeq: seq, verdict: 'set_aside', atMs, raw, detail };
  });
  if (state.beforeReset !== null) {
    const { ordinal, seq, resetAtMs, resetRaw, against } = state.beforeReset;
    const detail: VerdictDetail = { reason: 'by_value', against };
    const place = { ordinal, seq, lastSeq: seq, atMs: resetAtMs, raw: resetRaw };
    open.push({ ...place, verdict: 'reset', detail });
  }
  return open.sort((a, b) => a.ordinal - b.ordinal || a.seq - b.seq);
}

/**
 * Every verdict that stands, in line order: what a later segment says of a position replaces what
 * was said before.
 */
export function verdictsInForce(segments: readonly Segment[]): KeptVerdict[] {
  const byPosition = new Map<string, KeptVerdict>();
  for (const segment of segments) {
    for (const each of segment.verdicts) {
      const key = `${each.ordinal}/${each.seq}`;
      if (each.verdict === 'accepted') byPosition.delete(key);
      else byPosition.set(key, each);
    }
  }
  return [...byPosition.values()].sort((a, b) => a.ordinal - b.ordinal || a.seq - b.seq);
}
