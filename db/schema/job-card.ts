import { boolean, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { bytea, instant, liftwright } from './column.ts';

/** The work on one unit. Signed off or withdrawn it never changes again: a trigger holds it. */
export const jobCard = liftwright.table(
  'job_card',
  {
    fleetId: integer('fleet_id').notNull(),
    cardId: uuid('card_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    kind: text('kind', {
      enum: ['upkeep', 'symptom', 'incident', 'intake', 'yard', 'follow_on'],
    }).notNull(),
    state: text('state', {
      enum: ['written_up', 'hands_on', 'set_down', 'to_sign', 'signed_off', 'withdrawn'],
    }).notNull(),
    reasons: jsonb('reasons').$type<string[]>().notNull(),
    /** The tasks on it, and why each is. */
    tasks: jsonb('tasks')
      .$type<{ assetId: string; task: string; name: string; why: string[] }[]>()
      .notNull(),
    causeKind: text('cause_kind'),
    causeId: text('cause_id'),
    visitId: uuid('visit_id'),
    follows: uuid('follows'),
    writtenUpAtMs: instant('written_up_at').notNull(),
    writtenUpBy: text('written_up_by').notNull(),
    begunAtMs: instant('begun_at'),
    togetherSafe: boolean('together_safe'),
    restReason: text('rest_reason'),
    workEndedAtMs: instant('work_ended_at'),
    endedBy: uuid('ended_by'),
    closedAtMs: instant('closed_at'),
    seal: bytea('seal'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.cardId] })],
);

/** Frozen when the card is written up. `step` is the whole of it. */
export const cardStep = liftwright.table(
  'card_step',
  {
    fleetId: integer('fleet_id').notNull(),
    cardId: uuid('card_id').notNull(),
    stepNo: integer('step_no').notNull(),
    stepId: uuid('step_id').notNull(),
    assetId: uuid('asset_id').notNull(),
    work: text('work').notNull(),
    pointKey: text('point_key'),
    taskKeys: text('task_keys').array().notNull(),
    liftCritical: boolean('lift_critical').notNull(),
    step: jsonb('step').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.cardId, t.stepNo] })],
);

/** Append-only, with the phone's own id; merged when it is read. */
export const stepCommand = liftwright.table(
  'step_command',
  {
    fleetId: integer('fleet_id').notNull(),
    cardId: uuid('card_id').notNull(),
    clientId: uuid('client_id').notNull(),
    stepId: uuid('step_id').notNull(),
    result: text('result', { enum: ['done', 'not_done', 'not_right'] }).notNull(),
    tap: text('tap'),
    reason: text('reason'),
    words: text('words'),
    find: jsonb('find'),
    measurement: jsonb('measurement'),
    saidAtMs: instant('said_at').notNull(),
    countedAtMs: instant('counted_at').notNull(),
    personId: uuid('person_id').notNull(),
    personName: text('person_name').notNull(),
    trainee: boolean('trainee').notNull(),
    atControls: uuid('at_controls'),
    replaces: uuid('replaces').array().notNull(),
    late: boolean('late').notNull(),
    keyId: uuid('key_id').notNull(),
    receivedAtMs: instant('received_at').notNull(),
    digest: bytea('digest').notNull(),
    findingId: uuid('finding_id'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.cardId, t.clientId] })],
);

/** Who put a name to what. `covers`: the commands that held when a step was signed. */
export const cardSignature = liftwright.table(
  'card_signature',
  {
    fleetId: integer('fleet_id').notNull(),
    signatureId: uuid('signature_id').notNull(),
    cardId: uuid('card_id').notNull(),
    stepId: uuid('step_id'),
    act: text('act', {
      enum: [
        'begin',
        'leave',
        'set_down',
        'end_work',
        'send_back',
        'check',
        'self_check',
        'countersign',
        'sign_off',
        'withdraw',
      ],
    }).notNull(),
    personId: uuid('person_id').notNull(),
    personName: text('person_name').notNull(),
    via: text('via', { enum: ['pin', 'sign_in'] }).notNull(),
    covers: uuid('covers').array().notNull(),
    togetherSafe: boolean('together_safe'),
    words: text('words'),
    atMs: instant('at').notNull(),
    keyId: uuid('key_id').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.signatureId] })],
);

/** What is said of a closed card. With `clientId`: what was decided about a late command. */
export const cardCorrection = liftwright.table(
  'card_correction',
  {
    fleetId: integer('fleet_id').notNull(),
    correctionId: uuid('correction_id').notNull(),
    cardId: uuid('card_id').notNull(),
    stepId: uuid('step_id'),
    clientId: uuid('client_id'),
    decision: text('decision', { enum: ['counts', 'does_not_count'] }),
    words: text('words').notNull(),
    /** What no longer counts as done by this, or does since. */
    tasks: jsonb('tasks').$type<{ assetId: string; task: string }[]>().notNull(),
    personId: uuid('person_id').notNull(),
    personName: text('person_name').notNull(),
    keyId: uuid('key_id').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.correctionId] })],
);
