import { boolean, date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** Never changed, but may be voided. */
export const taskDone = liftwright.table(
  'task_done',
  {
    fleetId: integer('fleet_id').notNull(),
    doneId: uuid('done_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    taskKey: text('task_key').notNull(),
    doneAtMs: instant('done_at').notNull(),
    estimated: boolean('estimated').notNull(),
    note: text('note'),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    voidReason: text('void_reason'),
    voidedBy: text('voided_by'),
    voidedAtMs: instant('voided_at'),
    /** {meter: grains}, where somebody wrote down what it stood at. */
    meterValues: jsonb('meter_values').$type<Record<string, number>>(),
    /** The job card that it was done on. */
    cardId: uuid('card_id'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.doneId] })],
);

/** Ends by date and by use, whichever comes first. `untilUse`: {meter: grains since it began}. */
export const taskDeferral = liftwright.table(
  'task_deferral',
  {
    fleetId: integer('fleet_id').notNull(),
    deferralId: uuid('deferral_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    taskKey: text('task_key').notNull(),
    fromAtMs: instant('from_at').notNull(),
    untilDay: date('until_day', { mode: 'string' }).notNull(),
    untilUse: jsonb('until_use').notNull(),
    approver: text('approver').notNull(),
    restriction: text('restriction').notNull(),
    reason: text('reason').notNull(),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    endedAtMs: instant('ended_at'),
    /** What the restriction does to the functions while the deferral runs. */
    effect: text('effect', { enum: ['none', 'limited', 'no'] })
      .notNull()
      .default('none'),
    functions: text('functions').array().notNull().default([]),
    limits: jsonb('limits').notNull().default({}),
    approverPerson: uuid('approver_person'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.deferralId] })],
);

/** Something calls a task due now, until it is done after that. Never changed, may be withdrawn. */
export const taskCall = liftwright.table(
  'task_call',
  {
    fleetId: integer('fleet_id').notNull(),
    callId: uuid('call_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    taskKey: text('task_key').notNull(),
    calledAtMs: instant('called_at').notNull(),
    cause: text('cause', {
      enum: ['symptom', 'incident', 'walk_round', 'intake', 'person'],
    }).notNull(),
    causeId: uuid('cause_id'),
    /** The word of the closed list that stands for the cause. */
    what: text('what'),
    words: text('words'),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    withdrawReason: text('withdraw_reason'),
    withdrawnBy: text('withdrawn_by'),
    withdrawnAtMs: instant('withdrawn_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.callId] })],
);

/** The last assessment of one task of one asset; the columns are what lists filter and order by. */
export const upkeepState = liftwright.table(
  'upkeep_state',
  {
    fleetId: integer('fleet_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    taskKey: text('task_key').notNull(),
    unitId: uuid('unit_id').notNull(),
    status: text('status', { enum: ['ahead', 'in_window', 'overrun', 'unknown'] }).notNull(),
    fullOn: date('full_on', { mode: 'string' }),
    assessment: jsonb('assessment').notNull(),
    assessedAtMs: instant('assessed_at').notNull(),
    /** What readiness reads of it; see domain/shop/pressing-task.ts. */
    pressing: jsonb('pressing'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assetId, t.taskKey] })],
);
