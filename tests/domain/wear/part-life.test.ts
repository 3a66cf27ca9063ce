import { describe, expect, test } from 'vitest';
import { carriedAlong, lifeUse, overlaps, warrantyAt } from '../../../src/domain/wear/part-life.ts';

const hour = 3_600;

describe('the use of a part', () => {
  test('what it was used before counts with it', () => {
    const prior = { life: 'known' as const, use: { pto_hours: 40 * hour } };
    expect(lifeUse(prior, { pto_hours: 100 * hour }, { pto_hours: 130 * hour })).toEqual([
      { meter: 'pto_hours', grains: 70 * hour, known: 'known' },
    ]);
  });

  test.each([
    ['new', {}, 30, 'known'],
    ['estimated', { pto_hours: 10 }, 40, 'estimated'],
    ['unknown', {}, 30, 'at_least'],
    ['unknown', { pto_hours: 10 }, 40, 'at_least'],
    ['estimated', {}, 30, 'at_least'],
  ] as const)('%s, %j', (life, use, grains, known) => {
    expect(lifeUse({ life, use }, { pto_hours: 70 }, { pto_hours: 100 })).toEqual([
      { meter: 'pto_hours', grains, known },
    ]);
  });

  test('a correction of the ledger takes it no further than to nothing', () => {
    const [use] = lifeUse({ life: 'new', use: {} }, { lift_cycles: 9 }, { lift_cycles: 5 });
    expect(use?.grains).toBe(0);
  });

  test('a part that moves takes it along, as well as it is known', () => {
    const use = (grains: number, known: 'known' | 'estimated' | 'at_least') => ({
      meter: 'pto_hours',
      grains,
      known,
    });
    expect(carriedAlong([use(5, 'known')])).toEqual({ life: 'known', use: { pto_hours: 5 } });
    expect(carriedAlong([use(5, 'estimated')]).life).toBe('estimated');
    expect(carriedAlong([use(5, 'at_least')])).toEqual({
      life: 'unknown',
      use: { pto_hours: 5 },
    });
    expect(carriedAlong([]).life).toBe('unknown');
  });
});

test.each([
  [{ fromMs: 0, toMs: 5 }, { fromMs: 5, toMs: null }, false],
  [{ fromMs: 0, toMs: 6 }, { fromMs: 5, toMs: null }, true],
  [{ fromMs: 0, toMs: null }, { fromMs: 5, toMs: 6 }, true],
  [{ fromMs: 6, toMs: null }, { fromMs: 5, toMs: 6 }, false],
])('two parts in one place: %j and %j', (a, b, expected) => {
  expect([overlaps(a, b), overlaps(b, a)]).toEqual([expected, expected]);
});

describe('a warranty', () => {
  const warranty = { untilDay: '2026-06-30', untilUse: { pto_hours: 100 } };
  const use = (grains: number, known: 'known' | 'at_least' = 'known') => [
    { meter: 'pto_hours', grains, known },
  ];

  test('ends by its day or by use, whichever comes first; the edges are inside', () => {
    expect(warrantyAt(warranty, '2026-06-30', use(100))).toEqual({ state: 'runs', by: null });
    expect(warrantyAt(warranty, '2026-07-01', use(0))).toEqual({ state: 'ended', by: 'day' });
    expect(warrantyAt(warranty, '2026-01-01', use(101))).toEqual({
      state: 'ended',
      by: 'pto_hours',
    });
  });

  test('with use that is not wholly known it may have ended unseen', () => {
    expect(warrantyAt(warranty, '2026-01-01', use(5, 'at_least'))).toEqual({
      state: 'unknown',
      by: 'pto_hours',
    });
    expect(warrantyAt(warranty, '2026-01-01', [])).toMatchObject({ state: 'unknown' });
    expect(warrantyAt(warranty, '2026-01-01', use(101, 'at_least')).state).toBe('ended');
  });

  test('nobody gave one', () => {
    expect(warrantyAt({ untilDay: null, untilUse: {} }, '2026-01-01', use(5)).state).toBe('none');
  });
});
