import { sql } from 'drizzle-orm';
import { bigint, integer, jsonb, primaryKey, text } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright } from './column.ts';

/** What happened, not yet numbered. */
export const outbox = liftwright.table(
  'outbox',
  {
    fleetId: integer('fleet_id').notNull(),
    outboxId: bigint('outbox_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    type: text('type').notNull(),
    subject: text('subject').notNull(),
    data: jsonb('data').notNull(),
    personal: jsonb('personal'),
    occurredAtMs: instant('occurred_at').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    /** Ties it to the versions of rows that its transaction wrote. */
    workNo: bigint('work_no', { mode: 'number' }).default(
      sql`nullif(split_part(current_setting('liftwright.work_no', true), ' ', 2), '')::bigint`,
    ),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.outboxId] })],
);

/** Numbered without gaps per fleet, each hash covering the one before. */
export const event = liftwright.table(
  'event',
  {
    fleetId: integer('fleet_id').notNull(),
    number: bigint('number', { mode: 'number' }).notNull(),
    type: text('type').notNull(),
    subject: text('subject').notNull(),
    data: jsonb('data').notNull(),
    personalDigest: bytea('personal_digest'),
    occurredAtMs: instant('occurred_at').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    numberedAtMs: instant('numbered_at').notNull(),
    previousHash: bytea('previous_hash').notNull(),
    hash: bytea('hash').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.number] })],
);

/** Kept apart so that it can be erased without breaking the chain. */
export const eventPersonal = liftwright.table(
  'event_personal',
  {
    fleetId: integer('fleet_id').notNull(),
    number: bigint('number', { mode: 'number' }).notNull(),
    salt: bytea('salt').notNull(),
    personal: jsonb('personal').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.number] })],
);

export const eventChain = liftwright.table('event_chain', {
  fleetId: integer('fleet_id').primaryKey(),
  lastNumber: bigint('last_number', { mode: 'number' }).notNull(),
  lastHash: bytea('last_hash').notNull(),
});
