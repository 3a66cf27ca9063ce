import { bigint, boolean, date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** What was found. It goes with its asset; `unitId` is where it was found. */
export const finding = liftwright.table(
  'finding',
  {
    fleetId: integer('fleet_id').notNull(),
    findingId: uuid('finding_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    assetId: uuid('asset_id'),
    pointKey: text('point_key'),
    part: text('part'),
    grade: text('grade', { enum: ['sound', 'keep_watch', 'mend_by', 'unfit'] }).notNull(),
    words: text('words').notNull(),
    functions: text('functions').array().notNull(),
    mendByDay: date('mend_by_day', { mode: 'string' }),
    /** {meter: grains that may be used after it was graded} */
    mendByUse: jsonb('mend_by_use').$type<Record<string, number>>().notNull(),
    reports: integer('reports').notNull(),
    foundAtMs: instant('found_at').notNull(),
    gradedAtMs: instant('graded_at').notNull(),
    closedAtMs: instant('closed_at'),
    closedHow: text('closed_how', { enum: ['sound', 'mended', 'withdrawn', 'superseded'] }),
    closedWords: text('closed_words'),
    closedByPerson: uuid('closed_by_person'),
    closedByKey: uuid('closed_by_key'),
    closedByName: text('closed_by_name'),
    cardId: uuid('card_id'),
    /** The local day on which it was graded, and the grains that meters had on it by then. */
    gradedDay: date('graded_day', { mode: 'string' }),
    useBefore: jsonb('use_before').$type<Record<string, number>>().notNull().default({}),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.findingId] })],
);

/** Append-only: each time that a finding was told. */
export const findingReport = liftwright.table(
  'finding_report',
  {
    fleetId: integer('fleet_id').notNull(),
    reportId: uuid('report_id').notNull(),
    findingId: uuid('finding_id').notNull(),
    grade: text('grade', { enum: ['sound', 'keep_watch', 'mend_by', 'unfit'] }).notNull(),
    words: text('words').notNull(),
    source: text('source', {
      enum: ['step', 'symptom', 'incident', 'walk_round', 'measurement', 'person'],
    }).notNull(),
    sourceId: text('source_id'),
    byPerson: uuid('by_person'),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.reportId] })],
);

/** What takes readiness away. It goes with its asset; without one it is the unit's own. */
export const stop = liftwright.table(
  'stop',
  {
    fleetId: integer('fleet_id').notNull(),
    stopId: uuid('stop_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    assetId: uuid('asset_id'),
    findingId: uuid('finding_id'),
    kind: text('kind', { enum: ['work_lock', 'defect', 'officer', 'restriction'] }).notNull(),
    effect: text('effect', { enum: ['limited', 'no'] }).notNull(),
    functions: text('functions').array().notNull(),
    limits: jsonb('limits').notNull(),
    effective: text('effective', { enum: ['at_once', 'after_drop'] }).notNull(),
    state: text('state', { enum: ['waits_for_drop', 'standing', 'cleared'] }).notNull(),
    reason: text('reason').notNull(),
    causeKind: text('cause_kind'),
    causeId: text('cause_id'),
    untilAtMs: instant('until_at'),
    placedAtMs: instant('placed_at').notNull(),
    placedByPerson: uuid('placed_by_person'),
    placedByKey: uuid('placed_by_key').notNull(),
    placedByName: text('placed_by_name').notNull(),
    droppedAtMs: instant('dropped_at'),
    clearedAtMs: instant('cleared_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.stopId] })],
);

/** Append-only: everything that was done with a stop, from setting it on. */
export const stopAct = liftwright.table(
  'stop_act',
  {
    fleetId: integer('fleet_id').notNull(),
    actId: uuid('act_id').notNull(),
    stopId: uuid('stop_id').notNull(),
    act: text('act', {
      enum: [
        'set',
        'dropped',
        'hasten',
        'extend',
        'clear',
        'clear_by_procedure',
        'clear_by_repair',
      ],
    }).notNull(),
    untilAtMs: instant('until_at'),
    words: text('words').notNull(),
    byPerson: uuid('by_person'),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.actId] })],
);

/** Append-only: what dispatch sent a unit to do, and which event it relied on. */
export const assignment = liftwright.table(
  'assignment',
  {
    fleetId: integer('fleet_id').notNull(),
    assignmentId: uuid('assignment_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    functions: text('functions').array().notNull(),
    reliedOn: bigint('relied_on', { mode: 'number' }).notNull(),
    lastEvent: bigint('last_event', { mode: 'number' }).notNull(),
    answers: jsonb('answers').notNull(),
    changed: boolean('changed').notNull(),
    reference: text('reference'),
    note: text('note'),
    /** Why dispatch sent it though it held it back itself. */
    overrideReason: text('override_reason'),
    byPerson: uuid('by_person'),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    assignedAtMs: instant('assigned_at').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.assignmentId] })],
);
