import { describe, expect, test } from 'vitest';
import {
  gradeOf,
  judgeGauge,
  judgePlace,
  judgeSize,
  type MeasureUnit,
  measureOf,
  regain,
  type WearLimits,
  wearDirection,
} from '../../../src/domain/wear/measurement.ts';

const pad: WearLimits = { unit: 'mm', nominalThousandths: 10_000, limitThousandths: 6_000 };
const gap: WearLimits = {
  unit: 'mm',
  nominalThousandths: 500,
  nearThousandths: 1_200,
  limitThousandths: 1_500,
};
const judged = (thousandths: number, limits: WearLimits, error = 0, unit: MeasureUnit = 'mm') => {
  const { verdict, rule } = judgeSize({ thousandths, unit }, error, limits);
  return `${verdict} ${rule}`;
};

describe('a size against its limits', () => {
  test.each([
    ['a thickness of 10 that ends at 6', 10_000, pad, 'sound before_near'],
    ['a grain before four fifths', 6_801, pad, 'sound before_near'],
    ['at four fifths', 6_800, pad, 'near_limit past_four_fifths'],
    ['at the limit', 6_000, pad, 'near_limit at_the_limit_within_the_gauge'],
    ['past it', 5_999, pad, 'beyond_limit past_the_limit'],
    ['thicker than new', 10_200, pad, 'sound before_near'],
    ['a gap of 0.5 that ends at 1.5', 500, gap, 'sound before_near'],
    ['before near', 1_199, gap, 'sound before_near'],
    ['at near', 1_200, gap, 'near_limit past_near'],
    ['at the limit', 1_500, gap, 'near_limit at_the_limit_within_the_gauge'],
    ['past it', 1_501, gap, 'beyond_limit past_the_limit'],
  ])('%s: %i', (_, size, limits, expected) => {
    expect(judged(size, limits)).toBe(expected);
  });

  test('a reading that its own error could put past the limit is near', () => {
    expect(judged(6_250, pad, 249)).toBe('near_limit past_four_fifths');
    expect(judged(6_250, { ...pad, nearThousandths: 6_100 }, 249)).toBe('sound before_near');
    expect(judged(6_250, { ...pad, nearThousandths: 6_100 }, 250)).toBe(
      'near_limit at_the_limit_within_the_gauge',
    );
  });

  test('inches against millimetres, exactly: 0.250 in is 6.35 mm', () => {
    const limits = { ...pad, limitThousandths: 6_350, nearThousandths: 6_350 };
    expect(measureOf({ thousandths: 250, unit: 'in' })).toBe(63_500);
    expect(judged(250, limits, 0, 'in')).toBe('near_limit at_the_limit_within_the_gauge');
    expect(judged(249, limits, 0, 'in')).toBe('beyond_limit past_the_limit');
  });

  test('what cannot be judged says why', () => {
    expect(judged(1, { unit: 'mm' })).toBe('not_judged no_limit_known');
    expect(judged(1, { unit: 'mm', limitThousandths: 5 })).toBe('not_judged no_direction_known');
    expect(judged(1, pad, 0, 'nm')).toBe('not_judged other_unit');
  });

  test('the direction is said, or told from nominal and limit', () => {
    expect([wearDirection(pad), wearDirection(gap)]).toEqual([-1, 1]);
    expect(wearDirection({ unit: 'mm', limitThousandths: 5, grows: false })).toBe(-1);
    expect(judged(6, { unit: 'mm', limitThousandths: 5, grows: false })).toBe('sound before_near');
  });
});

test.each([
  ['go', 'sound', null],
  ['near', 'near_limit', { grade: 'keep_watch' }],
  ['no_go', 'beyond_limit', { grade: 'unfit' }],
] as const)('a gauge that says %s: %s', (step, verdict, grade) => {
  expect(judgeGauge(step).verdict).toBe(verdict);
  expect(gradeOf(verdict, true)).toEqual(grade);
});

test('past the limit where no load hangs on it is to be mended by a day', () => {
  expect(gradeOf('beyond_limit', false)).toEqual({ grade: 'mend_by', withinDays: 14 });
  expect(gradeOf('not_judged', true)).toBeNull();
});

describe('a part that seems to have grown back', () => {
  const at = (measure: number, error: number) => ({ atMs: 0, measure, error });

  // By hand: 3² + 4² = 5².
  test.each([
    ['by just what both can be wrong together', 30, 40, 50, null],
    ['by one more', 30, 40, 51, { by: 51 }],
    ['by more than one of them', 30, 40, 41, null],
    ['not at all', 30, 40, 0, null],
    ['with gauges that are never wrong', 0, 0, 1, { by: 1 }],
  ])('%s', (_, first, second, by, expected) => {
    expect(regain(at(1_000, first), at(1_000 + by, second), -1)).toEqual(expected);
    expect(regain(at(1_000, first), at(1_000 - by, second), 1)).toEqual(expected);
  });

  test('what wears on is never questioned, nor what nobody can say the direction of', () => {
    expect(regain(at(1_000, 0), at(10, 0), -1)).toBeNull();
    expect(regain(at(10, 0), at(1_000, 0), null)).toBeNull();
  });

  test('figures whose squares no float holds are compared exactly', () => {
    const error = 3_000_000_001;
    const both = 4_000_000_000;
    expect(regain(at(0, error), at(5_000_000_000, both), -1)).toBeNull();
    expect(regain(at(0, error - 1), at(5_000_000_000, both), -1)).toBeNull();
    expect(regain(at(0, error - 2), at(5_000_000_000, both), -1)).toEqual({ by: 5_000_000_000 });
  });

  test('of a go/no-go gauge only a whole turn', () => {
    const says = (step: 'go' | 'near' | 'no_go') => ({ atMs: 0, step });
    expect(regain(says('no_go'), says('go'), null)).toEqual({ by: null });
    expect(regain(says('no_go'), says('near'), null)).toBeNull();
    expect(regain(says('near'), says('go'), null)).toBeNull();
    expect(regain(says('go'), says('no_go'), null)).toBeNull();
  });
});

describe('a size against the limits of its place', () => {
  const torque = { unit: 'nm' as const, leastThousandths: 80_000, mostThousandths: 100_000 };
  const at = (thousandths: number, limit: object, error = 0) =>
    judgePlace({ thousandths, unit: 'nm' }, error, { unit: 'nm', ...limit }).verdict;

  test.each([
    [79_999, 'beyond_limit'],
    [80_000, 'sound'],
    [100_000, 'sound'],
    [100_001, 'beyond_limit'],
  ])('%i thousandths: %s', (size, verdict) => {
    expect(at(size, torque)).toBe(verdict);
  });

  test('with only one edge, and with a gauge that could be past it', () => {
    expect(at(1, { mostThousandths: 5 })).toBe('sound');
    expect(at(9, { leastThousandths: 5 })).toBe('sound');
    expect(at(81_000, torque, 1_000)).toBe('sound');
    expect(at(80_999, torque, 1_000)).toBe('near_limit');
  });

  test('in another kind of unit it is not judged', () => {
    expect(judgePlace({ thousandths: 1, unit: 'mm' }, 0, torque).rule).toBe('other_unit');
  });
});
