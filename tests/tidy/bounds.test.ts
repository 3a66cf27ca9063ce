import { describe, expect, test } from 'vitest';
import { operations } from '../fuzz/requests.ts';
import type { Schema } from '../fuzz/schema-values.ts';
import { contract } from '../helpers/contract.ts';

const schemas = (contract as unknown as { components: { schemas: Record<string, Schema> } })
  .components.schemas;

/**
 * Maps whose keys are the caller's own: the size of the whole body bounds them, and what reads them
 * has bounds of its own.
 */
const boundedByTheBody = new Set([
  'NewPattern.document',
  'GraphQuestion.variables',
  'GraphQuestion.extensions',
]);

/** Every place in a schema where something may be as long, many or large as it likes. */
function unboundedPlaces(schema: Schema, place: string, met = new Set<string>()): string[] {
  const { $ref, type, items, prefixItems, properties, additionalProperties } = schema;
  if ($ref !== undefined) {
    if (met.has($ref)) return [];
    const name = $ref.split('/').at(-1) as string;
    return unboundedPlaces(schemas[name] as Schema, name, met.add($ref));
  }
  const found: string[] = [];
  const has = (...bounds: (keyof Schema)[]) => bounds.some((bound) => schema[bound] !== undefined);
  const closed = has('enum', 'const', 'format');
  if (type === 'string' && !closed && !has('maxLength', 'pattern')) found.push(place);
  if (type === 'number' || type === 'integer') {
    const low = has('minimum', 'exclusiveMinimum');
    if (!low || !has('maximum', 'exclusiveMaximum')) found.push(place);
  }
  if (type === 'array' && prefixItems === undefined && !has('maxItems')) found.push(place);
  const open = additionalProperties !== undefined && additionalProperties !== false;
  if (open && !('maxProperties' in schema) && !boundedByTheBody.has(place)) found.push(place);
  const inside: [Schema, string][] = [
    ...[schema.anyOf, schema.oneOf, schema.allOf]
      .flatMap((each) => each ?? [])
      .map((each): [Schema, string] => [each, place]),
    ...(prefixItems ?? []).map((each): [Schema, string] => [each, `${place}[]`]),
    ...Object.entries(properties ?? {}).map(([name, each]): [Schema, string] => [
      each,
      `${place}.${name}`,
    ]),
  ];
  if (items) inside.push([items, `${place}[]`]);
  if (typeof additionalProperties === 'object') inside.push([additionalProperties, `${place}.*`]);
  return [...found, ...inside.flatMap(([each, where]) => unboundedPlaces(each, where, met))];
}

describe('everything that is sent has a bound in the contract', () => {
  test.each(operations.map((each) => [each.route, each] as const))('%s', (_, operation) => {
    const places = [
      ...operation.parameters.flatMap(({ name, schema }) => unboundedPlaces(schema, name)),
      ...operation.bodies.flatMap(([, schema]) => unboundedPlaces(schema, 'body')),
    ];
    expect(places).toEqual([]);
  });

  test('and the walk finds what has none', () => {
    const open: Schema = {
      type: 'object',
      properties: {
        text: { type: 'string' },
        list: { type: 'array', items: { type: 'number', minimum: 0 } },
        either: { anyOf: [{ type: 'null' }, { type: 'integer', maximum: 1 }] },
        map: { type: 'object', additionalProperties: { type: 'string', maxLength: 1 } },
        day: { type: 'string', format: 'date' },
      },
      additionalProperties: false,
    };
    const found = unboundedPlaces(open, 'x');
    expect(found).toEqual(['x.text', 'x.list', 'x.list[]', 'x.either', 'x.map']);
  });
});

test('every list of the contract has a greatest length', () => {
  const unbounded: string[] = [];
  const look = (node: unknown, path: string): void => {
    if (node === null || typeof node !== 'object') return;
    const { type, maxItems } = node as { type?: unknown; maxItems?: unknown };
    const fixed = 'prefixItems' in node;
    if (type === 'array' && typeof maxItems !== 'number' && !fixed) unbounded.push(path);
    for (const [key, value] of Object.entries(node)) look(value, `${path}/${key}`);
  };
  look(contract, '');
  expect(unbounded.filter((path) => !/\/(example|required|enum)\b/.test(path))).toEqual([]);
});
