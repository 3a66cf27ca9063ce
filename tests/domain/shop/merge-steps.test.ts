import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  countedAtMs,
  join,
  mergeSteps,
  type StepCommand,
  stepResults,
  told,
} from '../../../src/domain/shop/merge-steps.ts';

const ids = ['c0', 'c1', 'c2', 'c3', 'c4', 'c5', 'c6', 'c7', 'c8', 'c9'];

/** Histories as phones write them: each client id once, whatever it says. */
const commands = fc
  .uniqueArray(
    fc.record({
      clientId: fc.constantFrom(...ids),
      stepId: fc.constantFrom('s1', 's2', 's3'),
      result: fc.constantFrom(...stepResults),
      atMs: fc.integer({ min: 0, max: 4 }),
      personId: fc.constantFrom('ada', 'ben', 'cal'),
      replaces: fc.uniqueArray(fc.constantFrom(...ids), { maxLength: 3 }),
    }),
    { selector: (each) => each.clientId, maxLength: 10 },
  )
  .map((list): StepCommand[] => list);

const byKey = <T>(map: ReadonlyMap<string, T>) =>
  [...map].sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
const merged = (list: readonly StepCommand[]) => byKey(mergeSteps(told(list)));

describe('any order, twice, late and from two phones: one card', () => {
  test('the order does not matter', () => {
    fc.assert(
      fc.property(
        commands.chain((list) =>
          fc.tuple(fc.constant(list), fc.shuffledSubarray(list, { minLength: list.length })),
        ),
        ([list, shuffled]) => {
          expect(merged(shuffled)).toEqual(merged(list));
        },
      ),
    );
  });

  test('what comes again changes nothing', () => {
    fc.assert(
      fc.property(commands, fc.array(fc.nat(9)), (list, again) => {
        const repeats = again.flatMap((i) => list[i] ?? []);
        expect(merged([...list, ...repeats])).toEqual(merged(list));
      }),
    );
  });

  test('two phones that each know a part make the whole, whoever is heard first', () => {
    fc.assert(
      fc.property(commands, fc.array(fc.nat(2), { minLength: 10, maxLength: 10 }), (list, who) => {
        // 0: only the first phone has it, 1: only the second, 2: both.
        const first = told(list.filter((_, i) => who[i] !== 1));
        const second = told(list.filter((_, i) => who[i] !== 0));
        const whole = merged(list);
        expect(byKey(mergeSteps(join(first, second)))).toEqual(whole);
        expect(byKey(mergeSteps(join(second, first)))).toEqual(whole);
      }),
    );
  });

  test('joining is commutative, associative and idempotent', () => {
    const sets = (list: StepCommand[], who: number[]) =>
      [1, 2, 4].map((bit) => told(list.filter((_, i) => ((who[i] ?? 0) & bit) !== 0)));
    const alike = (a: ReadonlyMap<string, StepCommand>, b: ReadonlyMap<string, StepCommand>) =>
      expect(byKey(a)).toEqual(byKey(b));
    fc.assert(
      fc.property(commands, fc.array(fc.nat(7), { minLength: 10, maxLength: 10 }), (list, who) => {
        const [a, b, c] = sets(list, who) as [
          ReturnType<typeof told>,
          ReturnType<typeof told>,
          ReturnType<typeof told>,
        ];
        alike(join(a, b), join(b, a));
        alike(join(join(a, b), c), join(a, join(b, c)));
        alike(join(a, a), a);
        expect(join(a, b).size).toBe(new Set([...a.keys(), ...b.keys()]).size);
      }),
    );
  });

  test('what comes late joins the rest: one by one is the same as all at once', () => {
    fc.assert(
      fc.property(commands, (list) => {
        let so = told<StepCommand>([]);
        for (const command of list) so = join(told([command]), so);
        expect(byKey(mergeSteps(so))).toEqual(merged(list));
      }),
    );
  });
});

const say = (clientId: string, result: StepCommand['result'], more: Partial<StepCommand> = {}) => ({
  clientId,
  stepId: 's1',
  result,
  atMs: 0,
  personId: 'ada',
  replaces: [],
  ...more,
});
const one = (...list: StepCommand[]) => mergeSteps(told(list)).get('s1');

describe('what holds', () => {
  test('nothing was said of a step: it is not there', () => {
    expect(one(say('a', 'done', { stepId: 's2' }))).toBeUndefined();
  });

  test('of one person the later word holds: found not right, put right, done', () => {
    const step = one(say('a', 'not_right', { atMs: 1 }), say('b', 'done', { atMs: 2 }));
    expect(step).toMatchObject({ result: 'done', disputed: false, doneAtMs: 2, people: ['ada'] });
    expect(step?.holding.map((each) => each.clientId)).toEqual(['b']);
  });

  test('two people who say otherwise: the worse holds until one puts the other right', () => {
    const done = say('a', 'done', { atMs: 5 });
    const found = say('b', 'not_right', { atMs: 1, personId: 'ben' });
    expect(one(done, found)).toMatchObject({ result: 'not_right', disputed: true, doneAtMs: null });
    const after = say('c', 'done', { atMs: 6, replaces: ['b'] });
    expect(one(done, found, after)).toMatchObject({
      result: 'done',
      disputed: false,
      doneAtMs: 6,
      people: ['ada', 'ben'],
    });
  });

  test('two who did it both: done, when the later one was', () => {
    const step = one(say('a', 'done', { atMs: 3 }), say('b', 'done', { atMs: 4, personId: 'ben' }));
    expect(step).toMatchObject({ result: 'done', disputed: false, doneAtMs: 4 });
  });

  test('who puts each other right in a ring has put nobody right', () => {
    const step = one(
      say('a', 'done', { replaces: ['b'] }),
      say('b', 'not_done', { personId: 'ben', replaces: ['a'] }),
    );
    expect(step).toMatchObject({ result: 'not_done', disputed: true });
  });

  test('a command cannot put itself away', () => {
    expect(one(say('a', 'done', { replaces: ['a'] }))).toMatchObject({ result: 'done' });
  });

  test.each([
    [5, 10, 20, 10],
    [15, 10, 20, 15],
    [25, 10, 20, 20],
  ])('said at %d, card of %d, came at %d: counts at %d', (said, written, received, counts) => {
    expect(countedAtMs(said, written, received)).toBe(counts);
  });
});
