import { bigint, boolean, integer, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** The line of readings by hand of an asset's meter. */
export const handLine = liftwright.table(
  'hand_line',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.meter] })],
);

/** What a person read off a dial. Never changed, but may be voided. */
export const handReading = liftwright.table(
  'hand_reading',
  {
    fleetId: integer('fleet_id').notNull(),
    readingId: uuid('reading_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    atMs: instant('at').notNull(),
    grains: bigint('grains', { mode: 'number' }).notNull(),
    resolutionGrains: integer('resolution_grains').notNull(),
    meterReplaced: boolean('meter_replaced').notNull(),
    readBy: text('read_by').notNull(),
    note: text('note'),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    voidReason: text('void_reason'),
    voidedBy: text('voided_by'),
    voidedAtMs: instant('voided_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.readingId] })],
);
