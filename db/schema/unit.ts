import {
  bigint,
  date,
  integer,
  jsonb,
  primaryKey,
  smallint,
  text,
  uuid,
} from 'drizzle-orm/pg-core';
import { instant, liftwright, span } from './column.ts';

export const unit = liftwright.table(
  'unit',
  {
    fleetId: integer('fleet_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    number: text('number').notNull(),
    note: text('note'),
    createdAtMs: instant('created_at').notNull(),
    furnishedBy: text('furnished_by'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.unitId] })],
);

export const unitYard = liftwright.table(
  'unit_yard',
  {
    fleetId: integer('fleet_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    role: text('role', { enum: ['home', 'present'] }).notNull(),
    yardId: uuid('yard_id').notNull(),
    during: span('during').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.unitId, t.role, t.during] })],
);

/** An asset or a gateway on a unit: exactly one of the two is set. */
export const install = liftwright.table(
  'install',
  {
    fleetId: integer('fleet_id').notNull(),
    installId: uuid('install_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    assetId: uuid('asset_id'),
    gatewayId: uuid('gateway_id'),
    during: span('during').notNull(),
    note: text('note'),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.installId] })],
);

/** Append-only: what an install said before, and says since; withdrawn ones say nothing since. */
export const installCorrection = liftwright.table(
  'install_correction',
  {
    fleetId: integer('fleet_id').notNull(),
    correctionId: uuid('correction_id').notNull(),
    installId: uuid('install_id').notNull(),
    kind: text('kind', {
      enum: ['changed', 'ended', 'moved', 'swapped', 'withdrawn'],
    }).notNull(),
    assetId: uuid('asset_id'),
    gatewayId: uuid('gateway_id'),
    unitId: uuid('unit_id').notNull(),
    during: span('during').notNull(),
    note: text('note'),
    installedAtMs: instant('installed_at').notNull(),
    newUnitId: uuid('new_unit_id'),
    newDuring: span('new_during'),
    newNote: text('new_note'),
    reason: text('reason').notNull(),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.correctionId] })],
);

/** Insert-only: this unit must be assessed. */
export const unitMark = liftwright.table(
  'unit_mark',
  {
    fleetId: integer('fleet_id').notNull(),
    markId: bigint('mark_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    shard: smallint('shard').notNull(),
    unitId: uuid('unit_id').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    causes: jsonb('causes').notNull().default([]),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.markId] })],
);

/** The place of a unit on the bring-in list. `pressOn` may be the text 'infinity'. */
export const unitStanding = liftwright.table(
  'unit_standing',
  {
    fleetId: integer('fleet_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    shard: smallint('shard').notNull(),
    yardId: uuid('yard_id'),
    status: text('status', { enum: ['ahead', 'in_window', 'overrun', 'unknown'] }).notNull(),
    rank: smallint('rank').notNull(),
    pressOn: date('press_on', { mode: 'string' }).notNull(),
    reasons: jsonb('reasons').notNull(),
    assessedAtMs: instant('assessed_at').notNull(),
    nextCheckAtMs: instant('next_check_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.unitId] })],
);
