import { describe, expect, test } from 'vitest';
import { type ChainLook, judgeChain } from '../../src/domain/wear/chain.ts';
import { type HookLook, judgeHook } from '../../src/domain/wear/hook.ts';
import { judgeHose } from '../../src/domain/wear/hose.ts';
import { judgeFibreRope, judgeSling } from '../../src/domain/wear/sling.ts';

describe('alloy chain, 29 CFR 1910.184(e), table N-184-1 (read in a state that adopts it)', () => {
  const sound: ChainLook = {
    size64: 24,
    thinnest: 3750,
    lengthNew: null,
    lengthNow: null,
    damages: [],
  };
  const decision = (changes: Partial<ChainLook>) => judgeChain({ ...sound, ...changes }).decision;

  // By hand: 19/64 = 0.296875, 13/64 = 0.203125.
  test.each([
    [24, 2970, 'keep'],
    [24, 2969, 'keep'],
    [24, 2968, 'remove'],
    [24, 2960, 'remove'],
    [16, 2035, 'keep'],
    [16, 2031, 'remove'],
    [64, 8125, 'keep'],
    [64, 8124, 'remove'],
    [80, 10000, 'keep'],
    [80, 9999, 'remove'],
  ])('%i/64 in at %i ten-thousandths: %s', (size64, thinnest, expected) => {
    expect(decision({ size64, thinnest })).toBe(expected);
  });

  test('5/16 in is not in the table', () => {
    expect(decision({ size64: 20, thinnest: 3125 })).toBe('competent_person');
  });

  test('longer by 3 % is not more than 3 %', () => {
    expect(decision({ lengthNew: 100_000, lengthNow: 103_000 })).toBe('keep');
    expect(decision({ lengthNew: 100_000, lengthNow: 103_001 })).toBe('remove');
  });
});

describe('hook, ASME B30.10 by EM 385-1-1 15.E.07; 29 CFR 1910.184(e) from memory', () => {
  const sound: HookLook = {
    throatNew: 10_000,
    throatNow: 10_000,
    saddleNew: null,
    saddleNow: null,
    damages: [],
  };
  const rules = (changes: Partial<HookLook>) =>
    judgeHook({ ...sound, ...changes }).fired.map(({ rule }) => rule);

  test.each([
    [10_400, []],
    [10_500, []],
    [10_600, ['throat_5_percent']],
    [11_500, ['throat_5_percent']],
    [11_600, ['throat_5_percent', 'throat_15_percent']],
  ])('a throat of 1 in that is now %i ten-thousandths: %j', (throatNow, fired) => {
    expect(rules({ throatNow })).toEqual(fired);
    const decision = fired.length === 0 ? 'keep' : 'remove';
    expect(judgeHook({ ...sound, throatNow }).decision).toBe(decision);
  });

  test('a quarter of an inch is the most, however wide the throat', () => {
    expect(rules({ throatNew: 80_000, throatNow: 82_500 })).toEqual([]);
    expect(rules({ throatNew: 80_000, throatNow: 82_501 })).toEqual(['throat_5_percent']);
  });

  test('without its throat when new it cannot be judged', () => {
    expect(judgeHook({ ...sound, throatNew: null }).decision).toBe('competent_person');
  });

  test('any bend, crack or latch that fails ends its use; so does a tenth worn away', () => {
    for (const damage of ['bent', 'cracked', 'twisted', 'latch_fails'] as const) {
      expect(judgeHook({ ...sound, damages: [damage] }).decision).toBe('remove');
    }
    expect(rules({ saddleNew: 5000, saddleNow: 4500 })).toEqual([]);
    expect(rules({ saddleNew: 5000, saddleNow: 4499 })).toEqual(['wear_10_percent']);
  });
});

describe('slings, synthetic rope, hoses', () => {
  test('a missing tag alone ends a sling (ASME B30.9, secondary page)', () => {
    const whole = { thicknessNew: null, thicknessNow: null };
    expect(judgeSling({ damages: [], ...whole }).decision).toBe('keep');
    expect(judgeSling({ damages: ['no_tag'], ...whole }).decision).toBe('remove');
  });

  test('more than 15 % rubbed away (one university safety office)', () => {
    const at = (thicknessNow: number) =>
      judgeSling({ damages: [], thicknessNew: 2000, thicknessNow }).decision;
    expect([at(1700), at(1699)]).toEqual(['keep', 'remove']);
  });

  test.each([
    ['braid', 24, 'keep_watch'],
    ['braid', 25, 'remove'],
    ['braid', 19, 'keep'],
    ['double_braid', 49, 'keep_watch'],
    ['double_braid', 50, 'remove'],
    ['three_strand', 10, 'remove'],
    ['three_strand', 7, 'keep'],
  ] as const)(
    'a %s with %i %% broken (public page on rope): %s',
    (kind, brokenPercent, decision) => {
      expect(judgeFibreRope({ kind, brokenPercent, damages: [] }).decision).toBe(decision);
    },
  );

  test('a hose: each thing of SAE J1273 at once, six years of DIN 20066 as a prompt', () => {
    expect(judgeHose({ damages: ['fitting_slipped'], months: 1 }).decision).toBe('remove');
    expect(judgeHose({ damages: [], months: 72 }).decision).toBe('keep');
    expect(judgeHose({ damages: [], months: 73 }).decision).toBe('keep_watch');
  });
});
