import fc from 'fast-check';
import { expect, test } from 'vitest';
import { assessTask, type TaskAssessment } from '../../src/domain/upkeep/assess-task.ts';
import { ordinalOf } from '../../src/domain/upkeep/calendar.ts';
import type { Deferral } from '../../src/domain/upkeep/deferral.ts';
import type { MeterUse } from '../../src/domain/upkeep/measure-task.ts';
import { type DoneRecord, newGrid, replayDone } from '../../src/domain/upkeep/next-grid.ts';
import { rankTask } from '../../src/domain/upkeep/rank-unit.ts';
import type { Exposure } from '../../src/domain/upkeep/severity.ts';
import type { MeterSource } from '../../src/domain/upkeep/silence.ts';
import type { TaskRule } from '../../src/domain/upkeep/task-rule.ts';
import type { TaskInput } from '../../src/domain/upkeep/task-working.ts';
import { localDay, startOfLocalDay } from '../../src/domain/usage/local-day.ts';
import { builtInMeters, minMsPerTick } from '../../src/domain/usage/meter.ts';
import { DAY_MS, daysAfter, done, HOUR, noon, rule, ZONE } from '../domain/upkeep/upkeep-input.ts';

const DONE = '2026-10-01';
const HOUR_MS = 3_600_000;
const METERS = ['pto_hours', 'lift_cycles'];
/** Long silences are rare, so that a meter's fastest use does not always decide. */
const hoursAgo = fc.oneof(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 0, max: 2000 }));

const rules: fc.Arbitrary<TaskRule> = fc
  .record({
    pto: fc.option(fc.integer({ min: 1, max: 300 })),
    lifts: fc.option(fc.integer({ min: 1, max: 900 })),
    calendar: fc.option(
      fc.oneof(
        fc.record({ days: fc.integer({ min: 1, max: 120 }) }),
        fc.record({ months: fc.integer({ min: 1, max: 4 }) }),
      ),
    ),
    opensThousandths: fc.integer({ min: 500, max: 1000 }),
    limitThousandths: fc.integer({ min: 1000, max: 1500 }),
    severity: fc.constantFrom({}, { salt: 1500 }, { salt: 1333, heavy_use: 2000 }),
    overrunEffect: fc.constantFrom('none', 'warn', 'limited', 'no'),
  })
  .map(({ pto, lifts, calendar, ...rest }) => {
    const meters = [];
    if (pto !== null) meters.push({ meter: 'pto_hours', grains: pto * HOUR });
    if (lifts !== null) meters.push({ meter: 'lift_cycles', grains: lifts });
    const fallback = meters.length === 0 ? { days: 30 } : null;
    return rule({ ...rest, meters, calendar: calendar ?? fallback });
  });

function uses(days: number, most: number): fc.Arbitrary<MeterUse> {
  return fc.record({
    afterDone: fc.integer({ min: 0, max: most }),
    days: fc
      .uniqueArray(fc.integer({ min: 1, max: Math.max(1, days) }), {
        maxLength: Math.min(days, 25),
      })
      .chain((on) =>
        fc
          .array(fc.integer({ min: 0, max: most }), { minLength: on.length, maxLength: on.length })
          .map((grains) =>
            on
              .sort((a, b) => a - b)
              .map((day, i) => ({ day: daysAfter(DONE, day), grains: grains[i]! })),
          ),
      ),
  });
}

function sourcesAt(nowMs: number): fc.Arbitrary<MeterSource> {
  return fc.oneof(
    { weight: 1, arbitrary: fc.constant<MeterSource>({ kind: 'none' }) },
    {
      weight: 6,
      arbitrary: fc
        .record({ ago: hoursAgo, habit: fc.integer({ min: 1, max: 80 }) })
        .map(({ ago, habit }): MeterSource => {
          const knownUntilMs = nowMs - ago * HOUR_MS - 1234;
          const staleAtMs = knownUntilMs + habit * HOUR_MS;
          return { kind: 'counting', knownUntilMs, staleAtMs, staleReason: 'no_contact' };
        }),
    },
  );
}

const exposures: fc.Arbitrary<Exposure[]> = fc.array(
  fc.record({
    kind: fc.constantFrom('salt' as const, 'heavy_use' as const),
    from: fc.integer({ min: -20, max: 60 }).map((n) => daysAfter(DONE, n)),
    to: fc.option(fc.integer({ min: 10, max: 120 }).map((n) => daysAfter(DONE, n))),
    season: fc.option(fc.constant({ from: '11-01', to: '02-29' })),
  }),
  { maxLength: 3 },
);

function deferrals(task: TaskRule, nowMs: number): fc.Arbitrary<Deferral | null> {
  const meter = task.meters[0];
  return fc.option(
    fc
      .record({
        until: fc.integer({ min: 1, max: 120 }),
        use: fc.integer({ min: 0, max: 50 * HOUR }),
        before: fc.integer({ min: 0, max: 50 * HOUR }),
      })
      .map(({ until, use, before }) => ({
        fromAtMs: nowMs,
        untilDay: daysAfter(DONE, until),
        untilUse: meter ? { [meter.meter]: use } : {},
        usedBefore: meter ? { [meter.meter]: before } : {},
        approver: 'R. Vance',
        restriction: null,
      })),
  );
}

const rates = fc.option(
  fc.record({ grains: fc.integer({ min: 0, max: 400_000 }), days: fc.constant(28) }),
);

const inputs: fc.Arbitrary<TaskInput> = fc
  .record({
    task: rules,
    afterHours: fc.oneof(fc.integer({ min: 1, max: 900 }), fc.integer({ min: 1, max: 3000 })),
    carry: fc.integer({ min: -20, max: 20 }),
  })
  .chain(({ task, afterHours, carry }) => {
    const nowMs = noon(DONE) + afterHours * HOUR_MS;
    const today = localDay(nowMs, ZONE);
    const days = ordinalOf(today) - ordinalOf(DONE);
    const grid = newGrid(done(DONE));
    const length = task.meters[0]?.grains ?? 0;
    const carries = task.meters[0] ? { [task.meters[0].meter]: carry * 10 * length } : {};
    return fc
      .record({
        pto: uses(days, 6 * HOUR),
        lifts: uses(days, 40),
        sources: fc.tuple(sourcesAt(nowMs), sourcesAt(nowMs)),
        exposures,
        deferral: deferrals(task, nowMs),
        rates: fc.tuple(rates, rates),
      })
      .map(
        (drawn): TaskInput => ({
          rule: task,
          meters: builtInMeters,
          grid: { ...grid, carry: carries },
          use: { pto_hours: drawn.pto, lift_cycles: drawn.lifts },
          sources: { pto_hours: drawn.sources[0], lift_cycles: drawn.sources[1] },
          rates: { pto_hours: drawn.rates[0], lift_cycles: drawn.rates[1] },
          exposures: drawn.exposures,
          deferral: drawn.deferral,
          today,
          nowMs,
          zone: ZONE,
        }),
      );
  });

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

const RUNS = { numRuns: 1500 };

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
