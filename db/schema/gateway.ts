import { bigint, integer, jsonb, primaryKey, smallint, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

export const gateway = liftwright.table(
  'gateway',
  {
    fleetId: integer('fleet_id').notNull(),
    gatewayId: uuid('gateway_id').notNull(),
    serial: text('serial').notNull(),
    note: text('note'),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.gatewayId] })],
);

export const gatewayContact = liftwright.table(
  'gateway_contact',
  {
    fleetId: integer('fleet_id').notNull(),
    gatewayId: uuid('gateway_id').notNull(),
    lastPostAtMs: instant('last_post_at'),
    habitMs: bigint('habit_ms', { mode: 'number' }).notNull().default(0),
    deviceOffsetMs: bigint('device_offset_ms', { mode: 'number' }),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.gatewayId] })],
);

export const gatewayClock = liftwright.table(
  'gateway_clock',
  {
    fleetId: integer('fleet_id').notNull(),
    gatewayId: uuid('gateway_id').notNull(),
    seenAtMs: instant('seen_at').notNull(),
    offsetMs: bigint('offset_ms', { mode: 'number' }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.gatewayId, t.seenAtMs] })],
);

/** What is known to be wrong with a gateway, as last told, and when to look again. */
export const gatewayHealth = liftwright.table(
  'gateway_health',
  {
    fleetId: integer('fleet_id').notNull(),
    gatewayId: uuid('gateway_id').notNull(),
    shard: smallint('shard').notNull(),
    checkAtMs: instant('check_at'),
    silentSinceMs: instant('silent_since'),
    suspects: jsonb('suspects').notNull().default([]),
    checkedAtMs: instant('checked_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.gatewayId] })],
);
