import { boolean, integer, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** What became of it: the same columns of symptoms and incidents. */
const ending = {
  state: text('state', { enum: ['told', 'on_card', 'mended', 'unnecessary'] }).notNull(),
  cardId: uuid('card_id'),
  closedAtMs: instant('closed_at'),
  closedWords: text('closed_words'),
  closedByPerson: uuid('closed_by_person'),
  closedByKey: uuid('closed_by_key'),
  closedByName: text('closed_by_name'),
};

/** Open ones of one word and place are one; it goes with its asset. */
export const symptom = liftwright.table(
  'symptom',
  {
    fleetId: integer('fleet_id').notNull(),
    symptomId: uuid('symptom_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    assetId: uuid('asset_id'),
    symptom: text('symptom').notNull(),
    words: text('words').notNull(),
    loadOnHook: boolean('load_on_hook').notNull(),
    reports: integer('reports').notNull(),
    cameBackOf: uuid('came_back_of'),
    noticedAtMs: instant('noticed_at').notNull(),
    toldAtMs: instant('told_at').notNull(),
    lastToldAtMs: instant('last_told_at').notNull(),
    ...ending,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.symptomId] })],
);

/** Append-only: each time that a symptom was told. */
export const symptomReport = liftwright.table(
  'symptom_report',
  {
    fleetId: integer('fleet_id').notNull(),
    reportId: uuid('report_id').notNull(),
    symptomId: uuid('symptom_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    loadOnHook: boolean('load_on_hook').notNull(),
    words: text('words').notNull(),
    noticedAtMs: instant('noticed_at').notNull(),
    byPerson: uuid('by_person'),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.reportId] })],
);

export const incident = liftwright.table(
  'incident',
  {
    fleetId: integer('fleet_id').notNull(),
    incidentId: uuid('incident_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    kind: text('kind', { enum: ['collision', 'overload', 'shock_load', 'drop'] }).notNull(),
    words: text('words').notNull(),
    loadOnHook: boolean('load_on_hook').notNull(),
    happenedAtMs: instant('happened_at').notNull(),
    toldAtMs: instant('told_at').notNull(),
    byPerson: uuid('by_person'),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    ...ending,
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.incidentId] })],
);

/** A driver's signed walk round a unit. */
export const walkRound = liftwright.table(
  'walk_round',
  {
    fleetId: integer('fleet_id').notNull(),
    walkRoundId: uuid('walk_round_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    shift: text('shift', { enum: ['before', 'after'] }).notNull(),
    defects: integer('defects').notNull(),
    walkedAtMs: instant('walked_at').notNull(),
    byPerson: uuid('by_person').notNull(),
    byKey: uuid('by_key').notNull(),
    byName: text('by_name').notNull(),
    via: text('via', { enum: ['pin', 'sign_in'] }).notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    reviewedAtMs: instant('reviewed_at'),
    reviewedByPerson: uuid('reviewed_by_person'),
    reviewedByKey: uuid('reviewed_by_key'),
    reviewedByName: text('reviewed_by_name'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.walkRoundId] })],
);

/** A defect that was seen on a walk-round; certified here, or with its finding. */
export const walkDefect = liftwright.table(
  'walk_defect',
  {
    fleetId: integer('fleet_id').notNull(),
    defectId: uuid('defect_id').notNull(),
    walkRoundId: uuid('walk_round_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    item: text('item').notNull(),
    words: text('words').notNull(),
    affectsSafety: boolean('affects_safety').notNull(),
    findingId: uuid('finding_id').notNull(),
    certified: text('certified', { enum: ['repaired', 'unnecessary'] }),
    certifiedWords: text('certified_words'),
    certifiedCard: uuid('certified_card'),
    certifiedAtMs: instant('certified_at'),
    certifiedByPerson: uuid('certified_by_person'),
    certifiedByKey: uuid('certified_by_key'),
    certifiedByName: text('certified_by_name'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.defectId] })],
);
