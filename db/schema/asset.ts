import { date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright } from './column.ts';

export const liftPattern = liftwright.table(
  'lift_pattern',
  {
    fleetId: integer('fleet_id').notNull(),
    patternId: uuid('pattern_id').notNull(),
    version: integer('version').notNull(),
    name: text('name').notNull(),
    assetKind: text('asset_kind', { enum: ['chassis', 'lift', 'winch', 'dolly_set'] }).notNull(),
    document: jsonb('document').notNull(),
    sha256: bytea('sha256').notNull(),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.patternId, t.version] })],
);

export const asset = liftwright.table(
  'asset',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    kind: text('kind', { enum: ['chassis', 'lift', 'winch', 'dolly_set'] }).notNull(),
    serial: text('serial').notNull(),
    patternId: uuid('pattern_id'),
    patternVersion: integer('pattern_version'),
    createdAtMs: instant('created_at').notNull(),
    note: text('note'),
    make: text('make'),
    modelYear: integer('model_year'),
    tireSize: text('tire_size'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId] })],
);

/** An asset was moved to another version, or another pattern; what it followed before is kept. */
export const patternMove = liftwright.table(
  'pattern_move',
  {
    fleetId: integer('fleet_id').notNull(),
    moveId: uuid('move_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    fromPatternId: uuid('from_pattern_id'),
    fromVersion: integer('from_version'),
    patternId: uuid('pattern_id').notNull(),
    version: integer('version').notNull(),
    movedAtMs: instant('moved_at').notNull(),
    recordedBy: text('recorded_by').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.moveId] })],
);

/** Dated hard use of a yard or a unit: exactly one of the two is set. */
export const severity = liftwright.table(
  'severity',
  {
    fleetId: integer('fleet_id').notNull(),
    severityId: uuid('severity_id').notNull(),
    kind: text('kind', { enum: ['salt', 'dust', 'heavy_use'] }).notNull(),
    yardId: uuid('yard_id'),
    unitId: uuid('unit_id'),
    fromDay: date('from_day', { mode: 'string' }).notNull(),
    toDay: date('to_day', { mode: 'string' }),
    seasonFrom: text('season_from'),
    seasonTo: text('season_to'),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.severityId] })],
);
