import { expect, test } from 'vitest';
import { type FoldRules, judge } from '../../src/domain/usage/fold-rules.ts';

// What readings of hour counters must hold, by our own convention (no source), from the resolution
// of 0.05 h a bit (public J1939 parameter lists) alone.

const minute = 60_000;
const tickMs = 3 * minute;
const rules: FoldRules = {
  grainsPerTick: 180,
  minMsPerTick: tickMs,
  widthBits: 32,
  jitterSteps: 3,
  earliestMs: 0,
};
const after = (from: number, to: number, elapsedMs: number) =>
  judge({ raw: from, ticks: 0 }, to, elapsedMs, tickMs, null, rules);

test('two readings less than three minutes apart can be equal', () => {
  expect(after(29_665, 29_665, 2 * minute)).toEqual({ step: 'accepted', ticks: 0 });
});

test('a rise by more than the clock and 0.05 h is not believed', () => {
  expect(after(29_665, 29_685, 57 * minute)).toEqual({ step: 'accepted', ticks: 20 });
  expect(after(29_665, 29_686, 57 * minute)).toBeNull();
});

test('a fall is a reset or waits for a person, and never negative use', () => {
  expect(after(29_665, 3, 60 * minute)).toEqual({ step: 'reset', ticks: 3 });
  expect(after(29_665, 20_000, 60 * minute)).toBeNull();
  for (let to = 0; to < 29_665; to += 7) {
    expect(after(29_665, to, 60 * minute)?.ticks ?? 0).toBeGreaterThanOrEqual(0);
  }
});
