import { expect, test } from 'vitest';
import { type FoldRules, judge } from '../../src/domain/usage/fold-rules.ts';
import { ptoBeyondEngine } from '../../src/domain/usage/pto-within-engine.ts';

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

test('PTO hours are within engine hours by what they rise, whatever their totals', () => {
  const days = ['2026-03-01', '2026-03-02', '2026-03-03', '2026-03-04'];
  const use = (...hours: number[]) => hours.map((h, i) => [days[i], h * 3_600] as [string, number]);
  const before = '2026-02-28';
  expect(ptoBeyondEngine(use(3, 5, 2, 1), use(4, 6, 2, 1), before)).toBeNull();
  expect(ptoBeyondEngine(use(3, 5, 2, 1), use(3, 5, 2, 1), before)).toBeNull();
  // Within what steps and moments of reading explain.
  expect(ptoBeyondEngine(use(3, 5.5, 2, 1), use(3, 5, 2, 1), before)).toBeNull();
  expect(ptoBeyondEngine(use(3, 5.6, 2, 9), use(3, 5, 2, 1), before)).toEqual({
    fromDay: '2026-03-01',
    toDay: '2026-03-03',
    ptoSeconds: 10.6 * 3_600,
    engineSeconds: 36_000,
  });
  // The last day of either is not over, and what was before is another unit's.
  expect(ptoBeyondEngine(use(3, 5, 2, 9), use(3, 5, 2, 1), before)).toBeNull();
  expect(ptoBeyondEngine(use(9, 5, 2, 1), use(3, 5, 2, 1), '2026-03-01')).toBeNull();
  expect(ptoBeyondEngine(use(3), use(), before)).toBeNull();
});
