import fc from 'fast-check';
import { Temporal } from 'temporal-polyfill';
import { expect, test } from 'vitest';
import { dayOf, isDay, monthLength, ordinalOf } from '../../../src/domain/upkeep/calendar.ts';

const EPOCH = Temporal.PlainDate.from('1970-01-01');

test('ordinals agree with the Temporal calendar, there and back', () => {
  fc.assert(
    fc.property(fc.integer({ min: -700_000, max: 2_900_000 }), (ordinal) => {
      const day = EPOCH.add({ days: ordinal });
      fc.pre(day.year >= 1 && day.year <= 9999);
      expect(dayOf(ordinal)).toBe(day.toString());
      expect(ordinalOf(day.toString())).toBe(ordinal);
      expect(monthLength(day.year, day.month)).toBe(day.daysInMonth);
    }),
    { numRuns: 2000 },
  );
});

test.each(['2026-02-29', '2026-13-01', '2026-00-10', '2026-1-1', '0000-01-01', '20261001', ''])(
  '%s is not a day',
  (text) => {
    expect(isDay(text)).toBe(false);
    expect(() => ordinalOf(text)).toThrow(RangeError);
  },
);

test('leap days exist where they do', () => {
  expect(['2024-02-29', '2000-02-29', '1900-02-29', '2026-02-28'].map(isDay)).toEqual([
    true,
    true,
    false,
    true,
  ]);
});
