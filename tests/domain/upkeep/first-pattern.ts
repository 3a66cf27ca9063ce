import fc from 'fast-check';

/**
 * Lift patterns in their first shape, each with what it means: what a document said before points
 * had taps, tasks had a work and patterns had symptom rules must stay accepted and mean the same.
 */
interface Said {
  document: Record<string, unknown>;
  meaning: Record<string, unknown>;
}
type Value = fc.Arbitrary<{ said: unknown; means: unknown }>;

const same = <T>(values: fc.Arbitrary<T>): Value =>
  values.map((value) => ({ said: value, means: value }));

/** A field that is always there. */
const must = (name: string, values: Value, as = name): fc.Arbitrary<Said> =>
  values.map(({ said, means }) => ({ document: { [name]: said }, meaning: { [as]: means } }));

/** A field that may be left out and then means `otherwise`, or nothing at all. */
const may = (name: string, values: Value, otherwise?: unknown, as = name): fc.Arbitrary<Said> =>
  fc.option(must(name, values, as), { nil: null }).map(
    (given) =>
      given ?? {
        document: {},
        meaning: otherwise === undefined ? {} : { [as]: otherwise },
      },
  );

const object = (...fields: fc.Arbitrary<Said>[]): fc.Arbitrary<Said> =>
  fc.tuple(...fields).map((parts) => ({
    document: Object.assign({}, ...parts.map((part) => part.document)),
    meaning: Object.assign({}, ...parts.map((part) => part.meaning)),
  }));

const nested = (parts: fc.Arbitrary<Said>): Value =>
  parts.map(({ document, meaning }) => ({ said: document, means: meaning }));

const listOf = (values: Value, minLength: number, maxLength: number): Value =>
  fc.array(values, { minLength, maxLength }).map((list) => ({
    said: list.map(({ said }) => said),
    means: list.map(({ means }) => means),
  }));

const text = (maxLength: number): Value =>
  fc
    .string({ unit: 'grapheme', minLength: 1, maxLength })
    .filter((each) => each.trim() !== '' && each.length <= maxLength && !/\p{Cc}/u.test(each))
    .map((each) => ({ said: each, means: each.trim() }));

/** A figure of at most three decimals; it means its thousandths. */
const figure = (min: number, max: number): Value =>
  fc
    .integer({ min: min * 1000, max: max * 1000 })
    .map((thousandths) => ({ said: thousandths / 1000, means: thousandths }));

const oneOf = (...choices: string[]): Value => same(fc.constantFrom(...choices));
const someOf = (...choices: string[]): Value => same(fc.shuffledSubarray(choices));

const functions = ['wheel_lift', 'winch', 'boom', 'dollies', 'road'];
const kinds = ['grease_fitting', 'fastener', 'wear_surface', 'hose', 'pin', 'fluid', 'label'];
const flag = same(fc.boolean());

const position = object(
  may('fold', oneOf('folded', 'unfolded')),
  may('reach', oneOf('in', 'half', 'out')),
  may('height', oneOf('down', 'mid', 'up')),
  may('arms', oneOf('stowed', 'fitted', 'removed')),
  may('crossbar', oneOf('straight', 'swung_left', 'swung_right')),
  may('blocked', flag),
);
const quantity = object(
  must('amount', figure(0.001, 1000), 'thousandths'),
  must('unit', oneOf('strokes', 'g', 'ml')),
);
const torque = object(
  must('nm', figure(0.001, 1000), 'milliNm'),
  must('thread', oneOf('dry', 'oiled', 'anti_seize', 'thread_locker')),
);
const cautions = may('cautions', listOf(text(40), 0, 3), []);

const point = (key: string) =>
  object(
    must('key', same(fc.constant(key))),
    must('kind', oneOf(...kinds)),
    must('name', text(30)),
    must('side', oneOf('left', 'right', 'centre')),
    must('place', text(60)),
    may('liftPosition', nested(position), {}),
    may('liftCritical', flag, false),
    may('oftenMissed', flag, false),
    may('serves', someOf(...functions), []),
    cautions,
    may('lubricant', text(30)),
    may('quantity', nested(quantity)),
    may('torque', nested(torque)),
    may('tool', text(30)),
    may('fits', text(30)),
    may('doneWhen', text(30)),
    may('usualMistake', text(30)),
  );

const lifts = fc.integer({ min: 1, max: 5000 });
const every: fc.Arbitrary<Said> = fc
  .record({
    hours: fc.option(fc.integer({ min: 1, max: 4000 })),
    lifts: fc.option(lifts),
    calendar: fc.oneof(
      fc.record({ days: fc.integer({ min: 1, max: 3660 }) }),
      fc.record({ months: fc.integer({ min: 1, max: 240 }) }),
    ),
  })
  .map(({ hours, lifts: count, calendar }) => ({
    document: {
      every: {
        ...(hours === null ? {} : { pto_hours: hours / 20 }),
        ...(count === null ? {} : { lift_cycles: count }),
        ...calendar,
      },
    },
    meaning: {
      meters: [
        ...(hours === null ? [] : [{ meter: 'pto_hours', grains: hours * 180 }]),
        ...(count === null ? [] : [{ meter: 'lift_cycles', grains: count }]),
      ],
      calendar,
    },
  }));

const task = (key: string, points: string[]) =>
  object(
    must('key', same(fc.constant(key))),
    must('name', text(30)),
    may('points', someOf(...points), []),
    every,
    may('opens', figure(0.5, 1), 900, 'opensThousandths'),
    may('limit', figure(1, 1.5), 1100, 'limitThousandths'),
    may('overrunEffect', oneOf('none', 'warn'), 'warn'),
    may('functions', someOf(...functions), []),
    may('mayExtend', oneOf('nobody', 'lead', 'admin'), 'lead'),
    may('severity', nested(object(may('salt', figure(1, 5)), may('dust', figure(1, 5)))), {}),
    may('statutory', same(fc.constant(false)), false),
    cautions,
  );

const part = (key: string, points: string[]) =>
  object(
    must('key', same(fc.constant(key))),
    must('name', text(30)),
    must('points', same(fc.shuffledSubarray(points, { minLength: 1 }))),
    must('meters', same(fc.shuffledSubarray(['fold_cycles', 'reach_cycles'], { minLength: 1 }))),
    may('unit', oneOf('mm', 'nm', 'turns', 'percent'), 'mm'),
    may('nominal', figure(0, 20), undefined, 'nominalThousandths'),
    may('limit', figure(21, 40), undefined, 'limitThousandths'),
  );

const keys = (word: string, min: number) =>
  fc
    .integer({ min, max: 4 })
    .map((count) => Array.from({ length: count }, (_, i) => `${word}_${i}`));

const each = (names: string[], read: (key: string) => fc.Arbitrary<Said>): Value =>
  fc.tuple(...names.map((key) => nested(read(key)))).map((list) => ({
    said: list.map(({ said }) => said),
    means: list.map(({ means }) => means),
  }));

export const firstPatterns: fc.Arbitrary<Said> = fc
  .tuple(keys('point', 1), keys('task', 0), keys('part', 0))
  .chain(([points, tasks, parts]) =>
    object(
      must('name', text(60)),
      must('assetKind', same(fc.constant('lift'))),
      must('servicePoints', each(points, point)),
      may(
        'tasks',
        each(tasks, (key) => task(key, points)),
        [],
      ),
      may(
        'wearParts',
        each(parts, (key) => part(key, points)),
        [],
      ),
    ),
  );
