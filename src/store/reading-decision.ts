import { readingDecision } from '../../db/schema/index.ts';
import type { Cause } from '../domain/events/cause.ts';
import type { Position } from '../domain/usage/run.ts';
import { builder, type Tx } from './tx.ts';

export type ReadingDecisionRow = typeof readingDecision.$inferSelect;

export async function insertDecision(tx: Tx, row: ReadingDecisionRow): Promise<void> {
  await builder(tx).insert(readingDecision).values(row);
}

/** A stream of a gateway, with what its values mean. */
export interface GatewayStream {
  counter: string;
  epoch: number;
  streamId: number;
  ordinal: number;
  lineId: number;
  meter: string;
  resolutionGrains: number;
  /** Numbers up to this one are put away; null: none. */
  cutSeq: number | null;
}

const streamColumns = `c.name as counter, s.epoch, s.stream_id, s.ordinal, s.line_id, l.meter,
  l.resolution_grains, s.cut_seq`;
const streamJoins = `liftwright.counter c
  join liftwright.stream s on s.fleet_id = c.fleet_id and s.counter_id = c.counter_id
  join liftwright.fold_line l on l.fleet_id = s.fleet_id and l.line_id = s.line_id`;

const toStream = (row: Record<string, unknown>): GatewayStream => ({
  counter: row.counter as string,
  epoch: row.epoch as number,
  streamId: Number(row.stream_id),
  ordinal: row.ordinal as number,
  lineId: Number(row.line_id),
  meter: row.meter as string,
  resolutionGrains: row.resolution_grains as number,
  cutSeq: row.cut_seq === null ? null : Number(row.cut_seq),
});

export async function findStream(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  { counter, epoch }: { counter: string; epoch: number },
): Promise<GatewayStream | null> {
  const { rows } = await tx.query(
    `select ${streamColumns} from ${streamJoins}
     where c.fleet_id = $1 and c.gateway_id = $2 and c.name = $3 and s.epoch = $4`,
    [fleetId, gatewayId, counter, epoch],
  );
  return rows[0] ? toStream(rows[0]) : null;
}

export interface ConflictQuestion extends GatewayStream {
  seq: number;
  atMs: number;
  raw: number;
  receivedAtMs: number;
  /** What came first with that number. */
  first: { atMs: number; raw: number } | null;
}

export type ConflictKey = [streamId: number, seq: number, atMs: number, raw: number];

/** Numbers of a gateway that came with another value, and wait for a word. */
export async function conflictQuestions(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  after: ConflictKey,
  limit: number,
): Promise<ConflictQuestion[]> {
  const { rows } = await tx.query(
    `select ${streamColumns}, k.seq, k.at_ms, k.raw, f.first_at, f.first_raw,
       (extract(epoch from k.received_at) * 1000)::float8 as received_ms
     from ${streamJoins}
     join liftwright.reading_conflict k on k.fleet_id = s.fleet_id and k.stream_id = s.stream_id
     left join lateral (
       select r.first_at_ms + coalesce((select sum(x)
             from unnest(r.at_steps[1:(k.seq - r.first_seq)::int]) x), 0) as first_at,
         r.first_raw + coalesce((select sum(x)
             from unnest(r.raw_steps[1:(k.seq - r.first_seq)::int]) x), 0) as first_raw
       from liftwright.reading_run r
       where r.fleet_id = k.fleet_id and r.stream_id = k.stream_id and r.last_seq >= k.seq
         and r.first_seq between k.seq - 4999 and k.seq
       order by r.first_seq desc limit 1) f on true
     where c.fleet_id = $1 and c.gateway_id = $2 and k.decision is null
       and (s.stream_id, k.seq, k.at_ms, k.raw) > ($3::bigint, $4::bigint, $5::bigint, $6::bigint)
     order by s.stream_id, k.seq, k.at_ms, k.raw limit $7`,
    [fleetId, gatewayId, ...after, limit],
  );
  return rows.map((row) => ({
    ...toStream(row),
    seq: Number(row.seq),
    atMs: Number(row.at_ms),
    raw: Number(row.raw),
    receivedAtMs: row.received_ms,
    first:
      row.first_at === null ? null : { atMs: Number(row.first_at), raw: Number(row.first_raw) },
  }));
}

export interface JumpQuestion extends GatewayStream {
  seq: number;
  atMs: number;
  raw: number;
  against: number;
  verdict: 'set_aside' | 'rebase';
}

/** Jumps of a gateway's streams: those that the line went on from, and one still set aside. */
const jumpsSql = `with own as (
    select ${streamColumns} from ${streamJoins} where c.fleet_id = $1 and c.gateway_id = $2),
  lines as (select distinct line_id from own),
  jump as (
    select f.line_id, (v ->> 'ordinal')::int as ordinal, (v ->> 'seq')::bigint as seq,
      (v ->> 'atMs')::bigint as at_ms, (v ->> 'raw')::bigint as raw,
      (v -> 'detail' ->> 'against')::bigint as against, 'rebase' as verdict
    from liftwright.fold_segment f, jsonb_array_elements(f.verdicts) v
    where f.fleet_id = $1 and f.line_id in (select line_id from lines)
      and v ->> 'verdict' = 'rebase'
    union all
    select n.line_id, (h.a ->> 'ordinal')::int, (h.a ->> 'seq')::bigint, (h.a ->> 'atMs')::bigint,
      (h.a ->> 'raw')::bigint, h.against, 'set_aside'
    from lines n cross join lateral (
      select f.state -> 'aside' -> 0 as a, (f.state ->> 'raw')::bigint as against
      from liftwright.fold_segment f where f.fleet_id = $1 and f.line_id = n.line_id
      order by f.start_ordinal desc, f.start_seq desc limit 1) h
    where h.a is not null)`;

const toJump = (row: Record<string, unknown>): JumpQuestion => ({
  ...toStream(row),
  seq: Number(row.seq),
  atMs: Number(row.at_ms),
  raw: Number(row.raw),
  against: Number(row.against),
  verdict: row.verdict as JumpQuestion['verdict'],
});

export type JumpKey = [lineId: number, ordinal: number, seq: number];

/** Jumps of a gateway's counters that wait for a word. */
export async function jumpQuestions(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  after: JumpKey,
  limit: number,
): Promise<JumpQuestion[]> {
  const { rows } = await tx.query(
    `${jumpsSql}
     select own.*, j.seq, j.at_ms, j.raw, j.against, j.verdict
     from jump j join own on own.line_id = j.line_id and own.ordinal = j.ordinal
     where (j.line_id, j.ordinal, j.seq) > ($3::bigint, $4::bigint, $5::bigint)
       and not exists (select from liftwright.reading_decision d where d.fleet_id = $1
         and d.line_id = j.line_id and d.ordinal = j.ordinal and d.seq = j.seq
         and d.subject = 'jump' and d.raw = j.raw)
     order by j.line_id, j.ordinal, j.seq limit $6`,
    [fleetId, gatewayId, ...after, limit],
  );
  return rows.map(toJump);
}

/** The jump at a number of a stream, decided on or not; also one that a decision made use. */
export async function jumpAt(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  { streamId, seq }: { streamId: number; seq: number },
): Promise<Pick<JumpQuestion, 'atMs' | 'raw' | 'against'> | null> {
  const { rows } = await tx.query(
    `${jumpsSql}
     select * from (
       select 1 as n, j.at_ms, j.raw, j.against
       from jump j join own on own.line_id = j.line_id and own.ordinal = j.ordinal
       where own.stream_id = $3 and j.seq = $4
       union all
       (select 2, d.at_ms, d.raw, d.against from liftwright.reading_decision d
         join own on own.line_id = d.line_id and own.ordinal = d.ordinal
         where d.fleet_id = $1 and own.stream_id = $3 and d.seq = $4 and d.subject = 'jump'
         order by d.decision_id desc limit 1)) found
     order by n limit 1`,
    [fleetId, gatewayId, streamId, seq],
  );
  const row = rows[0];
  return row
    ? { atMs: Number(row.at_ms), raw: Number(row.raw), against: Number(row.against) }
    : null;
}

/** Every other value that came with a number, decided on or not, first come first. */
export async function conflictsAt(
  tx: Tx,
  fleetId: number,
  streamId: number,
  seq: number,
): Promise<{ atMs: number; raw: number }[]> {
  const { rows } = await tx.query(
    `select at_ms, raw from liftwright.reading_conflict
     where fleet_id = $1 and stream_id = $2 and seq = $3 order by received_at, at_ms, raw`,
    [fleetId, streamId, seq],
  );
  return rows.map((row) => ({ atMs: Number(row.at_ms), raw: Number(row.raw) }));
}

/** Says of every value of a number in conflict what it is: the chosen stands, the others not. */
export async function decideConflict(
  tx: Tx,
  fleetId: number,
  { streamId, seq }: { streamId: number; seq: number },
  word: {
    decision: 'first_stands' | 'this_stands' | 'neither';
    chosen: { atMs: number; raw: number } | null;
    by: string;
    atMs: number;
  },
): Promise<void> {
  await tx.query(
    `update liftwright.reading_conflict
     set decision = case when $4 = 'this_stands' and (at_ms <> $5 or raw <> $6) then 'neither'
         else $4 end,
       decided_at = to_timestamp($7::float8 / 1000), decided_by = $8
     where fleet_id = $1 and stream_id = $2 and seq = $3`,
    [
      fleetId,
      streamId,
      seq,
      word.decision,
      word.chosen?.atMs ?? 0,
      word.chosen?.raw ?? 0,
      word.atMs,
      word.by,
    ],
  );
}

export interface ListedDecision extends ReadingDecisionRow {
  counter: string;
  epoch: number;
  meter: string;
}

/** What was decided on a gateway's readings, in the order of deciding. */
export async function listDecisions(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  after: [decisionId: string] | null,
  limit: number,
): Promise<ListedDecision[]> {
  const { rows } = await tx.query(
    `select d.*, (extract(epoch from d.recorded_at) * 1000)::float8 as recorded_ms,
       c.name as counter, s.epoch, l.meter
     from liftwright.reading_decision d
     join liftwright.stream s on s.fleet_id = d.fleet_id and s.line_id = d.line_id
       and s.ordinal = d.ordinal
     join liftwright.counter c on c.fleet_id = s.fleet_id and c.counter_id = s.counter_id
     join liftwright.fold_line l on l.fleet_id = d.fleet_id and l.line_id = d.line_id
     where d.fleet_id = $1 and d.gateway_id = $2 and ($3::uuid is null or d.decision_id > $3)
     order by d.decision_id limit $4`,
    [fleetId, gatewayId, after?.[0] ?? null, limit],
  );
  return rows.map((row) => ({
    fleetId,
    decisionId: row.decision_id,
    gatewayId,
    lineId: Number(row.line_id),
    ordinal: row.ordinal,
    seq: Number(row.seq),
    subject: row.subject,
    decision: row.decision,
    atMs: Number(row.at_ms),
    raw: Number(row.raw),
    against: row.against === null ? null : Number(row.against),
    grains: row.grains === null ? null : Number(row.grains),
    name: row.name,
    reason: row.reason,
    recordedBy: row.recorded_by,
    recordedAtMs: row.recorded_ms,
    counter: row.counter,
    epoch: row.epoch,
    meter: row.meter,
  }));
}

/** Marks a line to be folded anew from a position on; answers its shard. */
export async function markLineFromPosition(
  tx: Tx,
  fleetId: number,
  lineId: number,
  from: Position,
  nowMs: number,
  causes: readonly Cause[],
): Promise<number[]> {
  const { rows } = await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at, causes)
     select fleet_id, shard, line_id, 'whole', $3, $4, 0, to_timestamp($5::float8 / 1000), $6
     from liftwright.fold_line where fleet_id = $1 and line_id = $2
     returning shard`,
    [fleetId, lineId, from.ordinal, from.seq, nowMs, JSON.stringify(causes)],
  );
  return rows.map((row) => row.shard as number);
}
