/**
 * Signals of a wheel lift as sensors give them, from a plan that says what really happened.
 * Invented figures: they stand for no maker's lift.
 */
import type { SignalSample } from '../../../src/domain/usage/derive-cycles.ts';

/** Whole numbers below `n`, the same for the same seed. */
export function dice(seed: number): (n: number) => number {
  let state = seed >>> 0 || 1;
  return (n) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state % n;
  };
}

/** A level that is held for so long; with `rampMs` it is reached slowly from the one before. */
export interface Stretch {
  forMs: number;
  value: number;
  rampMs?: number;
}

/** Samples of a plan, every `everyMs`. */
export function sampled(plan: readonly Stretch[], everyMs: number, fromMs = 1_000): SignalSample[] {
  const samples: SignalSample[] = [];
  let atMs = fromMs;
  let before = plan[0]?.value ?? 0;
  for (const { forMs, value, rampMs = 0 } of plan) {
    for (let t = 0; t < forMs; t += everyMs) {
      const part = rampMs === 0 ? 1 : Math.min(1, t / rampMs);
      samples.push({ atMs: atMs + t, value: before + (value - before) * part });
    }
    atMs += Math.ceil(forMs / everyMs) * everyMs;
    before = value;
  }
  return samples;
}

/** The same with noise of at most `most` either way. */
export function noisy(
  samples: readonly SignalSample[],
  most: number,
  seed: number,
): SignalSample[] {
  const roll = dice(seed);
  return samples.map(({ atMs, value }) => ({
    atMs,
    value: value + (roll(2001) / 1000 - 1) * most,
  }));
}

/** The same with single samples lost, and now and then several in a row. */
export function lossy(
  samples: readonly SignalSample[],
  oneIn: number,
  inARow: number,
  seed: number,
): SignalSample[] {
  const roll = dice(seed);
  let losing = 0;
  return samples.filter(() => {
    if (losing === 0 && roll(oneIn) === 0) losing = 1 + roll(inARow);
    if (losing === 0) return true;
    losing -= 1;
    return false;
  });
}

/** Contacts that bounce: for `forMs` after each change the state flips at will. */
export function bouncing(
  samples: readonly SignalSample[],
  forMs: number,
  seed: number,
): SignalSample[] {
  const roll = dice(seed);
  let changedMs = Number.NEGATIVE_INFINITY;
  return samples.map((sample, i) => {
    if (sample.value !== samples[i - 1]?.value && i > 0) changedMs = sample.atMs;
    return sample.atMs - changedMs < forMs ? { ...sample, value: roll(2) } : sample;
  });
}
