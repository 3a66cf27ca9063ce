import type { FoldVerdict, VerdictDetail } from './verdict.ts';

/**
 * Where the fold puts what it finds. Plain numbers, so that an ordinary reading allocates nothing.
 */
export interface FoldSink {
  /**
   * Use, in grains (above zero), made between two instants; the position is that of the reading
   * that showed it.
   */
  increment(fromMs: number, toMs: number, grains: number, ordinal: number, seq: number): void;
  /**
   * What became of a reading, at the time it was placed at. `accepted` is said only to take back
   * what was said of the same position before; a later verdict of a position replaces the earlier
   * one.
   */
  verdict(
    ordinal: number,
    seq: number,
    verdict: FoldVerdict,
    atMs: number,
    raw: number,
    detail: VerdictDetail,
  ): void;
}
