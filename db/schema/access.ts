import { bigint, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright } from './column.ts';

export const apiKey = liftwright.table(
  'api_key',
  {
    fleetId: integer('fleet_id').notNull(),
    keyId: uuid('key_id').notNull(),
    prefix: text('prefix').notNull(),
    sha256: bytea('sha256').notNull(),
    role: text('role', {
      enum: [
        'gateway',
        'dispatcher',
        'technician',
        'lead',
        'parts',
        'auditor',
        'integrator',
        'admin',
      ],
    }).notNull(),
    gatewayId: uuid('gateway_id'),
    name: text('name').notNull(),
    createdAtMs: instant('created_at').notNull(),
    revokedAtMs: instant('revoked_at'),
    lastUsedAtMs: instant('last_used_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.keyId] })],
);

/** One receipt a request with an Idempotency-Key; `status` is null while it is at work. */
export const idempotency = liftwright.table(
  'idempotency',
  {
    fleetId: integer('fleet_id').notNull(),
    client: text('client').notNull(),
    key: text('key').notNull(),
    route: text('route').notNull(),
    bodySha256: bytea('body_sha256').notNull(),
    status: integer('status'),
    body: jsonb('body'),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.client, t.key] })],
);

/** What a key used of its limit of requests in the window that runs now. */
export const requestUse = liftwright.table(
  'request_use',
  {
    fleetId: integer('fleet_id').notNull(),
    keyId: uuid('key_id').notNull(),
    windowNo: bigint('window_no', { mode: 'number' }).notNull(),
    used: bigint('used', { mode: 'number' }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.keyId] })],
);
