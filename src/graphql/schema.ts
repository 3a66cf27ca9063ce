import { type GraphQLSchema, lexicographicSortSchema, printSchema } from 'graphql';
import { builder } from './builder.ts';
import './types/fleet.ts';
import './types/gateway.ts';
import './types/upkeep.ts';
import './types/people.ts';
import './types/job-card.ts';
import './types/card-mutation.ts';
import './types/step-mutation.ts';
import './types/readiness.ts';
import './types/stop.ts';
import './types/trouble.ts';
import './types/visit.ts';
import './types/wear.ts';
import './types/query.ts';
import './types/shop-query.ts';

/** A schema of its own for every service: loaders are set on it. */
export const buildSchema = (): GraphQLSchema => builder.toSchema();

/** The schema in the schema definition language, sorted. */
export const schemaText = (): string => `${printSchema(lexicographicSortSchema(buildSchema()))}\n`;
