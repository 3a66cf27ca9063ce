import fc from 'fast-check';
import { ordinalOf } from '../../src/domain/upkeep/calendar.ts';
import type { Deferral } from '../../src/domain/upkeep/deferral.ts';
import type { MeterUse } from '../../src/domain/upkeep/measure-task.ts';
import { newGrid } from '../../src/domain/upkeep/next-grid.ts';
import type { Exposure } from '../../src/domain/upkeep/severity.ts';
import type { MeterSource } from '../../src/domain/upkeep/silence.ts';
import type { TaskRule } from '../../src/domain/upkeep/task-rule.ts';
import type { TaskInput } from '../../src/domain/upkeep/task-working.ts';
import { localDay } from '../../src/domain/usage/local-day.ts';
import { builtInMeters } from '../../src/domain/usage/meter.ts';
import { daysAfter, done, HOUR, noon, rule, ZONE } from '../domain/upkeep/upkeep-input.ts';

/** Tasks of any rule, use, silence, season and deferral, for properties. */
export const RUNS = { numRuns: 1500 };
export const DONE = '2026-10-01';
export const HOUR_MS = 3_600_000;
export const METERS = ['pto_hours', 'lift_cycles'];
/** Long silences are rare, so that a meter's fastest use does not always decide. */
const hoursAgo = fc.oneof(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 0, max: 2000 }));

export const rules: fc.Arbitrary<TaskRule> = fc
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

export const exposures: fc.Arbitrary<Exposure[]> = fc.array(
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

export const inputs: fc.Arbitrary<TaskInput> = fc
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
          called: null,
          today,
          nowMs,
          zone: ZONE,
        }),
      );
  });
