import { bigint, boolean, date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** A checkpoint of the fold with what just this stretch gave: about one a line and UTC day. */
export const foldSegment = liftwright.table(
  'fold_segment',
  {
    fleetId: integer('fleet_id').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    startOrdinal: integer('start_ordinal').notNull(),
    startSeq: bigint('start_seq', { mode: 'number' }).notNull(),
    endOrdinal: integer('end_ordinal').notNull(),
    endSeq: bigint('end_seq', { mode: 'number' }).notNull(),
    utcDay: integer('utc_day').notNull(),
    readings: bigint('readings', { mode: 'number' }).notNull(),
    state: jsonb('state').notNull(),
    shares: jsonb('shares').notNull(),
    verdicts: jsonb('verdicts').notNull(),
    unlisted: integer('unlisted').notNull(),
    firstDay: date('first_day', { mode: 'string' }),
    lastDay: date('last_day', { mode: 'string' }),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lineId, t.startOrdinal, t.startSeq] })],
);

export const usageDay = liftwright.table(
  'usage_day',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    day: date('day', { mode: 'string' }).notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    grains: bigint('grains', { mode: 'number' }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.meter, t.day, t.lineId] })],
);

/** How far a line is known. */
export const lineProgress = liftwright.table(
  'line_progress',
  {
    fleetId: integer('fleet_id').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    lastAtMs: instant('last_at'),
    lastRaw: bigint('last_raw', { mode: 'number' }),
    provisional: jsonb('provisional').notNull(),
    inDoubt: boolean('in_doubt').notNull(),
    foldedAtMs: instant('folded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lineId] })],
);

/** Append-only. */
export const usageEntry = liftwright.table(
  'usage_entry',
  {
    fleetId: integer('fleet_id').notNull(),
    entryId: bigint('entry_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    day: date('day', { mode: 'string' }).notNull(),
    kind: text('kind', { enum: ['closed_day_changed', 'adjustment', 'decision'] }).notNull(),
    grains: bigint('grains', { mode: 'number' }).notNull(),
    reason: text('reason').notNull(),
    recordedBy: text('recorded_by'),
    recordedAtMs: instant('recorded_at').notNull(),
    atMs: instant('at'),
    name: text('name'),
    handReadingId: uuid('hand_reading_id'),
    withdraws: bigint('withdraws', { mode: 'number' }),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.entryId] })],
);

/** Grains of a meter on the day of an instant, up to it. */
export const useUntil = liftwright.table(
  'use_until',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    atMs: bigint('at_ms', { mode: 'number' }).notNull(),
    day: date('day', { mode: 'string' }).notNull(),
    grains: bigint('grains', { mode: 'number' }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.meter, t.atMs] })],
);

/** What a meter stood at when its asset was brought in. */
export const meterStart = liftwright.table(
  'meter_start',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    atMs: instant('at').notNull(),
    grains: bigint('grains', { mode: 'number' }).notNull(),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.meter] })],
);
