import type { DecidedJump } from '../domain/usage/fold-rules.ts';
import type { Position, ReplacedReading, StreamCause } from '../domain/usage/run.ts';

/** The streams of a line and what people decided on them, as part of a statement on line $2. */

export interface LineStream {
  streamId: number;
  ordinal: number;
  cause: StreamCause;
  /** Numbers that wait for a decision, or were decided to count for nothing. */
  leftOut: number[];
  /** Numbers for which another value was decided to stand than the one that came first. */
  replaced: ReplacedReading[];
  /** Numbers up to this one are put away; null: none. In order of ordinal the last one cuts. */
  cutSeq: number | null;
}

/** A person's word on a jump of the line. */
export interface LineDecision extends Position, DecidedJump {}

/**
 * With each stream the numbers in conflict for which not simply the first value stands:
 * `[seq, at, raw, received]` where another one does, `[seq, null …]` where none does.
 */
export const streamsSql = `(
  select coalesce(json_agg(json_build_array(s.stream_id, s.ordinal, s.cause, (
      select coalesce(json_agg(json_build_array(k.seq, k.at_ms, k.raw, k.received_ms)), '[]')
      from (
        select c.seq, min(c.at_ms) filter (where c.stands) as at_ms,
          min(c.raw) filter (where c.stands) as raw,
          (min(extract(epoch from c.received_at)) filter (where c.stands) * 1000)::bigint
            as received_ms
        from (select *, decision = 'this_stands' and not bool_or(decision is null)
            over (partition by seq) as stands
          from liftwright.reading_conflict
          where fleet_id = s.fleet_id and stream_id = s.stream_id) c
        group by c.seq having not bool_and(coalesce(c.decision, '') = 'first_stands')) k),
      s.cut_seq)
    order by s.ordinal), '[]')
  from liftwright.stream s where s.fleet_id = $1 and s.line_id = $2)`;

/** The last word on each jump. */
export const decidedSql = `(select coalesce(json_agg(json_build_array(
      d.ordinal, d.seq, d.raw, d.decision = 'counts')), '[]')
  from (select distinct on (r.ordinal, r.seq) r.* from liftwright.reading_decision r
    where r.fleet_id = $1 and r.line_id = $2 and r.subject = 'jump'
    order by r.ordinal, r.seq, r.decision_id desc) d)`;

export const toDecided = (rows: [number, number, number, boolean][]): LineDecision[] =>
  rows.map(([ordinal, seq, raw, counts]) => ({ ordinal, seq, raw, counts }));

type ConflictRow = [seq: number, atMs: number | null, raw: number, receivedAtMs: number];

type StreamRow = [
  streamId: number,
  ordinal: number,
  cause: StreamCause,
  conflicts: ConflictRow[],
  cutSeq: number | null,
];

export const toStreams = (rows: StreamRow[]): LineStream[] =>
  rows.map(([streamId, ordinal, cause, conflicts, cutSeq]) => ({
    streamId,
    ordinal,
    cause,
    leftOut: conflicts
      .filter(([, atMs]) => atMs === null)
      .map(([seq]) => seq)
      .sort((a, b) => a - b),
    replaced: conflicts.flatMap(([seq, atMs, raw, receivedAtMs]) =>
      atMs === null ? [] : [{ seq, atMs, raw, receivedAtMs }],
    ),
    cutSeq,
  }));
