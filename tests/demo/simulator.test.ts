import { describe, expect, test } from 'vitest';
import { planUnits, yards } from '../../src/demo/company.ts';
import { readCall, readingGapMs } from '../../src/demo/counting.ts';
import {
  type Call,
  nextDay,
  planDay,
  quietFromMs,
  quietUntilMs,
  weekdayOf,
} from '../../src/demo/duty.ts';
import { momentsOf, windowBefore } from '../../src/demo/moments.ts';
import { createRandom } from '../../src/demo/random.ts';
import { overDays } from '../../src/demo/truth.ts';
import { localDay, startOfLocalDay } from '../../src/domain/usage/local-day.ts';
import { attributeBy } from '../../src/domain/usage/split.ts';

/** A year, so that every change of the clocks is in it. */
function year(seed: string, number: string): { day: string; calls: Call[] }[] {
  const unit = planUnits(seed, 180).find((each) => each.number === number)!;
  const days: { day: string; calls: Call[] }[] = [];
  for (let day = '2026-01-01'; day < '2027-01-01'; day = nextDay(day)) {
    days.push({ day, calls: planDay(unit.duty, day) });
  }
  return days;
}

const numbers = planUnits('seed', 180).map(({ number }) => number);

describe('the generator', () => {
  test('brings the same for the same label, something else for another', () => {
    const draw = (label: string) => {
      const random = createRandom(label);
      return Array.from({ length: 50 }, () => random.int(0, 1_000_000));
    };
    expect(draw('a/b')).toEqual(draw('a/b'));
    expect(draw('a/b')).not.toEqual(draw('a/c'));
    expect(new Set(draw('a/b')).size).toBeGreaterThan(45);
  });

  test('is even enough for a story, and stays in its bounds', () => {
    const random = createRandom('even');
    const counts = [0, 0, 0, 0, 0];
    for (let i = 0; i < 10_000; i += 1) counts[random.int(0, 4)]! += 1;
    for (const count of counts) expect(Math.abs(count - 2_000)).toBeLessThan(200);
    const list = [1, 2, 3, 4, 5];
    expect(random.shuffle(list).sort()).toEqual(list);
    expect(list).toEqual([1, 2, 3, 4, 5]);
  });
});

describe('the duty of a unit', () => {
  test('is 24 units at three yards in three zones, the same for the same seed', () => {
    const units = planUnits('seed', 180);
    expect(units).toHaveLength(24);
    expect(new Set(yards.map(({ timeZone }) => timeZone)).size).toBe(3);
    expect(planUnits('seed', 180)).toEqual(units);
    expect(year('seed', '11')).toEqual(year('seed', '11'));
    expect(year('seed', '11')).not.toEqual(year('other', '11'));
  });

  test('has the shape of a week: far more calls on weekdays than on Sundays', () => {
    const perDay = Array.from({ length: 7 }, () => ({ days: 0, calls: 0 }));
    for (const number of numbers) {
      for (const { day, calls } of year('seed', number)) {
        const slot = perDay[weekdayOf(day)]!;
        slot.days += 1;
        slot.calls += calls.length;
      }
    }
    const mean = perDay.map(({ days, calls }) => calls / days);
    for (const weekday of [1, 2, 3, 4, 5]) expect(mean[weekday]).toBeGreaterThan(2 * mean[0]!);
    expect(weekdayOf('2026-11-25')).toBe(3);
  });

  test.each(numbers)('unit %s is on one call at a time and parked every dawn', (number) => {
    const timeZone = planUnits('seed', 180).find((each) => each.number === number)!.yard.timeZone;
    let freeMs = 0;
    for (const { day, calls } of year('seed', number)) {
      for (const call of calls) {
        expect(call.startMs).toBeGreaterThan(freeMs);
        freeMs = call.endMs;
        for (const at of [call.startMs, call.endMs]) {
          const sinceMs = at - startOfLocalDay(localDay(at, timeZone), timeZone);
          expect(sinceMs < quietFromMs || sinceMs > quietUntilMs, `${number} ${day}`).toBe(true);
        }
      }
    }
  });

  test('the yards post at dawn and in the evening, in order, all within the history', () => {
    const window = windowBefore(Date.UTC(2026, 10, 10, 20, 17), 30);
    const moments = momentsOf(window);
    expect(moments.length).toBeGreaterThan(30 * 4);
    for (const [i, { atMs }] of moments.entries()) {
      expect(atMs).toBeGreaterThanOrEqual(moments[i - 1]?.atMs ?? window.startMs);
      expect(atMs).toBeLessThan(window.endMs);
    }
  });
});

describe('what counters make of it', () => {
  test.each(['11', '28', '36'])('unit %s: every tick is read in its own call', (number) => {
    const unit = planUnits('seed', 180).find((each) => each.number === number)!;
    for (const spec of unit.counters) {
      let standing = { ticks: spec.startTicks, parts: 0 };
      let usedMs = 0;
      for (const { calls } of year('seed', number)) {
        for (const call of calls) {
          const { readings, after } = readCall(call, spec, standing);
          expect(readings[0]).toEqual({ atMs: call.startMs, ticks: standing.ticks });
          expect(readings.at(-1)!.ticks).toBe(after.ticks);
          for (const [i, { atMs, ticks }] of readings.entries()) {
            if (i === 0) continue;
            const before = readings[i - 1]!;
            expect(ticks).toBeGreaterThan(before.ticks);
            const gap = atMs - before.atMs;
            expect(gap >= readingGapMs || atMs === call.endMs).toBe(true);
          }
          for (const { fromMs, toMs } of call.pto) usedMs += toMs - fromMs;
          standing = after;
        }
      }
      if (spec.counts === 'pto') {
        const ticks = Math.floor(usedMs / (spec.grainsPerTick * 1000));
        expect(standing.ticks - spec.startTicks).toBe(ticks);
        expect(ticks).toBeGreaterThan(1_000);
      }
    }
  });
});

describe('the truth', () => {
  test('splits use over midnight by time, the earlier of equal parts rounded up', () => {
    const midnightMs = Date.UTC(2026, 10, 10, 6);
    const use = { asset: 'a', meter: 'm', timeZone: 'America/Chicago' };
    const over = (before: number, after: number, grains: number) =>
      overDays({ ...use, fromMs: midnightMs - before, toMs: midnightMs + after, grains });
    expect(over(60_000, 120_000, 180)).toEqual([
      ['2026-11-09', 60],
      ['2026-11-10', 120],
    ]);
    expect(over(1000, 1000, 1)).toEqual([['2026-11-09', 1]]);
    expect(over(60_000, 0, 180)).toEqual([['2026-11-09', 180]]);
    expect(over(0, 60_000, 180)).toEqual([['2026-11-10', 180]]);
  });

  test('agrees with how the service splits, in every zone of the company', () => {
    const random = createRandom('splits');
    for (const { timeZone } of yards) {
      const source = { fromMs: 0, toMs: null, assetId: 'a', calendar: [{ fromMs: 0, timeZone }] };
      const attribute = attributeBy([source]);
      for (let i = 0; i < 2_000; i += 1) {
        const midnightMs = startOfLocalDay('2026-11-01', timeZone) + random.int(0, 20) * 86_400_000;
        const fromMs = midnightMs - random.int(0, 5_000) * 1000;
        const toMs = midnightMs + random.int(0, 5_000) * 1000;
        if (toMs === fromMs) continue;
        const grains = random.int(1, 400);
        const served: [string, number][] = [];
        attribute(fromMs, toMs, grains, (_asset, day, part) => served.push([day, part]));
        const use = { asset: 'a', meter: 'm', timeZone, fromMs, toMs, grains };
        expect(overDays(use)).toEqual(served);
      }
    }
  });
});
