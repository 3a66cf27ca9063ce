import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ReadinessInput } from '../../src/domain/shop/readiness.ts';
import { READINESS_ANSWERS, readinessOf } from '../../src/domain/shop/readiness.ts';
import { STOP_EFFECTS, STOP_KINDS, STOP_STATES } from '../../src/domain/shop/stop.ts';
import { UNIT_FUNCTIONS, type UnitFunction } from '../../src/domain/upkeep/service-point.ts';
import {
  deferral,
  finding,
  hourMs,
  input,
  nowMs,
  stop,
  task,
} from '../domain/shop/readiness-input.ts';

const some = fc.subarray([...UNIT_FUNCTIONS], { minLength: 1 });
const place = fc.constantFrom(null, 'fold_pin', 'arm');
const asset = fc.constantFrom(null, 'lift', 'winch');
const when = fc.constantFrom(null, nowMs - hourMs, nowMs, nowMs + hourMs, nowMs + 9 * hourMs);
const limits = fc.record(
  { loadKg: fc.integer({ min: 1, max: 5 }), daylightOnly: fc.constant(true as const) },
  { requiredKeys: [] },
);

const aStop = fc
  .record({
    kind: fc.constantFrom(...STOP_KINDS),
    state: fc.constantFrom(...STOP_STATES),
    effect: fc.constantFrom(...STOP_EFFECTS),
    functions: some,
    limits,
    untilAtMs: when,
    placedAtMs: fc.integer({ min: nowMs - 9, max: nowMs }),
    findingId: fc.constantFrom(null, 'f0', 'f1', 'f2'),
    assetId: asset,
    pointKey: place,
  })
  .map((more) => stop(more));
const aFinding = fc
  .record({
    grade: fc.constantFrom('sound', 'keep_watch', 'mend_by', 'unfit'),
    functions: some,
    mendByDay: fc.constantFrom(null, '2026-03-01', '2026-03-02', '2026-03-03'),
    silentMeters: fc.constantFrom([], ['pto_hours']),
    assetId: asset,
    pointKey: place,
  })
  .map((more) => finding(more as never));
const aTask = fc
  .record({
    status: fc.constantFrom('overrun', 'unknown'),
    effect: fc.constantFrom('none', 'warn', 'limited', 'no'),
    functions: some,
  })
  .map((more) => task(more as never));
const aDeferral = fc
  .record({ effect: fc.constantFrom('none', 'limited', 'no'), functions: some, limits })
  .map((more) => deferral(more as never));
const aNeed = fc.record({
  assetId: fc.constantFrom('lift', 'winch'),
  function: fc.constantFrom(...UNIT_FUNCTIONS),
  functions: fc.subarray([...UNIT_FUNCTIONS]),
  points: fc.subarray(['fold_pin', 'arm']),
  words: fc.constantFrom('because', 'therefore'),
});

/** Rows of one kind, each with an id of its own. */
const rows = <T extends object>(one: fc.Arbitrary<T>, key: string, letter: string) =>
  fc
    .array(one, { maxLength: 4 })
    .map((all) => all.map((each, i) => ({ ...each, [key]: `${letter}${i}` }) as T));

const anInput: fc.Arbitrary<ReadinessInput> = fc
  .record({
    fitted: fc.subarray([...UNIT_FUNCTIONS]),
    stops: rows(aStop, 'stopId', 's'),
    findings: rows(aFinding, 'findingId', 'f'),
    tasks: rows(aTask, 'taskKey', 't'),
    deferrals: rows(aDeferral, 'deferralId', 'd'),
    needs: fc.array(aNeed, { maxLength: 4 }),
    unassessed: fc.array(
      fc.record({ assetId: fc.constantFrom('lift', 'winch'), functions: some }),
      {
        maxLength: 1,
      },
    ),
  })
  .map((more) => input(more));

/** Every answer of the first is at least as bad as that of the second. */
function noBetter(after: ReadinessInput, before: ReadinessInput): void {
  const was = rank(before);
  for (const [i, now] of rank(after).entries()) expect(now).toBeGreaterThanOrEqual(was[i]!);
}

const rank = (input: ReadinessInput) =>
  readinessOf(input).map(({ answer }) => READINESS_ANSWERS.indexOf(answer));

describe('readiness', () => {
  test('one more stop never makes an answer better', () => {
    fc.assert(
      fc.property(anInput, aStop, (before, more) => {
        const after = { ...before, stops: [...before.stops, { ...more, stopId: 'new' }] };
        noBetter(after, before);
      }),
      { numRuns: 500 },
    );
  });

  test('one more of anything never makes an answer better', () => {
    const lists = ['findings', 'tasks', 'deferrals', 'unassessed'] as const;
    fc.assert(
      fc.property(anInput, anInput, (before, other) => {
        for (const list of lists) {
          const fresh = other[list].map((each) => ({ ...each, findingId: 'new' }));
          const after = { ...before, [list]: [...before[list], ...fresh.slice(0, 1)] };
          noBetter(after, before);
        }
      }),
      { numRuns: 300 },
    );
  });

  test('when all stops are cleared, what the rest says is the answer', () => {
    fc.assert(
      fc.property(anInput, (before) => {
        const cleared = before.stops.map((each) => ({ ...each, state: 'cleared' as const }));
        const none = readinessOf({ ...before, stops: [] });
        expect(readinessOf({ ...before, stops: cleared })).toEqual(none);
      }),
      { numRuns: 300 },
    );
  });

  test('the order of the rows says nothing', () => {
    const shuffled = <T>(list: readonly T[], seed: number): T[] =>
      list
        .map((each, i): [number, T] => [(i * 7_919 + seed) % 13, each])
        .sort(([a], [b]) => a - b)
        .map(([, each]) => each);
    fc.assert(
      fc.property(anInput, fc.nat(100), (before, seed) => {
        const after: ReadinessInput = {
          ...before,
          fitted: shuffled(before.fitted, seed) as UnitFunction[],
          stops: shuffled(before.stops, seed),
          findings: shuffled(before.findings, seed),
          tasks: shuffled(before.tasks, seed),
          deferrals: shuffled(before.deferrals, seed),
          needs: shuffled(before.needs, seed),
        };
        expect(readinessOf(after)).toEqual(readinessOf(before));
      }),
      { numRuns: 500 },
    );
  });

  test('an answer that takes something away always says why', () => {
    fc.assert(
      fc.property(anInput, (given) => {
        for (const { answer, reasons, notes } of readinessOf(given)) {
          const silent = answer === 'yes' || answer === 'not_fitted';
          expect(reasons.length === 0).toBe(silent);
          expect(notes.every((note) => note.effect === 'note')).toBe(true);
          for (const { text, whoCanClear } of reasons) {
            expect([text, whoCanClear]).not.toContain('');
          }
        }
      }),
      { numRuns: 300 },
    );
  });
});
