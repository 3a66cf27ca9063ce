import {
  bigint,
  boolean,
  integer,
  jsonb,
  primaryKey,
  smallint,
  text,
  uuid,
} from 'drizzle-orm/pg-core';
import { instant, liftwright, numberSet } from './column.ts';

/**
 * Readings as they came, in runs of consecutive numbers; partitioned by month of arrival. Times
 * are the device's, values its own integer ticks: the first of each, and the steps to the next.
 * Steps of arrival are null where all came in one post.
 */
export const readingRun = liftwright.table(
  'reading_run',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull(),
    firstSeq: bigint('first_seq', { mode: 'number' }).notNull(),
    lastSeq: bigint('last_seq', { mode: 'number' }).notNull(),
    receivedAtMs: instant('received_at').notNull(),
    offsetMs: bigint('offset_ms', { mode: 'number' }).notNull(),
    firstAtMs: bigint('first_at_ms', { mode: 'number' }).notNull(),
    firstRaw: bigint('first_raw', { mode: 'number' }).notNull(),
    atSteps: integer('at_steps').array().notNull(),
    rawSteps: integer('raw_steps').array().notNull(),
    receivedSteps: integer('received_steps').array(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId, t.firstSeq, t.receivedAtMs] })],
);

/** Up to when the runs of a stream are joined. */
export const streamCompaction = liftwright.table(
  'stream_compaction',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull(),
    compactedToMs: instant('compacted_to').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId] })],
);

export const readingConflict = liftwright.table(
  'reading_conflict',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull(),
    seq: bigint('seq', { mode: 'number' }).notNull(),
    atMs: bigint('at_ms', { mode: 'number' }).notNull(),
    raw: bigint('raw', { mode: 'number' }).notNull(),
    receivedAtMs: instant('received_at').notNull(),
    decision: text('decision', { enum: ['first_stands', 'this_stands', 'neither'] }),
    decidedAtMs: instant('decided_at'),
    decidedBy: text('decided_by'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId, t.seq, t.atMs, t.raw] })],
);

/** What a person said of a reading that the fold could not judge. Append-only. */
export const readingDecision = liftwright.table(
  'reading_decision',
  {
    fleetId: integer('fleet_id').notNull(),
    decisionId: uuid('decision_id').notNull(),
    gatewayId: uuid('gateway_id').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    ordinal: integer('ordinal').notNull(),
    seq: bigint('seq', { mode: 'number' }).notNull(),
    subject: text('subject', { enum: ['conflict', 'jump'] }).notNull(),
    decision: text('decision', {
      enum: ['first_stands', 'this_stands', 'neither', 'counts', 'does_not_count'],
    }).notNull(),
    atMs: bigint('at_ms', { mode: 'number' }).notNull(),
    raw: bigint('raw', { mode: 'number' }).notNull(),
    against: bigint('against', { mode: 'number' }),
    grains: bigint('grains', { mode: 'number' }),
    name: text('name').notNull(),
    reason: text('reason').notNull(),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.decisionId] })],
);

export const readingRefusal = liftwright.table(
  'reading_refusal',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull(),
    seq: bigint('seq', { mode: 'number' }).notNull(),
    verdict: text('verdict').notNull(),
    atText: text('at_text').notNull(),
    rawText: text('raw_text').notNull(),
    receivedAtMs: instant('received_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId, t.seq] })],
);

/** Where the server stands in numbering the readings of a stream that it takes from frames. */
export const frameTail = liftwright.table(
  'frame_tail',
  {
    fleetId: integer('fleet_id').notNull(),
    streamId: bigint('stream_id', { mode: 'number' }).notNull(),
    source: smallint('source').notNull(),
    seq: bigint('seq', { mode: 'number' }).notNull(),
    atMs: bigint('at_ms', { mode: 'number' }).notNull(),
    raw: bigint('raw', { mode: 'number' }).notNull(),
    untilMs: bigint('until_ms', { mode: 'number' }).notNull(),
    settled: numberSet('settled').notNull(),
    sampledMs: bigint('sampled_ms', { mode: 'number' }),
    engaged: boolean('engaged'),
    totalMs: bigint('total_ms', { mode: 'number' }),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.streamId] })],
);

/** Insert-only: this line has something new to fold. */
export const lineMark = liftwright.table(
  'line_mark',
  {
    fleetId: integer('fleet_id').notNull(),
    markId: bigint('mark_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    shard: smallint('shard').notNull(),
    lineId: bigint('line_id', { mode: 'number' }).notNull(),
    kind: text('kind', { enum: ['readings', 'whole'] }).notNull(),
    fromOrdinal: integer('from_ordinal').notNull(),
    fromSeq: bigint('from_seq', { mode: 'number' }).notNull(),
    toSeq: bigint('to_seq', { mode: 'number' }).notNull(),
    receivedAtMs: instant('received_at').notNull(),
    causes: jsonb('causes').notNull().default([]),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.markId] })],
);
