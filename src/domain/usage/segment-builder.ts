import type { FoldSink } from './fold-sink.ts';
import type { FoldState } from './fold-state.ts';
import { comparePositions, type Position } from './run.ts';
import { type KeptVerdict, maxVerdictsPerSegment, type Segment, type Share } from './segment.ts';
import type { Attribute } from './split.ts';
import type { FoldVerdict, VerdictDetail } from './verdict.ts';

/** Verdicts that come in stretches and are never taken back, so that one row can stand for many. */
const stretches: ReadonlySet<FoldVerdict> = new Set(['jitter', 'clock_suspect']);

interface OpenShare {
  readonly assetId: string;
  readonly day: string;
  grains: number;
}

/** Gathers what the fold finds in one segment; goes on with a stored one when given. */
export class SegmentBuilder implements FoldSink {
  readonly utcDay: number;
  readonly start: Position;
  readings = 0;
  private readonly attribute: Attribute;
  private readonly shares = new Map<string, OpenShare>();
  private lastShare: OpenShare | null = null;
  private readonly verdicts: KeptVerdict[] = [];
  private unlisted = 0;

  constructor(utcDay: number, start: Position, attribute: Attribute, stored: Segment | null) {
    this.utcDay = utcDay;
    this.start = start;
    this.attribute = attribute;
    if (stored === null) return;
    this.readings = stored.readings;
    this.verdicts.push(...stored.verdicts);
    this.unlisted = stored.unlisted;
    for (const share of stored.shares) this.add(share.assetId, share.day, share.grains);
  }

  increment(fromMs: number, toMs: number, grains: number): void {
    this.attribute(fromMs, toMs, grains, this.add);
  }

  private readonly add = (assetId: string, day: string, grains: number): void => {
    const last = this.lastShare;
    if (last !== null && last.day === day && last.assetId === assetId) {
      last.grains += grains;
      return;
    }
    const key = `${day} ${assetId}`;
    let share = this.shares.get(key);
    if (share === undefined) {
      share = { assetId, day, grains: 0 };
      this.shares.set(key, share);
    }
    share.grains += grains;
    this.lastShare = share;
  };

  verdict(
    ordinal: number,
    seq: number,
    verdict: FoldVerdict,
    atMs: number,
    raw: number,
    detail: VerdictDetail,
  ): void {
    const kept = { ordinal, seq, lastSeq: seq, verdict, atMs, raw, detail };
    const isOfBefore = comparePositions(kept, this.start) < 0;
    // Only what is set aside or reset is ever spoken of again, and then within the next few rows.
    const known = this.verdicts.findLastIndex((one) => one.ordinal === ordinal && one.seq === seq);
    if (known >= 0) {
      if (verdict === 'accepted') this.verdicts.splice(known, 1);
      else this.verdicts[known] = kept;
      return;
    }
    if (stretches.has(verdict) && this.lengthens(kept)) return;
    const hasRoom = this.verdicts.length < maxVerdictsPerSegment;
    const always = verdict === 'rebase' || verdict === 'accepted' || isOfBefore;
    if (hasRoom || always) this.verdicts.push(kept);
    else this.unlisted += 1;
  }

  /** Adds the reading to the stretch that ends right before it. */
  private lengthens(kept: KeptVerdict): boolean {
    const last = this.verdicts.at(-1);
    if (
      last === undefined ||
      last.verdict !== kept.verdict ||
      last.ordinal !== kept.ordinal ||
      last.lastSeq + 1 !== kept.seq ||
      last.detail.reason !== kept.detail.reason
    ) {
      return false;
    }
    this.verdicts[this.verdicts.length - 1] = { ...last, lastSeq: kept.seq };
    return true;
  }

  close(state: FoldState): Segment {
    const shares: Share[] = [...this.shares.values()].map((share) => ({ ...share }));
    shares.sort((a, b) => compareText(a.day, b.day) || compareText(a.assetId, b.assetId));
    return {
      utcDay: this.utcDay,
      start: this.start,
      end: { ordinal: state.ordinal, seq: state.seq },
      readings: this.readings,
      state,
      shares,
      verdicts: [...this.verdicts],
      unlisted: this.unlisted,
    };
  }
}

function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
