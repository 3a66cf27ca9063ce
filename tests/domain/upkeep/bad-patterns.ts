import { richPattern } from './rich-pattern.ts';

/** Kinds of bad pattern: the sound document with one place set to something else. */
export interface BadPattern {
  what: string;
  /** Where it is spoilt; a path that ends with `-` appends. */
  at: string;
  /** Undefined: the place is taken away. */
  to: unknown;
  path: string;
  reason: string;
  /** What only the parser can see: the published schema takes the document. */
  pastSchema?: true;
}

const bad = (
  what: string,
  at: string,
  to: unknown,
  reason: string,
  more: { path?: string; pastSchema?: true } = {},
): BadPattern => ({ what, at, to, path: at, reason, ...more });

const point0 = '/servicePoints/0';
const [task0, task1] = ['/tasks/0', '/tasks/1'];
const part0 = '/wearParts/0';
const past = { pastSchema: true } as const;
const keyShape = 'must be a key: a lower-case letter, then up to 47 letters, digits or _';

export const badPatterns: readonly BadPattern[] = [
  bad('no name', '/name', undefined, 'is missing'),
  bad('a name of spaces', '/name', '  ', 'must not be empty'),
  bad('a name that is too long', '/name', 'n'.repeat(121), 'is longer than 120 characters'),
  bad('a control character', '/name', 'a\u0007b', 'must not hold control characters'),
  bad('half a character', '/name', 'a\ud83d', 'must not hold half of a character', past),
  bad('a kind of asset that is none', '/assetKind', 'boat', 'must be one of: chassis, lift,', {}),
  bad('no service points', '/servicePoints', [], 'needs at least 1'),
  bad('an unknown key', '/colour', 'red', 'is not a known key'),
  bad('an unknown key deep inside', `${point0}/torque/feel`, 1, 'is not a known key'),
  bad('a key of the wrong shape', `${point0}/key`, 'Pivot screws', keyShape),
  bad('two points with one key', '/servicePoints/1/key', 'rope_drum', 'repeats "rope_drum"', {
    path: '/servicePoints/2/key',
    ...past,
  }),
  bad('a kind of point that is none', `${point0}/kind`, 'gadget', 'must be one of: grease_fitting'),
  bad('a side that is none', `${point0}/side`, 'top', 'must be one of: left, right, centre'),
  bad('no place', `${point0}/place`, undefined, 'is missing'),
  bad('a lift position that is none', `${point0}/liftPosition/fold`, 'half', 'must be one of:'),
  bad('a flag that is no flag', `${point0}/liftCritical`, 'yes', 'must be true or false'),
  bad('a function that is none', `${point0}/serves/0`, 'fly', 'must be one of: wheel_lift'),
  bad('a function named twice', `${point0}/serves/1`, 'wheel_lift', 'repeats "wheel_lift"'),
  bad(
    'too many cautions',
    `${point0}/cautions`,
    Array(21).fill('Mind.'),
    'has 21 entries; at most',
  ),
  bad('a tap that is none', `${point0}/taps/0`, 'fine', 'must be one of: sound'),
  bad('no taps', `${point0}/taps`, [], 'needs at least 1'),
  bad(
    'a limit without an edge',
    `${point0}/limits/0`,
    { key: 'a', name: 'A', unit: 'mm' },
    'must say',
  ),
  bad('a limit upside down', `${point0}/limits/0/least`, 96, 'is less than least', {
    path: `${point0}/limits/0/most`,
    ...past,
  }),
  bad('gloves neither on nor off', `${point0}/gloves`, 'thin', 'must be one of: wear, never'),
  bad('a torque without its thread', `${point0}/torque/thread`, undefined, 'is missing'),
  bad('no torque at all', `${point0}/torque/nm`, 0, 'must be a number above 0'),
  bad(
    'a torque for a dry thread with compound',
    `${point0}/torque/thread`,
    'dry',
    'must be thread_l',
  ),
  bad('compound that nobody named', `${point0}/fastener/threadLocker`, undefined, 'say which', {
    path: `${point0}/torque/thread`,
  }),
  bad('a head that is none', `${point0}/fastener/head`, 'star', 'must be one of: hex'),
  bad('a fitting that is fastened', '/servicePoints/1/fastener', { head: 'hex' }, 'belongs to'),
  bad(
    'a lubricant code that is none',
    '/servicePoints/1/lubricantCode',
    'KP2Z-30',
    'must be a desig',
  ),
  bad(
    'a grade of grease that is none',
    '/servicePoints/1/lubricantCode',
    'KP7K-30',
    'must be a des',
  ),
  bad('a quantity without a unit', '/servicePoints/1/quantity/unit', undefined, 'is missing'),
  bad(
    'four and a bit strokes',
    '/servicePoints/1/quantity/amount',
    4.0001,
    'must be a whole',
    past,
  ),
  bad('a task without an interval', `${task0}/every`, {}, 'must name a meter, days or months'),
  bad('a meter of the chassis', `${task0}/every/engine_hours`, 5, 'counts use of a chassis, not'),
  bad('a meter that is none', `${task0}/every/moon_phases`, 5, 'is not a known key'),
  bad('days and months', `${task0}/every/months`, 1, 'cannot stand beside days'),
  bad('half a lift', `${task0}/every/lift_cycles`, 1.5, 'must be a whole multiple'),
  bad(
    'a window that opens behind the limit',
    `${task0}/opens`,
    1.1,
    'must be a number at least 0.5',
  ),
  bad(
    'a severity that makes it milder',
    `${task0}/severity/salt`,
    0.5,
    'must be a number at least 1',
  ),
  bad(
    'an effect on nothing',
    `${task0}/functions`,
    undefined,
    'must name what "limited" takes away',
  ),
  bad('work that is none', `${task0}/work`, 'admire', 'must be one of: look, clean'),
  bad(
    'a task at a point that is not there',
    `${task0}/points/0`,
    'nowhere',
    'no service point',
    past,
  ),
  bad('two tasks with one key', `${task1}/key`, 'grease', 'repeats "grease"', past),
  bad('a legal date by days', `${task1}/every`, { days: 365 }, 'a statutory task counts calendar'),
  bad('a legal date with a plus', `${task1}/limit`, 1.1, 'a statutory task has no plus'),
  bad('a legal date that is put off', `${task1}/mayExtend`, 'lead', 'nobody may extend'),
  bad(
    'a legal date for salt',
    `${task1}/severity`,
    { salt: 2 },
    'a statutory interval is the same',
  ),
  bad(
    'wear by a meter of the winch',
    `${part0}/meters/0`,
    'winch_cycles',
    'is not a meter of a lift',
  ),
  bad('wear by nothing', `${part0}/meters`, [], 'needs at least 1'),
  bad('a part new at its limit', `${part0}/nominal`, 0.8, 'is the nominal value', {
    path: `${part0}/limit`,
    ...past,
  }),
  bad('near before new', `${part0}/near`, 0.1, 'must lie between nominal and limit', past),
  bad('near without a limit', `${part0}/limit`, undefined, 'needs a limit that it is near to', {
    path: `${part0}/near`,
  }),
  bad('a clearance that shrinks', `${part0}/grows`, false, 'contradicts the figures', past),
  bad('a life by another meter', `${part0}/priorLife/arm_cycles`, 9, 'is not one of the me', past),
  bad('taken up nowhere', `${part0}/takeUp/points`, [], 'needs at least 1'),
  bad('a need of nothing', '/functionNeeds/0/points', [], 'must name functions or points', {
    path: '/functionNeeds/0',
  }),
  bad('a need in a circle', '/functionNeeds/1/functions/0', 'dollies', 'would rest on itself', {
    path: '/functionNeeds/1/functions',
    ...past,
  }),
  bad('a symptom that is none', '/symptomRules/0/symptom', 'tired', 'must be one of: creeps_down'),
  bad(
    'a symptom ruled twice',
    '/symptomRules/1/symptom',
    'swings_off_square',
    'repeats "swings',
    past,
  ),
  bad('a stop of nothing', '/symptomRules/0/functions', [], 'must name what the stop takes away'),
  bad('functions without a stop', '/symptomRules/0/stop', undefined, 'is missing: functions are'),
  bad('a task that nobody knows', '/symptomRules/0/makesDue/0', 'dance', 'no task has the', past),
  bad(
    'a cause where nothing is',
    '/symptomRules/0/askFor/0/points/0',
    'sky',
    'no service po',
    past,
  ),
];

/** The sound document, spoilt in one place. */
export function spoilt({ at, to }: BadPattern): Record<string, unknown> {
  const document = structuredClone(richPattern) as Record<string, unknown>;
  const steps = at.split('/').slice(1);
  const last = steps.pop() as string;
  let holder = document;
  for (const step of steps) holder = holder[step] as Record<string, unknown>;
  if (to === undefined) delete holder[last];
  else holder[last] = to;
  return document;
}
