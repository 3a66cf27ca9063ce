/**
 * From samples of one signal to the cycles that count and why others do not: the reference for
 * firmware. Pure, and resumable: the state is plain data, and cutting the samples anywhere gives
 * the same cycles.
 *
 * A sample holds until the next one, if that is at most `gapMs` away; of a longer time nothing is
 * known, so a level has to hold anew after it, and no cycle is made up inside it. A cycle that was
 * open before it goes on after it.
 */
import type { CycleRules, LevelRules } from './cycle-basis.ts';
import { type StrokeState, stepStroke, strokeAtRest } from './derive-strokes.ts';

/**
 * `value`: of a switch 1 (away from home; for lift cycles: loaded) or 0; of a pressure bar; of
 * coils 1 (out), -1 (back) or 0 (neither).
 */
export interface SignalSample {
  readonly atMs: number;
  readonly value: number;
}

/** Why something that began is no cycle; a closed list. */
export const notCountedReasons = [
  /** The level did not hold. */
  'bounce',
  /** The pressure rose as for an empty lift and never to that of a load. */
  'not_loaded',
  /** Over in less time than the fastest cycle takes. */
  'too_short',
  /** Less than half of a stroke, then home again. */
  'short_stroke',
] as const;
export type NotCountedReason = (typeof notCountedReasons)[number];

export interface Cycle {
  readonly fromMs: number;
  readonly toMs: number;
  /** Times of unknown length inside it. */
  readonly gaps: number;
}

export interface NotCounted extends Cycle {
  readonly why: NotCountedReason;
}

/** A signal that left `low` and has not come back. */
export interface Excursion {
  readonly fromMs: number;
  /** Since when it has been high, while that has not held long enough. */
  readonly highMs: number | null;
  /** Since when it was high, once that held. */
  readonly heldMs: number | null;
  /** Since when it has been low again, while that has not held long enough. */
  readonly lowMs: number | null;
  readonly gaps: number;
}

export interface CycleState {
  readonly last: SignalSample | null;
  readonly excursion: Excursion | null;
  readonly stroke: StrokeState;
  /** Gaps seen in all. */
  readonly gaps: number;
}

export const cyclesAtRest: CycleState = {
  last: null,
  excursion: null,
  stroke: strokeAtRest,
  gaps: 0,
};

export interface Derived {
  readonly state: CycleState;
  readonly cycles: Cycle[];
  readonly notCounted: NotCounted[];
}

/** Collects what is over. */
export class CycleBook {
  readonly cycles: Cycle[] = [];
  readonly notCounted: NotCounted[] = [];
  readonly #shortestMs: number;

  constructor(shortestMs: number) {
    this.#shortestMs = shortestMs;
  }

  /** Something that may be a cycle is over. */
  close(cycle: Cycle): void {
    if (cycle.toMs - cycle.fromMs >= this.#shortestMs) this.cycles.push(cycle);
    else this.leave(cycle, 'too_short');
  }

  leave({ fromMs, toMs, gaps }: Cycle, why: NotCountedReason): void {
    this.notCounted.push({ fromMs, toMs, gaps, why });
  }
}

type Level = 'low' | 'middle' | 'high';

function levelOf(rules: LevelRules, value: number): Level {
  if (value >= rules.highFrom) return 'high';
  return value <= rules.lowTo ? 'low' : 'middle';
}

/** What had held by `atMs`, if the level of the sample before went on until then. */
function holdUntil(
  open: Excursion | null,
  atMs: number,
  rules: LevelRules,
  book: CycleBook,
): Excursion | null {
  if (open === null) return null;
  const held = (sinceMs: number | null) => sinceMs !== null && atMs - sinceMs >= rules.holdMs;
  if (held(open.lowMs)) {
    const toMs = open.lowMs as number;
    const { fromMs, heldMs, gaps } = open;
    if (heldMs !== null) book.close({ fromMs: heldMs, toMs, gaps });
    else if (rules.basis === 'pressure' && toMs - fromMs >= rules.holdMs) {
      book.leave({ fromMs, toMs, gaps }, 'not_loaded');
    } else book.leave({ fromMs, toMs, gaps }, 'bounce');
    return null;
  }
  if (open.heldMs === null && held(open.highMs)) return { ...open, heldMs: open.highMs };
  return open;
}

/** The excursion after a sample of this level. */
function meet(open: Excursion | null, level: Level, atMs: number): Excursion | null {
  if (open === null) {
    if (level === 'low') return null;
    const highMs = level === 'high' ? atMs : null;
    return { fromMs: atMs, highMs, heldMs: null, lowMs: null, gaps: 0 };
  }
  const highMs = level === 'high' ? (open.highMs ?? atMs) : null;
  const lowMs = level === 'low' ? (open.lowMs ?? atMs) : null;
  return { ...open, highMs, lowMs };
}

/** After a gap nothing that was about to hold is known to have held. */
function afterGap(open: Excursion | null): Excursion | null {
  return open && { ...open, highMs: null, lowMs: null, gaps: open.gaps + 1 };
}

function stepLevel(
  state: CycleState,
  sample: SignalSample,
  isGap: boolean,
  rules: LevelRules,
  book: CycleBook,
): Excursion | null {
  const { excursion } = state;
  const before = isGap ? afterGap(excursion) : holdUntil(excursion, sample.atMs, rules, book);
  return meet(before, levelOf(rules, sample.value), sample.atMs);
}

/**
 * Goes on from `before` over samples in order of time. Samples that are not later than the one
 * before say nothing.
 */
export function deriveCycles(
  rules: CycleRules,
  before: CycleState,
  samples: readonly SignalSample[],
): Derived {
  const book = new CycleBook(rules.shortestMs);
  let state = before;
  for (const sample of samples) {
    const { last } = state;
    if (last !== null && sample.atMs <= last.atMs) continue;
    const isGap = last !== null && sample.atMs - last.atMs > rules.gapMs;
    const gaps = state.gaps + (isGap ? 1 : 0);
    state =
      rules.basis === 'coil'
        ? { ...state, stroke: stepStroke(state.stroke, last, sample, isGap, rules, book) }
        : { ...state, excursion: stepLevel(state, sample, isGap, rules, book) };
    state = { ...state, last: sample, gaps };
  }
  return { state, cycles: book.cycles, notCounted: book.notCounted };
}

/** What is not over at the end: since when, and whether it would count by its level or stroke. */
export function openCycle({ excursion, stroke }: CycleState): {
  fromMs: number;
  isOut: boolean;
} | null {
  if (excursion) {
    return { fromMs: excursion.heldMs ?? excursion.fromMs, isOut: excursion.heldMs !== null };
  }
  return stroke.fromMs === null ? null : { fromMs: stroke.fromMs, isOut: stroke.isOut };
}
