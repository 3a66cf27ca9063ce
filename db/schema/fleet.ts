import { boolean, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright } from './column.ts';

export const fleet = liftwright.table('fleet', {
  fleetId: integer('fleet_id').primaryKey().generatedByDefaultAsIdentity(),
  name: text('name').notNull(),
  createdAtMs: instant('created_at').notNull(),
  /** One person does the work and checks it, which is then declared. */
  oneMan: boolean('one_man').notNull().default(false),
});

export const yard = liftwright.table(
  'yard',
  {
    fleetId: integer('fleet_id').notNull(),
    yardId: uuid('yard_id').notNull(),
    name: text('name').notNull(),
    timeZone: text('time_zone').notNull(),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.yardId] })],
);

/** A fleet that leaves, and afterwards all that is left of it. */
export const fleetDeletion = liftwright.table(
  'fleet_deletion',
  {
    fleetId: integer('fleet_id').notNull(),
    askedAtMs: instant('asked_at').notNull(),
    tokenSha256: bytea('token_sha256'),
    tokenUntilMs: instant('token_until').notNull(),
    confirmedAtMs: instant('confirmed_at'),
    finishedAtMs: instant('finished_at'),
    /** Rows by table. */
    deleted: jsonb('deleted').$type<Record<string, number>>().notNull().default({}),
  },
  (t) => [primaryKey({ columns: [t.fleetId] })],
);
