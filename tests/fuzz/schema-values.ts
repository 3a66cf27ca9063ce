import type { Random } from '../../src/demo/random.ts';

/** A JSON schema as the contract has it. */
export interface Schema {
  $ref?: string;
  type?: string | string[];
  enum?: unknown[];
  const?: unknown;
  format?: string;
  pattern?: string;
  minLength?: number;
  maxLength?: number;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
  exclusiveMaximum?: number;
  items?: Schema;
  prefixItems?: Schema[];
  minItems?: number;
  maxItems?: number;
  properties?: Record<string, Schema>;
  required?: string[];
  additionalProperties?: boolean | Schema;
  propertyNames?: Schema;
  anyOf?: Schema[];
  oneOf?: Schema[];
  allOf?: Schema[];
  example?: unknown;
}

/** How a value is to be made: as the schema says, at its bounds, or somewhere wrong. */
export type Manner = 'valid' | 'edge' | 'wrong';

export interface Making {
  random: Random;
  manner: Manner;
  /** Resolves a `$ref`. */
  refer(ref: string): Schema;
  /** Things that are there, by the name of the field that names one: ids, keys, meters. */
  known(name: string): string | undefined;
}

const oddTexts = [
  '',
  ' ',
  '\u0000',
  'half \ud800',
  '\u202e\u2066',
  'x'.repeat(10_000),
  '𝒯ruck 🛻',
  "'; drop table yard; --",
  '../../etc',
  '%00',
  'null',
  '-0',
  '1e999',
  '9007199254740993',
  '__proto__',
  'constructor',
  '2026-02-30',
  '2026-03-08T02:30:00-06:00',
  '9999-12-31T23:59:59.999999999Z',
  '0001-01-01T00:00:00Z',
  'infinity',
];
const oddNumbers = [
  0,
  -0,
  -1,
  0.1,
  1e-320,
  2 ** 31,
  -(2 ** 31) - 1,
  2 ** 53,
  2 ** 53 + 2,
  1e21,
  -1e308,
  1e308,
];
/** Values of another kind than was asked for. */
const oddValues: readonly unknown[] = [
  null,
  true,
  [],
  {},
  [[[[[[]]]]]],
  { toString: 1, __proto: {} },
  ...oddTexts,
  ...oddNumbers,
];

const words = ['grease', 'look', 'pivot', 'left', 'after rain', 'ölen', 'a'];
const tokens = ['pto_hours', 'lift_cycles', 'a', 'grease', 'reach_cycles', 'x9', '03-01', '12-31'];

function dayText(random: Random): string {
  const ms = Date.UTC(2026, 2, 2) + random.int(-500, 500) * 86_400_000;
  return new Date(ms).toISOString().slice(0, 10);
}
const instantText = (random: Random): string =>
  new Date(Date.UTC(2026, 2, 2, 18) + random.int(-40_000_000, 4_000_000) * 60).toISOString();

function uuidText(random: Random): string {
  const hex = () => random.int(0, 65_535).toString(16).padStart(4, '0');
  return `01900000-${hex()}-7${hex().slice(1)}-8${hex().slice(1)}-${hex()}${hex()}${hex()}`;
}

function textOf(schema: Schema, name: string, { random, manner, known }: Making): string {
  const there = known(name);
  if (there !== undefined && random.chance(0.75)) return there;
  if (schema.format === 'uuid') return uuidText(random);
  if (schema.format === 'date') return dayText(random);
  if (schema.format === 'date-time') return instantText(random);
  const { minLength = 0, maxLength = 40, pattern } = schema;
  if (pattern !== undefined) {
    const fitting = tokens.filter((token) => new RegExp(pattern).test(token));
    return fitting.length > 0 ? random.pick(fitting) : random.pick(tokens);
  }
  if (manner === 'edge') {
    const length = random.pick([minLength, minLength + 1, maxLength, maxLength + 1]);
    return random.pick(['x', 'é', '7']).repeat(Math.min(length, 20_000));
  }
  const text = `${random.pick(words)} ${random.int(0, 1e9)}`;
  return text.slice(0, Math.max(minLength, Math.min(maxLength, text.length)));
}

function numberOf(schema: Schema, whole: boolean, { random, manner }: Making): number {
  const low = schema.minimum ?? schema.exclusiveMinimum ?? -1_000;
  const high = schema.maximum ?? schema.exclusiveMaximum ?? Math.max(low, 0) + 1_000;
  if (manner === 'edge') return random.pick([low, high, low - 1, high + 1, low + 1, 0]);
  const most = Math.min(high, low + 10_000);
  const value = low + random.next() * (most - low);
  return whole ? Math.round(value) : value;
}

function arrayOf(schema: Schema, name: string, making: Making, depth: number): unknown[] {
  const { random, manner } = making;
  if (schema.prefixItems) return schema.prefixItems.map((each) => make(each, name, making, depth));
  const { minItems = 0, maxItems = 5, items = {} } = schema;
  const most = Math.min(maxItems, minItems + 3);
  const edges = [minItems, minItems - 1, Math.min(maxItems + 1, 300)];
  const length = manner === 'edge' ? Math.max(0, random.pick(edges)) : random.int(minItems, most);
  return Array.from({ length }, () => make(items, name, making, depth));
}

function objectOf(schema: Schema, making: Making, depth: number): Record<string, unknown> {
  const { random, manner } = making;
  const made: Record<string, unknown> = {};
  for (const [name, each] of Object.entries(schema.properties ?? {})) {
    const needed = schema.required?.includes(name) ?? false;
    if (needed || random.chance(depth > 2 ? 0.2 : 0.4))
      made[name] = make(each, name, making, depth);
  }
  const { additionalProperties } = schema;
  if (typeof additionalProperties === 'object') {
    for (let i = random.int(0, 2); i > 0; i -= 1) {
      const key = schema.propertyNames ? make(schema.propertyNames, 'meter', making, depth) : 'x';
      made[String(key)] = make(additionalProperties, String(key), making, depth);
    }
  }
  if (manner === 'edge' && random.chance(0.1)) made.more = 1;
  return made;
}

/** A value by a schema. `name`: of the field that holds it. */
export function make(schema: Schema, name: string, making: Making, depth = 0): unknown {
  const { random, refer } = making;
  if (schema.$ref !== undefined) return make(refer(schema.$ref), name, making, depth);
  if (schema.const !== undefined) return schema.const;
  if (schema.enum) return random.pick(schema.enum);
  const choices = schema.anyOf ?? schema.oneOf;
  if (choices) return make(random.pick(choices), name, making, depth);
  if (schema.allOf) {
    const parts = schema.allOf.map((part) => make(part, name, making, depth));
    return Object.assign({}, ...(parts as object[]));
  }
  const type = Array.isArray(schema.type) ? random.pick(schema.type) : schema.type;
  switch (type) {
    case 'string':
      return textOf(schema, name, making);
    case 'integer':
      return numberOf(schema, true, making);
    case 'number':
      return numberOf(schema, false, making);
    case 'boolean':
      return random.chance(0.5);
    case 'null':
      return null;
    case 'array':
      return arrayOf(schema, name, making, depth + 1);
    case 'object':
      return objectOf(schema, making, depth + 1);
    default:
      return random.pick(oddValues);
  }
}

/** The same JSON value with one place in it made wrong: another value, none, or one too many. */
export function spoil(value: unknown, random: Random): unknown {
  if (value !== null && typeof value === 'object' && random.chance(0.75)) {
    const keys = Object.keys(value);
    if (keys.length > 0) {
      const key = random.pick(keys);
      const copy: Record<string, unknown> = Array.isArray(value)
        ? ([...value] as never)
        : { ...value };
      if (random.chance(0.2)) delete copy[key];
      else if (random.chance(0.1)) copy[`${key}_`] = copy[key];
      else copy[key] = spoil(copy[key], random);
      return copy;
    }
  }
  return random.pick(oddValues);
}
