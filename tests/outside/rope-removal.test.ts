import { describe, expect, test } from 'vitest';
import { judgeRope, type RopeLook } from '../../src/domain/wear/rope.ts';

// Decisions worked by hand from 29 CFR 1926.1413(a)(2), whose figures were read in the text of a
// state that adopts it; (a)(4) on cut-offs from a secondary page. Benchmarks: they do not bind a
// tow truck.

const sound: RopeLook = {
  kind: 'running',
  nominal: 3750,
  measured: 3750,
  inLay: 0,
  inStrand: 0,
  inSixDiameters: null,
  inThirtyDiameters: null,
  atEnd: null,
  damages: [],
  local: false,
  wrapsLeft: null,
};
const judged = (changes: Partial<RopeLook>) => judgeRope({ ...sound, ...changes });
const rules = (changes: Partial<RopeLook>) => judged(changes).fired.map(({ rule }) => rule);

describe('a 3/8 in running rope', () => {
  test('without a fault is kept, and no rule speaks', () => {
    expect(judged({})).toEqual({ decision: 'keep', fired: [], cutOffMayCure: false, hold: false });
  });

  test('5 random breaks in a lay, 2 in a strand, 4.80 % of diameter: one under each limit', () => {
    const changes = { inLay: 5, inStrand: 2, measured: 3570 };
    expect(judged(changes)).toMatchObject({ decision: 'keep_watch', hold: false });
    expect(rules(changes)).toEqual(['wires_in_lay', 'wires_in_strand', 'diameter']);
  });

  test('3 breaks in one strand of one lay end it, though there are only 3 in all', () => {
    expect(judged({ inLay: 3, inStrand: 3 })).toMatchObject({ decision: 'remove', hold: true });
    expect(rules({ inLay: 3, inStrand: 3 })).toEqual(['wires_in_strand']);
  });

  test('6 in a lay end it, not only more than 6', () => {
    expect(judged({ inLay: 6 }).decision).toBe('remove');
    expect(judged({ inLay: 4 }).decision).toBe('keep');
  });

  test('a kink that was pulled straight needs a competent person, and the winch is held', () => {
    expect(judged({ damages: ['kink'] })).toMatchObject({
      decision: 'competent_person',
      hold: true,
      cutOffMayCure: false,
    });
  });

  test('heat at the hook end may be cut off if two wraps stay', () => {
    const heat = { damages: ['heat' as const], local: true };
    expect(judged({ ...heat, wrapsLeft: 2 })).toMatchObject({
      decision: 'competent_person',
      cutOffMayCure: true,
    });
    expect(judged({ ...heat, wrapsLeft: 1 }).cutOffMayCure).toBe(false);
    expect(judged({ ...heat, wrapsLeft: null }).cutOffMayCure).toBe(false);
  });

  test('a broken strand ends it, and no judgement is offered', () => {
    const changes = { damages: ['broken_strand' as const], local: true, wrapsLeft: 9 };
    expect(judged(changes)).toMatchObject({ decision: 'remove', cutOffMayCure: false });
  });

  test('what was not counted or measured is for a competent person', () => {
    expect(judged({ inLay: null }).decision).toBe('competent_person');
    expect(judged({ measured: null }).decision).toBe('competent_person');
  });
});

describe('a 1/2 in rope', () => {
  // In binary floating point (0.5 - 0.475) / 0.5 > 0.05 is true.
  test.each([
    [4750, 'keep_watch'],
    [4749, 'remove'],
    [4800, 'keep'],
    [4799, 'keep_watch'],
  ])('at %i ten-thousandths: %s', (measured, decision) => {
    expect(judged({ nominal: 5000, measured }).decision).toBe(decision);
  });
});

test.each([
  ['rotation_resistant', { inSixDiameters: 2, inThirtyDiameters: 2 }, 'remove'],
  ['rotation_resistant', { inSixDiameters: 1, inThirtyDiameters: 4 }, 'remove'],
  ['rotation_resistant', { inSixDiameters: 1, inThirtyDiameters: 3 }, 'keep_watch'],
  ['rotation_resistant', { inSixDiameters: 0, inThirtyDiameters: 2 }, 'keep'],
  ['standing', { inLay: 3, atEnd: 0 }, 'remove'],
  ['standing', { inLay: 2, atEnd: 0 }, 'keep_watch'],
  ['standing', { inLay: 0, atEnd: 2 }, 'remove'],
  ['standing', { inLay: 1, atEnd: 0 }, 'keep'],
] as const)('%s rope with %o: %s', (kind, counted, decision) => {
  expect(judged({ kind, ...counted }).decision).toBe(decision);
});

test('a core that comes out ends a rotation-resistant rope only', () => {
  const damages = ['core_protrusion' as const];
  const counted = { inSixDiameters: 0, inThirtyDiameters: 0 };
  expect(judged({ kind: 'rotation_resistant', damages, ...counted }).decision).toBe('remove');
  expect(judged({ damages }).decision).toBe('competent_person');
});
