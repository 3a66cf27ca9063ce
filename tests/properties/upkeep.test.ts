import fc from 'fast-check';
import { expect, test } from 'vitest';
import { assessTask, type TaskAssessment } from '../../src/domain/upkeep/assess-task.ts';
import { ordinalOf } from '../../src/domain/upkeep/calendar.ts';
import type { MeterUse } from '../../src/domain/upkeep/measure-task.ts';
import { type DoneRecord, replayDone } from '../../src/domain/upkeep/next-grid.ts';
import { rankTask } from '../../src/domain/upkeep/rank-unit.ts';
import type { TaskInput } from '../../src/domain/upkeep/task-working.ts';
import { localDay, startOfLocalDay } from '../../src/domain/usage/local-day.ts';
import { builtInMeters, minMsPerTick } from '../../src/domain/usage/meter.ts';
import { DAY_MS, daysAfter, done, HOUR, noon, ZONE } from '../domain/upkeep/upkeep-input.ts';
import { DONE, exposures, inputs, METERS, RUNS, rules } from './upkeep-inputs.ts';

/** `grains` more on the day of an instant; on the day of done they count as after it. */
function withMore(use: MeterUse | undefined, atMs: number, grains: number): MeterUse {
  const known = use ?? { afterDone: 0, days: [] };
  const day = localDay(atMs, ZONE);
  if (day <= DONE) return { ...known, afterDone: known.afterDone + grains };
  const had = known.days.find((d) => d.day === day)?.grains ?? 0;
  const days = known.days.filter((d) => d.day !== day);
  days.push({ day, grains: had + grains });
  return { ...known, days: days.sort((a, b) => (a.day < b.day ? -1 : 1)) };
}

test('more use never makes a task less pressing', () => {
  const some = fc.tuple(fc.constantFrom(...METERS), fc.nat(1000), fc.nat(40 * HOUR));
  fc.assert(
    fc.property(inputs, some, (given, [meter, part, grains]) => {
      const from = noon(DONE);
      const at = from + Math.floor(((given.nowMs - from) * part) / 1000);
      const use = { ...given.use, [meter]: withMore(given.use[meter], at, grains) };
      const before = rankTask(assessTask(given));
      expect(rankTask(assessTask({ ...given, use }))).toBeLessThanOrEqual(before);
    }),
    RUNS,
  );
});

test('a later moment never makes a task less pressing', () => {
  fc.assert(
    fc.property(inputs, fc.integer({ min: 0, max: 60 * DAY_MS }), (given, later) => {
      const nowMs = given.nowMs + later;
      const then = assessTask({ ...given, nowMs, today: localDay(nowMs, ZONE) });
      expect(rankTask(then)).toBeLessThanOrEqual(rankTask(assessTask(given)));
    }),
    RUNS,
  );
});

test('a silent meter never hides an overrun, nor when it began', () => {
  const known = (given: TaskInput) => {
    const heard = { kind: 'counting' as const, knownUntilMs: given.nowMs, staleReason: 'x' };
    const source = { ...heard, staleAtMs: given.nowMs + 1 };
    return { ...given, sources: { pto_hours: source, lift_cycles: source } };
  };
  let overruns = 0;
  fc.assert(
    fc.property(inputs, (given) => {
      const heard = assessTask(known(given));
      const silent = assessTask(given);
      expect(silent.knownStatus).toBe(heard.status);
      if (heard.status !== 'overrun') return;
      overruns += 1;
      expect(silent).toMatchObject({
        status: 'overrun',
        overrunSince: heard.overrunSince,
        effect: heard.effect,
      });
    }),
    RUNS,
  );
  expect(overruns).toBeGreaterThan(50);
});

/** Every silent meter used as fast as it can be since it was last known, day by day. */
function usedAtFullSpeed(given: TaskInput, silent: TaskAssessment, extra: number): TaskInput {
  const use = { ...given.use };
  const sources = { ...given.sources };
  for (const { measure, silentSinceMs, known } of silent.measures) {
    if (silentSinceMs === null) continue;
    const meter = builtInMeters.find((m) => m.name === measure)!;
    if (known === 'none') use[measure] = { afterDone: 0, days: [] };
    let at = silentSinceMs;
    while (at < given.nowMs) {
      const next = startOfLocalDay(daysAfter(localDay(at, ZONE), 1), ZONE);
      const end = Math.min(next, given.nowMs);
      const grains = Math.floor((end - at) / minMsPerTick(meter, 1)) + extra;
      use[measure] = withMore(use[measure], at, grains);
      at = end;
    }
    const heard = { kind: 'counting' as const, knownUntilMs: given.nowMs, staleReason: 'x' };
    sources[measure] = { ...heard, staleAtMs: given.nowMs + 1 };
  }
  return { ...given, use, sources };
}

test('unknown exactly when the fastest possible use would make the answer another', () => {
  let unknown = 0;
  fc.assert(
    fc.property(inputs, (given) => {
      const silent = assessTask(given);
      const allCounted = Object.values(given.sources).every((s) => s.kind === 'counting');
      const fastest = (extra: number) => assessTask(usedAtFullSpeed(given, silent, extra)).status;
      if (silent.status === 'unknown') {
        unknown += 1;
        expect(fastest(1)).not.toBe(silent.knownStatus);
      } else if (allCounted) {
        expect(fastest(0)).toBe(silent.status);
      }
    }),
    RUNS,
  );
  expect(unknown).toBeGreaterThan(50);
});

/** All that may not change before the next check; projected dates may. */
function standing(a: TaskAssessment) {
  return {
    status: a.status,
    knownStatus: a.knownStatus,
    overrunSince: a.overrunSince,
    effect: a.effect,
    unknownBecause: a.unknownBecause,
    deferral: a.deferral?.state,
    levels: a.measures.map((m) => [m.known, m.opens.past, m.full.past, m.limit.past]),
  };
}

test('nothing changes before the next check', () => {
  fc.assert(
    fc.property(inputs, fc.double({ min: 0, max: 1, noNaN: true }), (given, part) => {
      const first = assessTask(given);
      const end = first.nextCheckAtMs ?? given.nowMs + 4000 * DAY_MS;
      expect(end).toBeGreaterThan(given.nowMs);
      for (const share of [part, 1]) {
        const nowMs = Math.min(end - 1, given.nowMs + Math.floor((end - given.nowMs) * share));
        const then = assessTask({ ...given, nowMs, today: localDay(nowMs, ZONE) });
        expect(standing(then)).toEqual(standing(first));
      }
    }),
    RUNS,
  );
});

test('every number of an assessment is a whole one, and every day is a day', () => {
  const walk = (value: unknown, path: string) => {
    if (typeof value === 'number' && !Number.isSafeInteger(value)) throw new Error(path);
    if (typeof value === 'object' && value !== null) {
      for (const [key, inner] of Object.entries(value)) walk(inner, `${path}.${key}`);
    }
  };
  fc.assert(
    fc.property(inputs, (given) => walk(assessTask(given), 'assessment')),
    RUNS,
  );
});

test('a replay does not depend on the order, or the number of times, of recording', () => {
  const history = fc.array(
    fc.record({ day: fc.integer({ min: 0, max: 200 }), voided: fc.boolean(), n: fc.nat(9) }),
    { maxLength: 10 },
  );
  const perDay = { pto_hours: 2 * HOUR, lift_cycles: 5 };
  const useBetween = (from: { day: string }, to: { day: string }) => {
    const days = ordinalOf(to.day) - ordinalOf(from.day);
    const list = (grains: number) =>
      Array.from({ length: days }, (_, i) => ({ day: daysAfter(from.day, i + 1), grains }));
    return {
      pto_hours: { afterDone: 0, days: list(perDay.pto_hours) },
      lift_cycles: { afterDone: 0, days: list(perDay.lift_cycles) },
    };
  };
  fc.assert(
    fc.property(
      rules,
      history,
      exposures,
      fc.infiniteStream(fc.nat()),
      (task, list, salt, dice) => {
        const records: DoneRecord[] = list.map(({ day, voided, n }) => ({
          ...done(daysAfter(DONE, day), { id: `${day}-${n}` }),
          voided,
        }));
        const shuffled = [...records, ...records]
          .map((record) => ({ record, at: dice.next().value }))
          .sort((a, b) => a.at - b.at)
          .map(({ record }) => record);
        const replay = (h: DoneRecord[]) => replayDone(h, () => task, useBetween, salt);
        const once = replay(records);
        expect(replay(shuffled)).toEqual(once);
        for (const step of once.steps) {
          for (const carry of Object.values(step.grid.carry)) {
            expect(Number.isSafeInteger(carry)).toBe(true);
          }
        }
      },
    ),
    { numRuns: 500 },
  );
});
