import { integer, primaryKey, smallint, text, uuid } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright, span } from './column.ts';

export const person = liftwright.table(
  'person',
  {
    fleetId: integer('fleet_id').notNull(),
    personId: uuid('person_id').notNull(),
    name: text('name').notNull(),
    pinHash: text('pin_hash'),
    leftAtMs: instant('left_at'),
    createdAtMs: instant('created_at').notNull(),
    pinSetAtMs: instant('pin_set_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.personId] })],
);

/** What a person may do, from-to. */
export const personCompetence = liftwright.table(
  'person_competence',
  {
    fleetId: integer('fleet_id').notNull(),
    competenceId: uuid('competence_id').notNull(),
    personId: uuid('person_id').notNull(),
    competence: text('competence', {
      enum: ['lift_work', 'lift_check', 'lead', 'dispatch', 'driving', 'yearly_inspection'],
    }).notNull(),
    during: span('during').notNull(),
    evidence: text('evidence').notNull(),
    /** Supervised passes before the work needs no countersign; 0: none. */
    passesNeeded: smallint('passes_needed').notNull(),
    givenByPerson: uuid('given_by_person'),
    givenBy: text('given_by').notNull(),
    givenAtMs: instant('given_at').notNull(),
    endReason: text('end_reason'),
    endedBy: text('ended_by'),
    endedAtMs: instant('ended_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.competenceId] })],
);

export const supervisedPass = liftwright.table(
  'supervised_pass',
  {
    fleetId: integer('fleet_id').notNull(),
    passId: uuid('pass_id').notNull(),
    competenceId: uuid('competence_id').notNull(),
    supervisedBy: uuid('supervised_by').notNull(),
    causeKind: text('cause_kind').notNull(),
    causeId: uuid('cause_id').notNull(),
    atMs: instant('at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.passId] })],
);

/** Wrong PINs of a person, or of all persons together with one key. */
export const pinTry = liftwright.table(
  'pin_try',
  {
    fleetId: integer('fleet_id').notNull(),
    kind: text('kind', { enum: ['person', 'key'] }).notNull(),
    id: uuid('id').notNull(),
    inRow: integer('in_row').notNull(),
    dayBeganAtMs: instant('day_began_at').notNull(),
    dayWrong: integer('day_wrong').notNull(),
    lockedUntilMs: instant('locked_until'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.kind, t.id] })],
);

/** A person on one phone for a while; good only with that key. */
export const signIn = liftwright.table(
  'sign_in',
  {
    fleetId: integer('fleet_id').notNull(),
    keyId: uuid('key_id').notNull(),
    personId: uuid('person_id').notNull(),
    signInId: uuid('sign_in_id').notNull(),
    tokenSha256: bytea('token_sha256').notNull(),
    beganAtMs: instant('began_at').notNull(),
    endsAtMs: instant('ends_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.keyId, t.personId] })],
);
