import SchemaBuilder from '@pothos/core';
import { instantText, parseInstant } from '../domain/instant.ts';
import { isDay } from '../domain/upkeep/calendar.ts';
import { Problem } from '../errors.ts';
import type { GraphContext } from './context.ts';

/** The one builder; every file of `types/` adds to it. */
export const builder = new SchemaBuilder<{
  Context: GraphContext;
  DefaultFieldNullability: false;
  Scalars: {
    ID: { Input: string; Output: string };
    /** Milliseconds, or the text that REST shows. */
    Instant: { Input: number; Output: number | string };
    Day: { Input: string; Output: string };
    Json: { Input: unknown; Output: unknown };
    Secret: { Input: string; Output: never };
  };
}>({ defaultFieldNullability: false });

const readOnly = () => {
  throw new Problem('body_invalid', 'This kind of value is only answered.');
};

builder.scalarType('Instant', {
  description: 'A moment: RFC 3339 text in UTC, with milliseconds.',
  serialize: (at) => (typeof at === 'string' ? at : instantText(at)),
  parseValue: (value) => {
    const ms = typeof value === 'string' ? parseInstant(value) : null;
    if (ms !== null) return ms;
    throw new Problem('query_invalid', 'An instant is RFC 3339 text with an offset.');
  },
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
builder.scalarType('Secret', {
  description: 'A text that is only sent, in a variable, and never told again.',
  serialize: readOnly,
  parseValue: (value) => {
    if (typeof value === 'string') return value;
    throw new Problem('query_invalid', 'A secret is a text.');
  },
});
builder.queryType({});
builder.mutationType({
  description: 'What a person signs; one at a time. The same rules as in REST: see /docs.',
});

/** The resolver of fields that `loaders.ts` fills for all parents at once. */
export const loaded = (): never => {
  throw new Error('a loader fills this');
};
