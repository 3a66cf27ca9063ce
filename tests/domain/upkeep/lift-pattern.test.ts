import { expect, test } from 'vitest';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';

const point = {
  key: 'crossbar_pivot',
  kind: 'grease_fitting',
  name: 'Crossbar pivot',
  side: 'centre',
  place: 'Behind the crossbar, from the left',
};
const task = {
  key: 'grease_all',
  name: 'Grease all fittings',
  points: ['crossbar_pivot'],
  every: { pto_hours: 50, lift_cycles: 150, days: 30 },
};
const part = {
  key: 'pivot_washer',
  name: 'Pivot washer',
  points: ['crossbar_pivot'],
  meters: ['fold_cycles'],
};
const pattern = {
  name: 'Self-loading wheel lift',
  assetKind: 'lift',
  servicePoints: [point],
  tasks: [task],
  wearParts: [part],
};

function problems(value: unknown): string[] {
  const parsed = parseLiftPattern(value, builtInMeters);
  return parsed.ok ? [] : parsed.problems.map((p) => `${p.path} ${p.reason}`);
}
const withTask = (changes: object) => problems({ ...pattern, tasks: [{ ...task, ...changes }] });
const withPoint = (changes: object) =>
  problems({ ...pattern, servicePoints: [{ ...point, ...changes }] });

test('a whole pattern, with its defaults, in integers', () => {
  const full = {
    ...point,
    liftPosition: { fold: 'unfolded', reach: 'out', blocked: true },
    liftCritical: true,
    serves: ['wheel_lift'],
    cautions: ['PTO out.'],
    lubricant: 'NLGI 2 EP',
    quantity: { amount: 2.5, unit: 'strokes' },
    torque: { nm: 67.8, thread: 'oiled' },
  };
  const seasonal = { ...task, severity: { salt: 1.5 }, every: { pto_hours: 0.05, months: 3 } };
  const worn = { ...part, nominal: 6.35, limit: 4.8 };
  const parsed = parseLiftPattern(
    { ...pattern, servicePoints: [full], tasks: [seasonal], wearParts: [worn] },
    builtInMeters,
  );
  expect(parsed).toEqual({
    ok: true,
    pattern: {
      name: 'Self-loading wheel lift',
      assetKind: 'lift',
      servicePoints: [
        {
          ...full,
          oftenMissed: false,
          taps: ['took_grease', 'one_side_only', 'took_none', 'fitting_missing', 'fitting_broken'],
          limits: [],
          quantity: { thousandths: 2500, unit: 'strokes' },
          torque: { milliNm: 67_800, thread: 'oiled' },
        },
      ],
      tasks: [
        {
          key: 'grease_all',
          name: 'Grease all fittings',
          points: ['crossbar_pivot'],
          meters: [{ meter: 'pto_hours', grains: 180 }],
          calendar: { months: 3 },
          opensThousandths: 900,
          limitThousandths: 1100,
          statutory: false,
          overrunEffect: 'warn',
          functions: [],
          mayExtend: 'lead',
          severity: { salt: 1500 },
          work: null,
          cautions: ['PTO out.'],
        },
      ],
      wearParts: [
        {
          ...part,
          unit: 'mm',
          grows: false,
          quantity: 1,
          priorLife: [],
          nominalThousandths: 6350,
          limitThousandths: 4800,
          nominal: undefined,
          limit: undefined,
        },
      ].map(({ nominal, limit, ...kept }) => kept),
      functionNeeds: [],
      symptomRules: [],
    },
  });
});

test.each([null, 7, 'x', [], undefined])('%j is no pattern', (value) => {
  expect(problems(value)).toContain(' must be an object');
});

test('unknown keys are refused with their path, also the odd ones', () => {
  const odd = JSON.parse('{"__proto__": 1, "a/b~c": 2, "constructor": 3}');
  expect(problems({ ...pattern, moodRules: [] })).toEqual(['/moodRules is not a known key']);
  const found = problems(Object.assign(Object.create(null), odd));
  expect(found).toContain('/__proto__ is not a known key');
  expect(found).toContain('/a~1b~0c is not a known key');
  expect(found).toContain('/constructor is not a known key');
  expect(withPoint({ liftPosition: { tilt: 'up' } })).toEqual([
    '/servicePoints/0/liftPosition/tilt is not a known key',
  ]);
});

test('meters belong to the kind of asset', () => {
  expect(withTask({ every: { engine_hours: 100 } })).toEqual([
    '/tasks/0/every/engine_hours counts use of a chassis, not of a lift',
  ]);
  expect(withTask({ every: { airtime: 100 } })).toContain(
    '/tasks/0/every/airtime is not a known key',
  );
  expect(problems({ ...pattern, wearParts: [{ ...part, meters: ['winch_cycles'] }] })).toEqual([
    '/wearParts/0/meters/0 is not a meter of a lift',
  ]);
  // a wrong kind is one problem, not one for each meter
  expect(problems({ ...pattern, assetKind: 'crane' })).toEqual([
    '/assetKind must be one of: chassis, lift, winch, dolly_set',
  ]);
});

test.each([
  [{ every: {} }, '/tasks/0/every must name a meter, days or months'],
  [{ every: undefined }, '/tasks/0/every is missing'],
  [
    { every: { days: 30, months: 1 } },
    '/tasks/0/every/months cannot stand beside days: give one of the two',
  ],
  [{ every: { days: 2.5 } }, '/tasks/0/every/days must be a whole multiple of 1/1'],
  [{ every: { pto_hours: 0.0001 } }, '/tasks/0/every/pto_hours must be a whole multiple of 1/3600'],
  [{ every: { lift_cycles: 1.5 } }, '/tasks/0/every/lift_cycles must be a whole multiple of 1/1'],
  [
    { every: { lift_cycles: -1 } },
    '/tasks/0/every/lift_cycles must be a number above 0 and at most 1000000',
  ],
  [
    { every: { lift_cycles: Number.NaN } },
    '/tasks/0/every/lift_cycles must be a number above 0 and at most 1000000',
  ],
  [{ opens: 1.01 }, '/tasks/0/opens must be a number at least 0.5 and at most 1'],
  [{ limit: 0.99 }, '/tasks/0/limit must be a number at least 1 and at most 1.5'],
  [{ limit: 1.0005 }, '/tasks/0/limit must be a whole multiple of 1/1000'],
  [{ severity: { salt: 0.9 } }, '/tasks/0/severity/salt must be a number at least 1 and at most 5'],
  [{ overrunEffect: 'no' }, '/tasks/0/functions must name what "no" takes away'],
  [{ functions: ['winch', 'winch'] }, '/tasks/0/functions/1 repeats "winch"'],
  [{ points: ['nowhere'] }, '/tasks/0/points/0 no service point has the key "nowhere"'],
  [
    { key: 'Grease All' },
    '/tasks/0/key must be a key: a lower-case letter, then up to 47 letters, digits or _',
  ],
  [{ name: '  ' }, '/tasks/0/name must not be empty'],
  [{ name: 'a\nb' }, '/tasks/0/name must not hold control characters'],
])('task %j: %s', (changes, problem) => {
  expect(withTask(changes)).toEqual([problem]);
});

test('a statutory task counts months and nothing else, has no plus, and nobody extends it', () => {
  const legal = { statutory: true, every: { months: 12 } };
  const parsed = parseLiftPattern({ ...pattern, tasks: [{ ...task, ...legal }] }, builtInMeters);
  expect(parsed.ok && parsed.pattern.tasks[0]).toMatchObject({
    limitThousandths: 1000,
    opensThousandths: 900,
    mayExtend: 'nobody',
  });
  expect(withTask({ ...legal, every: { days: 365 } })).toHaveLength(1);
  expect(withTask({ ...legal, every: { months: 12, pto_hours: 5 } })).toHaveLength(1);
  expect(withTask({ ...legal, limit: 1.1 })).toHaveLength(1);
  expect(withTask({ ...legal, limit: 1 })).toEqual([]);
  expect(withTask({ ...legal, severity: { salt: 2 } })).toHaveLength(1);
  expect(withTask({ ...legal, mayExtend: 'lead' })).toHaveLength(1);
});

test('all problems at once, keys unique, references checked', () => {
  const twice = {
    ...pattern,
    servicePoints: [point, point],
    tasks: [task, { ...task, points: ['x'] }],
  };
  expect(problems(twice)).toEqual([
    '/servicePoints/1/key repeats "crossbar_pivot"',
    '/tasks/1/key repeats "grease_all"',
    '/tasks/1/points/0 no service point has the key "x"',
  ]);
});

test('lists and problems are bounded, and what is left out is counted', () => {
  const parsed = parseLiftPattern(
    { ...pattern, servicePoints: Array.from({ length: 501 }, () => 7) },
    builtInMeters,
  );
  if (parsed.ok) throw new Error('accepted');
  expect(parsed.problems).toHaveLength(100);
  expect(parsed.problems[0]).toEqual({
    path: '/servicePoints',
    reason: 'has 501 entries; at most 500 are allowed',
  });
  expect(parsed.omitted).toBeGreaterThan(100);
  const long = problems({ ...pattern, ['k'.repeat(5000)]: 1 });
  expect(long[0]?.length).toBeLessThan(200);
});

test('a part that starts at its limit is refused', () => {
  expect(problems({ ...pattern, wearParts: [{ ...part, nominal: 3, limit: 3 }] })).toHaveLength(1);
});
