import { integer, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

export const fleet = liftwright.table('fleet', {
  fleetId: integer('fleet_id').primaryKey().generatedByDefaultAsIdentity(),
  name: text('name').notNull(),
  createdAtMs: instant('created_at').notNull(),
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

export const person = liftwright.table(
  'person',
  {
    fleetId: integer('fleet_id').notNull(),
    personId: uuid('person_id').notNull(),
    name: text('name').notNull(),
    pinHash: text('pin_hash'),
    leftAtMs: instant('left_at'),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.personId] })],
);
