import { STOP_TIMES, SYMPTOMS } from '../shop/symptom.ts';
import { assetKinds, builtInMeters, type Dimension } from '../usage/meter.ts';
import { KEY_PATTERN } from './document-reader.ts';
import { FASTENER_HEADS, MAX_FASTENERS, THREAD_LOCKERS, TIGHTENING_ORDERS } from './fastener.ts';
import { MAX_NEED_POINTS, MAX_NEEDS } from './function-need.ts';
import { MAX_TASKS, MAX_WEAR_PARTS } from './lift-pattern.ts';
import { LUBRICANT_CODE } from './lubricant-code.ts';
import { MAX_FIGURE, MAX_LIMITS, MEASURE_UNITS } from './point-limit.ts';
import { POINT_TAP_NAMES } from './point-tap.ts';
import {
  GLOVES,
  LIFT_AXES,
  MAX_CAUTIONS,
  MAX_NAME,
  MAX_SENTENCE,
  POINT_KINDS,
  POINT_WORDS,
  QUANTITY_UNITS,
  SIDES,
  THREAD_STATES,
  UNIT_FUNCTIONS,
} from './service-point.ts';
import { SEVERITY_KINDS } from './severity.ts';
import { MAX_CAUSE_POINTS, MAX_CAUSES, MAX_MAKES_DUE } from './symptom-rule.ts';
import {
  EXTENDING_ROLES,
  MAX_DAYS,
  MAX_METERS_PER_TASK,
  MAX_MONTHS,
  MAX_POINTS,
  MAX_UNITS,
  OVERRUN_EFFECTS,
} from './task-rule.ts';
import { WORK_KINDS } from './task-work.ts';
import { MAX_PARTS, MAX_PRIOR_LIFE, WEAR_UNITS } from './wear-part.ts';

/** Where the schema is served. */
export const liftPatternSchemaPath = '/docs/lift-pattern.schema.json';

export type JsonSchema = { readonly [keyword: string]: unknown };

/** Text that shows something and holds no control characters. */
const textPattern = '^(?=[\\s\\S]*\\S)[^\\u0000-\\u001f\\u007f-\\u009f]*$';

const ref = (name: string): JsonSchema => ({ $ref: `#/$defs/${name}` });
const oneOf = (list: readonly string[], description?: string): JsonSchema => ({
  enum: [...list],
  ...(description === undefined ? {} : { description }),
});
const someOf = (list: readonly string[], minItems = 0): JsonSchema => ({
  type: 'array',
  items: { enum: [...list] },
  uniqueItems: true,
  ...(minItems > 0 ? { minItems } : {}),
});
const listOf = (items: JsonSchema, maxItems: number, minItems = 0): JsonSchema => ({
  type: 'array',
  items,
  maxItems,
  ...(minItems > 0 ? { minItems } : {}),
});
const keysOf = (maxItems: number, minItems = 0): JsonSchema => ({
  ...listOf(ref('key'), maxItems, minItems),
  uniqueItems: true,
});
const whole = (minimum: number, maximum: number): JsonSchema => ({
  type: 'integer',
  minimum,
  maximum,
});
const upTo = (maximum: number): JsonSchema => ({ type: 'number', minimum: 0, maximum });
const above0 = (maximum: number): JsonSchema => ({
  type: 'number',
  exclusiveMinimum: 0,
  maximum,
});
const flag: JsonSchema = { type: 'boolean' };

function object(
  required: readonly string[],
  properties: Record<string, JsonSchema>,
  more: JsonSchema = {},
): JsonSchema {
  return { type: 'object', additionalProperties: false, required, properties, ...more };
}

/** `then` where a property has one of some values. */
const where = (name: string, values: readonly unknown[], then: JsonSchema): JsonSchema => ({
  if: { required: [name], properties: { [name]: { enum: [...values] } } },
  then,
});

const definitions = (): Record<string, JsonSchema> => ({
  key: { type: 'string', pattern: KEY_PATTERN },
  name: { type: 'string', maxLength: MAX_NAME, pattern: textPattern },
  sentence: { type: 'string', maxLength: MAX_SENTENCE, pattern: textPattern },
  cautions: {
    ...listOf(ref('sentence'), MAX_CAUTIONS),
    description: 'They come with the work, always.',
  },
  functions: someOf(UNIT_FUNCTIONS),
  liftPosition: {
    ...object([], {
      ...Object.fromEntries(Object.entries(LIFT_AXES).map(([axis, list]) => [axis, oneOf(list)])),
      blocked: { ...flag, description: 'The raised lift rests on blocks, never on oil.' },
    }),
    description: 'How the lift must stand; an axis left out does not matter.',
  },
  limit: object(
    ['key', 'name', 'unit'],
    {
      key: ref('key'),
      name: ref('name'),
      unit: oneOf(MEASURE_UNITS),
      least: upTo(MAX_FIGURE),
      most: upTo(MAX_FIGURE),
    },
    { anyOf: [{ required: ['least'] }, { required: ['most'] }] },
  ),
  fastener: object(['head'], {
    head: oneOf(FASTENER_HEADS),
    count: { ...whole(1, MAX_FASTENERS), default: 1 },
    nut: { ...flag, default: false, description: 'Each goes through into a nut.' },
    cleanRecess: { ...flag, default: false },
    order: { ...oneOf(TIGHTENING_ORDERS), default: 'any' },
    threadLocker: oneOf(THREAD_LOCKERS, 'How hard the compound holds.'),
  }),
  torque: object(['nm', 'thread'], {
    nm: above0(10_000),
    thread: oneOf(THREAD_STATES, 'The state of the thread that the figure holds for.'),
  }),
  quantity: object(['amount', 'unit'], {
    amount: above0(1_000_000),
    unit: oneOf(QUANTITY_UNITS),
  }),
  servicePoint: servicePoint(),
  task: task(),
  wearPart: wearPart(),
  functionNeed: object(
    ['function', 'words'],
    {
      function: oneOf(UNIT_FUNCTIONS),
      functions: { ...ref('functions'), description: 'Without these it cannot be had.' },
      points: { ...keysOf(MAX_NEED_POINTS), description: 'These must be sound for it.' },
      words: ref('sentence'),
    },
    {
      anyOf: ['functions', 'points'].map((name) => ({
        required: [name],
        properties: { [name]: { minItems: 1 } },
      })),
    },
  ),
  symptomRule: symptomRule(),
});

function servicePoint(): JsonSchema {
  const compound = { required: ['threadLocker'] };
  const torqueOf = (thread: JsonSchema) => ({ properties: { torque: { properties: { thread } } } });
  const words = Object.fromEntries(POINT_WORDS.map((word) => [word, ref('sentence')]));
  return object(
    ['key', 'kind', 'name', 'side', 'place'],
    {
      key: ref('key'),
      kind: oneOf(POINT_KINDS),
      name: ref('name'),
      side: oneOf(SIDES),
      place: { ...ref('sentence'), description: 'Where it is and where to stand.' },
      liftPosition: ref('liftPosition'),
      liftCritical: {
        ...flag,
        default: false,
        description: 'Its failure can drop or lose a load; a second person checks work on it.',
      },
      oftenMissed: { ...flag, default: false },
      serves: ref('functions'),
      cautions: ref('cautions'),
      taps: {
        ...someOf(POINT_TAP_NAMES, 1),
        description: 'What can be told of it with one tap. Default: what is usual for its kind.',
      },
      limits: listOf(ref('limit'), MAX_LIMITS),
      gloves: oneOf(GLOVES, '`never`: near what turns and could draw a hand in.'),
      lubricantCode: { type: 'string', pattern: LUBRICANT_CODE, examples: ['KP2K-30'] },
      quantity: ref('quantity'),
      torque: ref('torque'),
      fastener: ref('fastener'),
      ...words,
    },
    {
      if: { required: ['fastener'] },
      // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
      then: {
        properties: { kind: { const: 'fastener' } },
        if: { properties: { fastener: compound } },
        // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
        then: torqueOf({ const: 'thread_locker' }),
        else: torqueOf({ not: { const: 'thread_locker' } }),
      },
    },
  );
}

/** The most decimals of a meter's figure that make whole grains are a rule for the parser. */
const intervalOf = (dimension: Dimension): JsonSchema =>
  dimension === 'cycles' ? whole(1, MAX_UNITS) : above0(MAX_UNITS);

function task(): JsonSchema {
  const intervals = builtInMeters.map(({ name, dimension }) => [name, intervalOf(dimension)]);
  const every = object(
    [],
    {
      ...Object.fromEntries(intervals),
      days: whole(1, MAX_DAYS),
      months: whole(1, MAX_MONTHS),
    },
    { minProperties: 1, not: { required: ['days', 'months'] } },
  );
  return object(
    ['key', 'name', 'every'],
    {
      key: ref('key'),
      name: ref('name'),
      points: keysOf(MAX_POINTS),
      every: { ...every, description: 'Whichever comes first, in units of each meter.' },
      opens: { type: 'number', minimum: 0.5, maximum: 1, default: 0.9 },
      limit: { type: 'number', minimum: 1, maximum: 1.5, default: 1.1 },
      statutory: { ...flag, default: false },
      overrunEffect: { ...oneOf(OVERRUN_EFFECTS), default: 'warn' },
      functions: ref('functions'),
      mayExtend: { ...oneOf(EXTENDING_ROLES), default: 'lead' },
      severity: object(
        [],
        Object.fromEntries(
          SEVERITY_KINDS.map((kind) => [kind, { type: 'number', minimum: 1, maximum: 5 }]),
        ),
      ),
      work: oneOf(WORK_KINDS, 'Default: at each point what is usual for its kind.'),
      cautions: ref('cautions'),
    },
    {
      allOf: [
        where('overrunEffect', ['limited', 'no'], { required: ['functions'] }),
        where('statutory', [true], {
          properties: {
            every: { required: ['months'], maxProperties: 1 },
            limit: { const: 1 },
            severity: { maxProperties: 0 },
            mayExtend: { const: 'nobody' },
          },
        }),
      ],
    },
  );
}

function wearPart(): JsonSchema {
  const lives = builtInMeters.map(({ name, dimension }) => [
    name,
    dimension === 'cycles' ? whole(1, MAX_PRIOR_LIFE) : above0(MAX_PRIOR_LIFE),
  ]);
  return object(
    ['key', 'name', 'points', 'meters'],
    {
      key: ref('key'),
      name: ref('name'),
      points: keysOf(MAX_POINTS, 1),
      meters: {
        ...keysOf(MAX_METERS_PER_TASK, 1),
        description: 'What wears it, the first one most.',
      },
      unit: { ...oneOf(WEAR_UNITS), default: 'mm' },
      grows: { ...flag, description: 'As a clearance does. Default: as nominal and limit say.' },
      quantity: { ...whole(1, MAX_PARTS), default: 1, description: 'Changed together.' },
      nominal: upTo(MAX_FIGURE),
      tolerance: { ...upTo(MAX_FIGURE), description: 'Of new parts, one standard deviation.' },
      near: upTo(MAX_FIGURE),
      limit: { ...upTo(MAX_FIGURE), description: 'Still good; beyond it no more.' },
      gauge: ref('name'),
      gaugeError: { ...upTo(MAX_FIGURE), description: 'Of a reading, one standard deviation.' },
      priorLife: {
        ...object([], Object.fromEntries(lives), { minProperties: 1 }),
        description: 'What the shop believes that one lasts, before anything was measured.',
      },
      takeUp: object(['points'], {
        points: keysOf(MAX_POINTS, 1),
        perTurn: { ...above0(1000), description: 'What one turn takes away of the gap.' },
        mostTurns: above0(1000),
      }),
    },
    { dependentRequired: { near: ['limit'] } },
  );
}

function symptomRule(): JsonSchema {
  return object(
    ['symptom'],
    {
      symptom: oneOf(SYMPTOMS),
      stop: oneOf(STOP_TIMES, 'Left out: the unit may go on.'),
      functions: { ...ref('functions'), description: 'What the stop takes away.' },
      makesDue: { ...keysOf(MAX_MAKES_DUE), description: 'Tasks that are due from then on.' },
      askFor: {
        ...listOf(
          object(['words'], { words: ref('sentence'), points: keysOf(MAX_CAUSE_POINTS) }),
          MAX_CAUSES,
        ),
        description: 'Likely causes, in the order in which they are asked for.',
      },
    },
    {
      if: { required: ['stop'] },
      // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
      then: { required: ['functions'], properties: { functions: { minItems: 1 } } },
      else: { properties: { functions: { maxItems: 0 } } },
    },
  );
}

/** Meters of another kind of asset count nothing here. */
function metersOfKind(kind: string): JsonSchema {
  const own = builtInMeters.filter(({ assetKind }) => assetKind === kind).map(({ name }) => name);
  const tasks = {
    items: { properties: { every: { propertyNames: { enum: [...own, 'days', 'months'] } } } },
  };
  const meters = own.length === 0 ? false : { items: { enum: own } };
  const lives = { propertyNames: { enum: own } };
  const wearParts = {
    items: { properties: { meters, priorLife: own.length === 0 ? false : lives } },
  };
  return where('assetKind', [kind], { properties: { tasks, wearParts } });
}

/**
 * The JSON Schema (draft 2020-12) of a lift pattern document, for editors and for who writes
 * patterns. It knows all bounds and closed lists of `parseLiftPattern`; what no schema can say, the
 * parser says: that keys are unique and what is named exists, that figures are whole parts of their
 * unit and fit each other.
 */
export function liftPatternSchema(): JsonSchema {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Lift pattern',
    description:
      'One kind of equipment: its service points, upkeep tasks, wear parts, what its functions ' +
      "rest on and what a symptom calls for. The equipment maker's manual, local codes and " +
      'qualified practice come before it.',
    ...object(
      ['name', 'assetKind', 'servicePoints'],
      {
        name: ref('name'),
        assetKind: oneOf(assetKinds),
        servicePoints: listOf(ref('servicePoint'), MAX_POINTS, 1),
        tasks: listOf(ref('task'), MAX_TASKS),
        wearParts: listOf(ref('wearPart'), MAX_WEAR_PARTS),
        functionNeeds: listOf(ref('functionNeed'), MAX_NEEDS),
        symptomRules: listOf(ref('symptomRule'), SYMPTOMS.length),
      },
      { allOf: assetKinds.map(metersOfKind) },
    ),
    $defs: definitions(),
  };
}
