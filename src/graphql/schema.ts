import { type GraphQLSchema, lexicographicSortSchema, printSchema } from 'graphql';
import { builder } from './builder.ts';
import './types/fleet.ts';
import './types/gateway.ts';
import './types/upkeep.ts';
import './types/query.ts';

/** A schema of its own for every service: loaders are set on it. */
export const buildSchema = (): GraphQLSchema => builder.toSchema();

/** The schema in the schema definition language, sorted. */
export const schemaText = (): string => `${printSchema(lexicographicSortSchema(buildSchema()))}\n`;
