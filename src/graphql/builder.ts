import SchemaBuilder from '@pothos/core';
import { instantText } from '../domain/instant.ts';
import { isDay } from '../domain/upkeep/calendar.ts';
import { Problem } from '../errors.ts';
import type { GraphContext } from './context.ts';

/** The one builder; every file of `types/` adds to it. */
export const builder = new SchemaBuilder<{
  Context: GraphContext;
  DefaultFieldNullability: false;
  Scalars: {
    ID: { Input: string; Output: string };
    Instant: { Input: number; Output: number };
    Day: { Input: string; Output: string };
    Json: { Input: unknown; Output: unknown };
  };
}>({ defaultFieldNullability: false });

const readOnly = () => {
  throw new Problem('body_invalid', 'This kind of value is only answered.');
};

builder.scalarType('Instant', {
  description: 'A moment: RFC 3339 text in UTC, with milliseconds.',
  serialize: instantText,
  parseValue: readOnly,
});
builder.scalarType('Day', {
  description: 'A calendar day, YYYY-MM-DD.',
  serialize: (day) => day,
  parseValue: (value) => {
    if (typeof value === 'string' && isDay(value)) return value;
    throw new Problem('query_invalid', 'A day is YYYY-MM-DD.');
  },
});
builder.scalarType('Json', {
  description: 'Any JSON.',
  serialize: (value) => value,
  parseValue: readOnly,
});
builder.queryType({});

/** The resolver of fields that `loaders.ts` fills for all parents at once. */
export const loaded = (): never => {
  throw new Error('a loader fills this');
};
