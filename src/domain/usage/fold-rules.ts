/** What the fold must know of a counter, and how one value is judged against another. */
import type { Position, StreamCause } from './run.ts';

export interface FoldRules {
  /** Whole number of grains in one tick. */
  readonly grainsPerTick: number;
  /** The shortest time in which the counter can rise by one tick, in whole ms. */
  readonly minMsPerTick: number;
  /**
   * How far the counter may run ahead of the clock in all, in whole ms: one tick's worth when left
   * out. More where times are written down by people and dials show coarse steps.
   */
  readonly allowanceMs?: number;
  /** Declared width; the counter wraps at 2^width. Above 53 it never wraps. */
  readonly widthBits: number;
  /** A fall of at most this many ticks is jitter. */
  readonly jitterSteps: number;
  /**
   * No reading of this device can be older: when it was made known, less what its buffer may hold.
   */
  readonly earliestMs: number;
  /**
   * What people said of readings that did not fit what stood before them, by `positionKey`. Only a
   * word about the very value holds.
   */
  readonly decided?: ReadonlyMap<string, DecidedJump>;
}

/** A person's word on a jump: whether the rise up to this value was use. */
export interface DecidedJump {
  readonly raw: number;
  readonly counts: boolean;
}

export const positionKey = ({ ordinal, seq }: Position): string => `${ordinal}/${seq}`;

/** What was said of a reading with this value; null when nobody did. */
export function decisionOn(
  reading: Position & { readonly raw: number },
  rules: FoldRules,
): DecidedJump | null {
  const decided = rules.decided?.get(positionKey(reading));
  return decided?.raw === reading.raw ? decided : null;
}

export const defaultJitterSteps = 3;

export const allowanceOf = (rules: FoldRules): number => rules.allowanceMs ?? rules.minMsPerTick;

/** A device's clock may be this far ahead of ours before its times are not believed. */
export const clockAheadMs = 120_000;

/**
 * 2000-01-01, for a device of which nothing better is known: clocks that lost power start before
 * it.
 */
export const earliestReadingMs = 946_684_800_000;

/** A value up to this many ticks, or a hundredth of the last one, is near zero. */
const nearZeroTicks = 20;
/**
 * A reset falls by more than this many ticks; from near zero that is always more than half of the
 * last value.
 */
const farBelowTicks = 20;

/** A rollover starts from the last tenth of the declared width. */
const rolloverShare = 10;

export type Step = 'baseline' | 'accepted' | 'jitter' | 'rollover' | 'reset';

export interface Judgement {
  readonly step: Step;
  /** Ticks of use from the last accepted value, with those that were counted up to `from`. */
  readonly ticks: number;
}

/** What a value is judged against. */
export interface Standing {
  readonly raw: number;
  /** Ticks of use already counted from the last accepted value up to `raw`. */
  readonly ticks: number;
}

/**
 * What a value is, read `elapsedMs` after the last accepted one with `creditMs` of allowance left,
 * or null when it fits nothing. `cause` is the declared reason of a new stream, null inside a
 * stream.
 */
export function judge(
  from: Standing,
  raw: number,
  elapsedMs: number,
  creditMs: number,
  cause: StreamCause | null,
  rules: FoldRules,
): Judgement | null {
  const fits = (ticks: number) => ticks * rules.minMsPerTick - elapsedMs <= creditMs;
  if (cause === 'controller_replaced') {
    return { step: 'baseline', ticks: fits(from.ticks) ? from.ticks : 0 };
  }
  if (cause === 'counter_reset') {
    const ticks = from.ticks + raw;
    return fits(ticks) ? { step: 'reset', ticks } : null;
  }
  const rise = raw - from.raw;
  if (rise >= 0) {
    const ticks = from.ticks + rise;
    return fits(ticks) ? { step: 'accepted', ticks } : null;
  }
  const fall = -rise;
  if (fall <= rules.jitterSteps) return { step: 'jitter', ticks: from.ticks };
  if (rules.widthBits <= 53) {
    const toWrap = 2 ** rules.widthBits - from.raw;
    const ticks = from.ticks + raw + toWrap;
    const nearWrap = toWrap > 0 && toWrap * rolloverShare <= 2 ** rules.widthBits;
    if (nearWrap && fits(ticks)) return { step: 'rollover', ticks };
  }
  const nearZero = raw <= Math.max(nearZeroTicks, Math.floor(from.raw / 100));
  const farBelow = fall > farBelowTicks;
  const ticks = from.ticks + raw;
  return nearZero && farBelow && fits(ticks) ? { step: 'reset', ticks } : null;
}

export type ClockFault = 'ahead' | 'too_early';

/** The device's time put right by what its post proved, never later than the moment it arrived. */
export function placedAt(atMs: number, offsetMs: number, receivedAtMs: number): number {
  return offsetMs > 0 ? Math.min(atMs - offsetMs, receivedAtMs) : atMs;
}

/** What is wrong with a time by itself, whatever came before it; null when it can be true. */
export function clockFault(
  placedMs: number,
  receivedAtMs: number,
  earliestMs: number,
): ClockFault | null {
  if (placedMs > receivedAtMs + clockAheadMs) return 'ahead';
  return placedMs < earliestMs ? 'too_early' : null;
}
