import { bigint, integer, primaryKey, smallint, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright, numberSet, span } from './column.ts';

/** What the fold works on. What could change the meaning of a raw value is fixed for its life. */
export const foldLine = liftwright.table(
  'fold_line',
  {
    fleetId: integer('fleet_id').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    shard: smallint('shard').notNull(),
    meter: text('meter').notNull(),
    resolutionGrains: integer('resolution_grains').notNull(),
    widthBits: smallint('width_bits').notNull(),
    minMsPerTick: bigint('min_ms_per_tick', { mode: 'number' }).notNull(),
    scope: text('scope', { enum: ['controller', 'gateway'] }).notNull(),
    controller: text('controller'),
    basis: text('basis').notNull(),
    basisVersion: integer('basis_version').notNull(),
    nextOrdinal: integer('next_ordinal').notNull().default(0),
    createdAtMs: instant('created_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lineId] })],
);

export const counter = liftwright.table(
  'counter',
  {
    fleetId: integer('fleet_id').notNull(),
    counterId: bigint('counter_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    gatewayId: uuid('gateway_id').notNull(),
    name: text('name').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    declaredAtMs: instant('declared_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.counterId] })],
);

/** Which line counts for an asset's meter, from-to. */
export const meterSource = liftwright.table(
  'meter_source',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    during: span('during').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.meter, t.during] })],
);

/** Which of several counters shall count for an asset's meter, from-to: a person's word. */
export const meterSourceChoice = liftwright.table(
  'meter_source_choice',
  {
    fleetId: integer('fleet_id').notNull(),
    choiceId: uuid('choice_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    meter: text('meter').notNull(),
    /** Null: readings by hand. */
    counterId: bigint('counter_id', { mode: 'number' }),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    during: span('during').notNull(),
    reason: text('reason').notNull(),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    voidReason: text('void_reason'),
    voidedBy: text('voided_by'),
    voidedAtMs: instant('voided_at'),
    name: text('name'),
    voidedName: text('voided_name'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.choiceId] })],
);

/** Where a line began to count without knowing what was used before. */
export const lineGap = liftwright.table(
  'line_gap',
  {
    fleetId: integer('fleet_id').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    ordinal: integer('ordinal').notNull(),
    seq: bigint('seq', { mode: 'number' }).notNull(),
    cause: text('cause', {
      enum: ['before_first_reading', 'controller_replaced', 'rebase'],
    }).notNull(),
    fromAtMs: instant('from_at'),
    toAtMs: instant('to_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lineId, t.ordinal, t.seq] })],
);

/** One counter from one gateway in one epoch, with the sequence numbers that are settled. */
export const stream = liftwright.table(
  'stream',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    counterId: bigint('counter_id', { mode: 'number' }).notNull(),
    epoch: integer('epoch').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    ordinal: integer('ordinal').notNull(),
    cause: text('cause', {
      enum: ['first', 'sequence_lost', 'counter_reset', 'controller_replaced'],
    }).notNull(),
    seen: numberSet('seen').notNull().default('{}'),
    lost: numberSet('lost').notNull().default('{}'),
    cutSeq: bigint('cut_seq', { mode: 'number' }),
    tooLate: numberSet('too_late').notNull().default('{}'),
    openedAtMs: instant('opened_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId] })],
);
