import { bigint, boolean, date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

const units = ['mm', 'in', 'nm', 'turns', 'percent', 'bar', 'celsius', 'seconds'] as const;

/** Who did it, and with which key it was told. */
const teller = {
  personId: uuid('person_id'),
  name: text('name').notNull(),
  recordedBy: text('recorded_by').notNull(),
  recordedAtMs: instant('recorded_at').notNull(),
};

const voiding = {
  voidReason: text('void_reason'),
  voidedBy: text('voided_by'),
  voidedAtMs: instant('voided_at'),
};

/** One part in one place of an asset; what is known of it stands in its entries. */
export const partLife = liftwright.table(
  'part_life',
  {
    fleetId: integer('fleet_id').notNull(),
    lifeId: uuid('life_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    part: text('part').notNull(),
    pointKey: text('point_key').notNull(),
    setId: uuid('set_id'),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lifeId] })],
);

/** Everything that is known of a part, said anew: the last entry holds. */
export const partLifeEntry = liftwright.table(
  'part_life_entry',
  {
    fleetId: integer('fleet_id').notNull(),
    lifeId: uuid('life_id').notNull(),
    entryNo: integer('entry_no').notNull(),
    kind: text('kind', { enum: ['fitted', 'removed', 'corrected', 'voided'] }).notNull(),
    fittedAtMs: instant('fitted_at').notNull(),
    priorLife: text('prior_life', { enum: ['new', 'known', 'estimated', 'unknown'] }).notNull(),
    priorUse: jsonb('prior_use').notNull(),
    continues: uuid('continues'),
    makerNumber: text('maker_number'),
    supplier: text('supplier'),
    lot: text('lot'),
    warrantyUntilDay: date('warranty_until_day', { mode: 'string' }),
    warrantyUntilUse: jsonb('warranty_until_use').notNull(),
    removedAtMs: instant('removed_at'),
    removalReason: text('removal_reason', {
      enum: ['worn', 'broken', 'precaution', 'recalled', 'moved'],
    }),
    movedTo: uuid('moved_to'),
    words: text('words'),
    ...teller,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.lifeId, t.entryNo] })],
);

/** What was measured in one place; sizes are thousandths of the unit. */
export const measurement = liftwright.table(
  'measurement',
  {
    fleetId: integer('fleet_id').notNull(),
    measurementId: uuid('measurement_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    pointKey: text('point_key').notNull(),
    part: text('part'),
    atMs: instant('at').notNull(),
    value: bigint('value', { mode: 'number' }),
    unit: text('unit', { enum: units }),
    error: bigint('error', { mode: 'number' }),
    gauge: text('gauge', { enum: ['go', 'near', 'no_go'] }),
    tool: text('tool'),
    wiped: boolean('wiped'),
    temperatureTenths: integer('temperature_tenths'),
    note: text('note'),
    verdict: text('verdict', {
      enum: ['sound', 'near_limit', 'beyond_limit', 'not_judged'],
    }).notNull(),
    rule: text('rule').notNull(),
    nominal: bigint('nominal', { mode: 'number' }),
    near: bigint('near', { mode: 'number' }),
    limitValue: bigint('limit_value', { mode: 'number' }),
    limitUnit: text('limit_unit', { enum: units }),
    limitKey: text('limit_key'),
    least: bigint('least', { mode: 'number' }),
    most: bigint('most', { mode: 'number' }),
    useThen: jsonb('use_then').notNull(),
    questionedAgainst: uuid('questioned_against'),
    findingId: uuid('finding_id'),
    stepId: uuid('step_id'),
    ...teller,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.measurementId] })],
);

/** A person's word on a measurement. */
export const measurementDecision = liftwright.table(
  'measurement_decision',
  {
    fleetId: integer('fleet_id').notNull(),
    measurementId: uuid('measurement_id').notNull(),
    decision: text('decision', { enum: ['confirmed', 'withdrawn'] }).notNull(),
    reason: text('reason').notNull(),
    ...teller,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.measurementId, t.decision] })],
);

/** Tension that was taken up: thousandths of a turn, with the gap before and after. */
export const takeUp = liftwright.table(
  'take_up',
  {
    fleetId: integer('fleet_id').notNull(),
    takeUpId: uuid('take_up_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    pointKey: text('point_key').notNull(),
    part: text('part'),
    atMs: instant('at').notNull(),
    turns: integer('turns').notNull(),
    gapBefore: bigint('gap_before', { mode: 'number' }),
    gapAfter: bigint('gap_after', { mode: 'number' }),
    unit: text('unit', { enum: ['mm', 'in'] }),
    error: bigint('error', { mode: 'number' }),
    useThen: jsonb('use_then').notNull(),
    note: text('note'),
    ...teller,
    ...voiding,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.takeUpId] })],
);

/** What was held against removal benchmarks, and every rule that spoke. */
export const removalCheck = liftwright.table(
  'removal_check',
  {
    fleetId: integer('fleet_id').notNull(),
    checkId: uuid('check_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    pointKey: text('point_key').notNull(),
    atMs: instant('at').notNull(),
    subject: text('subject', {
      enum: ['rope', 'fibre_rope', 'chain', 'hook', 'sling', 'hose'],
    }).notNull(),
    look: jsonb('look').notNull(),
    decision: text('decision', {
      enum: ['keep', 'keep_watch', 'competent_person', 'remove'],
    }).notNull(),
    fired: jsonb('fired').notNull(),
    cutOffMayCure: boolean('cut_off_may_cure').notNull(),
    useThen: jsonb('use_then').notNull(),
    findingId: uuid('finding_id'),
    stepId: uuid('step_id'),
    note: text('note'),
    ...teller,
    ...voiding,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.checkId] })],
);
