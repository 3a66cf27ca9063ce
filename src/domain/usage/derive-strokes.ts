/**
 * Strokes from coils: how far something was moved is reckoned from how long which coil was on, out
 * less back, never beyond a whole stroke or home. Several short moves add up; oil that is cold and
 * slow only makes the coil stay on longer. Pure.
 */
import { type StrokeRules, strokeHome, strokeOut } from './cycle-basis.ts';
import type { CycleBook, SignalSample } from './derive-cycles.ts';

export interface StrokeState {
  /** Reckoned distance from home, as time of the coil. */
  readonly outMs: number;
  /** When it left home; null: it is at home. */
  readonly fromMs: number | null;
  /** It was out far enough to count when it comes home. */
  readonly isOut: boolean;
  readonly gaps: number;
}

export const strokeAtRest: StrokeState = { outMs: 0, fromMs: null, isOut: false, gaps: 0 };

/** One sample further; the coil of the sample before was on until now, unless there was a gap. */
export function stepStroke(
  before: StrokeState,
  last: SignalSample | null,
  sample: SignalSample,
  isGap: boolean,
  rules: StrokeRules,
  book: CycleBook,
): StrokeState {
  const gaps = before.gaps + (isGap && before.fromMs !== null ? 1 : 0);
  if (last === null || isGap || last.value === 0) return { ...before, gaps };
  const movedMs = (sample.atMs - last.atMs) * Math.sign(last.value);
  const outMs = Math.min(rules.strokeMs, Math.max(0, before.outMs + movedMs));
  if (before.fromMs === null) {
    if (outMs === 0) return strokeAtRest;
    const isOut = outMs >= rules.strokeMs * strokeOut;
    return { outMs, fromMs: last.atMs, isOut, gaps: 0 };
  }
  const isOut = before.isOut || outMs >= rules.strokeMs * strokeOut;
  const { fromMs } = before;
  // A little from home is home once it was out: cylinders leak and nobody holds the lever on.
  const isHome = isOut ? movedMs < 0 && outMs <= rules.strokeMs * strokeHome : outMs === 0;
  if (!isHome) return { outMs, fromMs, isOut, gaps };
  const cycle = { fromMs, toMs: sample.atMs, gaps };
  if (isOut) book.close(cycle);
  else book.leave(cycle, 'short_stroke');
  return strokeAtRest;
}
