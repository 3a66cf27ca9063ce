import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dayWindow, localDay } from '../../src/domain/usage/local-day.ts';
import { attributeBy, largestRemainder } from '../../src/domain/usage/split.ts';

const zones = ['America/Chicago', 'America/St_Johns', 'Africa/Cairo', 'Asia/Kolkata', 'UTC'];
// Around the days that lose and gain an hour in 2026.
const instants = fc.oneof(
  fc.integer({ min: Date.parse('2026-03-01Z'), max: Date.parse('2026-05-05Z') }),
  fc.integer({ min: Date.parse('2026-10-20Z'), max: Date.parse('2026-11-10Z') }),
);

describe('splitting an increment', () => {
  it('sums exactly and strays from proportion by less than a grain', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1e9 }),
        fc.array(fc.integer({ min: 0, max: 1e11 }), { minLength: 1, maxLength: 40 }),
        (grains, weights) => {
          fc.pre(weights.some((weight) => weight > 0));
          const parts = largestRemainder(grains, weights);
          const total = weights.reduce((sum, each) => sum + each, 0);
          expect(parts.reduce((sum, each) => sum + each, 0)).toBe(grains);
          for (const [index, part] of parts.entries()) {
            expect(part).toBeGreaterThanOrEqual(0);
            const due = (grains * weights[index]!) / total;
            expect(Math.abs(part - due)).toBeLessThan(1 + 1e-6);
          }
        },
      ),
    );
  });

  it('gives each local day and asset its own time', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...zones),
        instants,
        fc.integer({ min: 1, max: 20 * 86_400_000 }),
        fc.integer({ min: 1, max: 1e6 }),
        fc.integer({ min: 0, max: 20 * 86_400_000 }),
        (timeZone, fromMs, lengthMs, grains, changeAfterMs) => {
          const toMs = fromMs + lengthMs;
          const changeMs = fromMs + changeAfterMs;
          const calendar = [{ fromMs: 0, timeZone }];
          const attribute = attributeBy([
            { fromMs: 0, toMs: changeMs, assetId: 'one', calendar },
            { fromMs: changeMs, toMs: null, assetId: 'two', calendar },
          ]);
          let sum = 0;
          attribute(fromMs, toMs, grains, (assetId, day, part) => {
            sum += part;
            // The part's own time: its day, its asset's stretch, and the increment.
            const window = dayWindowOf(day, fromMs, toMs, timeZone);
            const [start, end] = assetId === 'one' ? [fromMs, changeMs] : [changeMs, toMs];
            const ms = Math.min(window.endMs, end, toMs) - Math.max(window.startMs, start, fromMs);
            expect(Math.abs(part - (grains * ms) / lengthMs)).toBeLessThan(1 + 1e-6);
          });
          expect(sum).toBe(grains);
        },
      ),
    );
  });
});

function dayWindowOf(day: string, fromMs: number, toMs: number, timeZone: string) {
  for (let atMs = fromMs; ; atMs = Math.min(toMs, dayWindow(atMs, timeZone).endMs)) {
    if (localDay(atMs, timeZone) === day) return dayWindow(atMs, timeZone);
    if (atMs >= toMs) throw new Error(`${day} is not touched`);
  }
}
