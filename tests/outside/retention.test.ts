import { describe, expect, test } from 'vitest';
import {
  controlEnded,
  controlledForAMonth,
  isPreserved,
  keptThrough,
  type RetentionKind,
} from '../../src/domain/shop/retention.ts';

// Periods of 49 CFR part 396, read in public texts of it (396.3(c), 396.11(a)(4), 396.21(b)) or in
// guides of states (396.9(d)). Days by hand; that a month which is too short ends the period on its
// last day is common practice, no source.

describe('kept by calendar months', () => {
  test.each([
    ['396.11(a)(4), driver report', 'walk_round', '2026-01-31', '2026-04-30'],
    ['396.11(a)(4), driver report', 'walk_round', '2026-11-30', '2027-02-28'],
    ['396.21(b), yearly inspection', 'yearly_inspection', '2026-03-15', '2027-05-15'],
    ['396.21(b), yearly inspection', 'yearly_inspection', '2026-12-31', '2028-02-29'],
    ['396.9(d), officer report', 'officer_report', '2024-02-29', '2025-02-28'],
    ['396.19(b), inspector', 'inspector', '2024-02-29', '2025-02-28'],
  ] as [string, RetentionKind, string, string][])(
    '%s: %s of %s through %s',
    (_, kind, day, last) => {
      expect(keptThrough(kind, day, null)).toEqual({ through: last, mayBeLonger: false });
      expect(keptThrough(kind, day, '2029-01-01').through).toBe(last);
    },
  );

  test.each([
    ['while it is controlled', '2026-03-31', null, '2027-03-31', true],
    ['sold long after', '2024-02-29', '2026-08-31', '2027-02-28', false],
    ['sold soon after', '2026-08-15', '2026-08-31', '2027-08-15', false],
    ['sold on a day that makes both the same', '2026-02-28', '2026-08-28', '2027-02-28', false],
  ])('396.3(c), upkeep: %s', (_, day, ended, through, mayBeLonger) => {
    expect(keptThrough('upkeep', day, ended)).toEqual({ through, mayBeLonger });
  });

  test('what no rule asks for has no day, and is not purged for that', () => {
    expect(keptThrough('wear', '2026-01-01', '2026-02-01')).toEqual({
      through: null,
      mayBeLonger: false,
    });
  });
});

test('a unit left control when its last period ended, and not while one runs', () => {
  const first = { fromDay: '2024-01-01', endedDay: '2025-06-30' };
  const second = { fromDay: '2025-07-01', endedDay: '2026-08-31' };
  expect(controlEnded([])).toBeNull();
  expect(controlEnded([second, first])).toBe('2026-08-31');
  expect(controlEnded([first, { ...second, endedDay: null }])).toBeNull();
});

test('396.3(b): thirty days on end, both days inside', () => {
  const from = { fromDay: '2026-06-01', endedDay: '2026-06-30' };
  expect(controlledForAMonth(from, '2027-01-01')).toBe(true);
  expect(controlledForAMonth({ ...from, endedDay: '2026-06-29' }, '2027-01-01')).toBe(false);
  expect(controlledForAMonth({ ...from, endedDay: null }, '2026-06-29')).toBe(false);
});

test('an order holds its unit, one without a unit holds all, a lifted one holds nothing', () => {
  expect(isPreserved([], 'a')).toBe(false);
  expect(isPreserved([{ unitId: 'a', liftedAtMs: null }], 'a')).toBe(true);
  expect(isPreserved([{ unitId: 'a', liftedAtMs: null }], 'b')).toBe(false);
  expect(isPreserved([{ unitId: null, liftedAtMs: null }], 'b')).toBe(true);
  expect(isPreserved([{ unitId: null, liftedAtMs: 5 }], 'b')).toBe(false);
});
