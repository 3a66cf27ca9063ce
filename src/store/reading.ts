import type { IntakeRun, RefusedReading } from '../domain/usage/reading-intake.ts';
import { decodeIntegers, encodeInt8Array, encodeSteps, fromSteps } from './int-array.ts';
import type { Tx } from './tx.ts';

/** A stream as a post needs it; fixed for its life, so it may be cached. */
export interface DeclaredStream {
  streamId: number;
  counter: string;
  epoch: number;
  widthBits: number;
  lineId: number;
  ordinal: number;
  shard: number;
}

export interface StreamRun extends IntakeRun {
  stream: DeclaredStream;
}

/** The streams that a gateway numbers itself; those fed from frames are numbered here. */
export async function declaredStreams(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<DeclaredStream[]> {
  const { rows } = await tx.query(
    `select s.stream_id, c.name, s.epoch, l.width_bits, s.line_id, s.ordinal, l.shard
     from liftwright.counter c
     join liftwright.stream s on s.fleet_id = c.fleet_id and s.counter_id = c.counter_id
     join liftwright.fold_line l on l.fleet_id = c.fleet_id and l.line_id = c.line_id
     where c.fleet_id = $1 and c.gateway_id = $2 and l.basis !~ '^(derived_)?j1939_'`,
    [fleetId, gatewayId],
  );
  return rows.map((row) => ({
    streamId: Number(row.stream_id),
    counter: row.name,
    epoch: row.epoch,
    widthBits: row.width_bits,
    lineId: Number(row.line_id),
    ordinal: row.ordinal,
    shard: row.shard,
  }));
}

export interface Contact {
  fleetId: number;
  gatewayId: string;
  receivedAtMs: number;
  deviceOffsetMs: number | null;
}

/** What record_new_runs raises when it has written nothing and the long way must be taken. */
const takeTheLongWay = 'LW001';

/**
 * The plain case in one round trip and one transaction; see the SQL function. Answers the numbers
 * settled per stream as multirange text, or null when a number was known already and nothing was
 * written. Runs must be in ascending order of stream id, one a stream.
 */
export async function recordNewRuns(
  client: Tx,
  contact: Contact,
  runs: readonly StreamRun[],
): Promise<Map<number, string> | null> {
  try {
    const { rows } = await client.query({
      name: 'record_new_runs',
      text: `select stream_id, seen from liftwright.record_new_runs(
               $1, $2, to_timestamp($3::float8 / 1000), $4, $5, $6, $7, $8, $9, $10, $11, $12,
               $13)`,
      values: [
        contact.fleetId,
        contact.gatewayId,
        contact.receivedAtMs,
        contact.deviceOffsetMs,
        encodeInt8Array(runs.map((run) => run.stream.streamId)),
        encodeInt8Array(runs.map((run) => run.firstSeq)),
        runs.map((run) => run.raw.length),
        encodeInt8Array(runs.map((run) => run.offsetMs)),
        encodeInt8Array(runs.map((run) => run.at[0] as number)),
        encodeInt8Array(runs.map((run) => run.raw[0] as number)),
        encodeSteps(runs.map((run) => run.at)),
        encodeSteps(runs.map((run) => run.raw)),
        runs.map((run) => run.stream.shard),
      ],
    });
    return new Map(rows.map((row) => [Number(row.stream_id), row.seen]));
  } catch (error) {
    if ((error as { code?: string }).code === takeTheLongWay) return null;
    throw error;
  }
}

export interface StreamNumbers {
  seen: string;
  lost: string;
}

export interface LockedStream extends StreamNumbers {
  /** Numbers that had not come when readings after them were put away; settled for good. */
  tooLate: string;
}

/** Locks a stream. Callers lock in ascending order of stream id. */
export async function lockStream(tx: Tx, fleetId: number, streamId: number): Promise<LockedStream> {
  const { rows } = await tx.query(
    `select seen::text, lost::text, too_late::text as "tooLate" from liftwright.stream
     where fleet_id = $1 and stream_id = $2 for update`,
    [fleetId, streamId],
  );
  return rows[0];
}

export async function saveStreamNumbers(
  tx: Tx,
  fleetId: number,
  streamId: number,
  numbers: StreamNumbers,
): Promise<void> {
  await tx.query(
    `update liftwright.stream set seen = $3, lost = $4
     where fleet_id = $1 and stream_id = $2`,
    [fleetId, streamId, numbers.seen, numbers.lost],
  );
}

export interface StoredRun {
  firstSeq: number;
  /** When its first reading arrived. */
  receivedAtMs: number;
  /** When each arrived, where they were posted apart and joined later; null: all at once. */
  arrivals: Float64Array | null;
  offsetMs: number;
  at: Float64Array;
  raw: Float64Array;
}

const int4ArrayOid = 1007;

/** Reads int8 and int4[] columns without a BigInt or a list of strings in between. */
const plainIntegers = {
  getTypeParser: (oid: number) => (oid === int4ArrayOid ? decodeIntegers : Number),
};

interface RunColumns {
  first_seq: number;
  received_ms: number;
  offset_ms: number;
  first_at_ms: number;
  first_raw: number;
  at_steps: Float64Array;
  raw_steps: Float64Array;
  received_steps: Float64Array | null;
}

const runColumns = `first_seq, offset_ms, first_at_ms, first_raw, at_steps, raw_steps,
  received_steps, (extract(epoch from received_at) * 1000)::bigint as received_ms`;

const storedRun = (row: RunColumns): StoredRun => ({
  firstSeq: row.first_seq,
  receivedAtMs: row.received_ms,
  arrivals: row.received_steps && fromSteps(row.received_ms, row.received_steps),
  offsetMs: row.offset_ms,
  at: fromSteps(row.first_at_ms, row.at_steps),
  raw: fromSteps(row.first_raw, row.raw_steps),
});

/**
 * At most `limit` runs of a stream with a number after `afterSeq`, in order. Runs of a stream never
 * overlap, so of those that begin at or before it only the last can reach beyond. The number alone
 * says where to go on: runs may be joined between two pages.
 */
export async function runsAfter(
  tx: Tx,
  fleetId: number,
  streamId: number,
  afterSeq: number,
  limit: number,
): Promise<StoredRun[]> {
  const { rows } = await tx.query({
    name: 'runs_after',
    text: `select ${runColumns} from liftwright.reading_run
      where fleet_id = $1 and stream_id = $2 and last_seq > $3 and first_seq >= coalesce(
        (select r.first_seq from liftwright.reading_run r
          where r.fleet_id = $1 and r.stream_id = $2 and r.first_seq <= $3
          order by r.first_seq desc limit 1), 0)
      order by first_seq limit $4`,
    values: [fleetId, streamId, afterSeq, limit],
    types: plainIntegers,
  } as never);
  return (rows as RunColumns[]).map(storedRun);
}

/** Longest run that the table takes; bounds how far before a number its run can start. */
export const runLengthMax = 5_000;

/** At most `limit` stored runs that hold a number from..to of a stream, in order of numbers. */
export async function runsWithin(
  tx: Tx,
  fleetId: number,
  streamId: number,
  from: number,
  to: number,
  limit: number,
): Promise<StoredRun[]> {
  const { rows } = await tx.query({
    name: 'runs_within',
    text: `select ${runColumns} from liftwright.reading_run
      where fleet_id = $1 and stream_id = $2 and first_seq > $3::bigint - $4::bigint
        and first_seq <= $5 and last_seq >= $3
      order by first_seq limit $6`,
    values: [fleetId, streamId, from, runLengthMax, to, limit],
    types: plainIntegers,
  } as never);
  return (rows as RunColumns[]).map(storedRun);
}

export async function insertRun(
  tx: Tx,
  fleetId: number,
  receivedAtMs: number,
  run: StreamRun,
): Promise<void> {
  await tx.query(
    `insert into liftwright.reading_run
       (fleet_id, stream_id, first_seq, last_seq, received_at, offset_ms, first_at_ms, first_raw,
        at_steps, raw_steps)
     values ($1, $2, $3, $4, to_timestamp($5::float8 / 1000), $6, $7, $8, $9, $10)`,
    [
      fleetId,
      run.stream.streamId,
      run.firstSeq,
      run.firstSeq + run.raw.length - 1,
      receivedAtMs,
      run.offsetMs,
      run.at[0],
      run.raw[0],
      encodeSteps([run.at]),
      encodeSteps([run.raw]),
    ],
  );
}

export interface Mark {
  stream: DeclaredStream;
  fromSeq: number;
  toSeq: number;
}

export async function insertLineMark(
  tx: Tx,
  fleetId: number,
  receivedAtMs: number,
  { stream, fromSeq, toSeq }: Mark,
): Promise<void> {
  await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
     values ($1, $2, $3, 'readings', $4, $5, $6, to_timestamp($7::float8 / 1000))`,
    [fleetId, stream.shard, stream.lineId, stream.ordinal, fromSeq, toSeq, receivedAtMs],
  );
}

export interface Conflict {
  seq: number;
  at: number;
  raw: number;
}

/** Keeps conflicting readings; answers how many of them were not known yet. */
export async function insertConflicts(
  tx: Tx,
  fleetId: number,
  streamId: number,
  receivedAtMs: number,
  conflicts: readonly Conflict[],
): Promise<number> {
  const { rowCount } = await tx.query(
    `insert into liftwright.reading_conflict (fleet_id, stream_id, seq, at_ms, raw, received_at)
     select $1, $2, c.seq, c.at_ms, c.raw, to_timestamp($3::float8 / 1000)
     from unnest($4::bigint[], $5::bigint[], $6::bigint[]) as c (seq, at_ms, raw)
     on conflict do nothing`,
    [
      fleetId,
      streamId,
      receivedAtMs,
      encodeInt8Array(conflicts.map((c) => c.seq)),
      encodeInt8Array(conflicts.map((c) => c.at)),
      encodeInt8Array(conflicts.map((c) => c.raw)),
    ],
  );
  return rowCount ?? 0;
}

export async function insertRefusals(
  tx: Tx,
  fleetId: number,
  streamId: number,
  receivedAtMs: number,
  refused: readonly RefusedReading[],
): Promise<void> {
  // Only what is short by itself is kept as it came: a deeply nested value must not harm its post.
  const text = (value: unknown) =>
    typeof value === 'string'
      ? JSON.stringify(value.slice(0, 80)).slice(0, 100)
      : typeof value === 'object' && value !== null
        ? Array.isArray(value)
          ? 'an array'
          : 'an object'
        : String(value).slice(0, 100);
  await tx.query(
    `insert into liftwright.reading_refusal
       (fleet_id, stream_id, seq, verdict, at_text, raw_text, received_at)
     select $1, $2, r.seq, r.verdict, r.at_text, r.raw_text, to_timestamp($3::float8 / 1000)
     from unnest($4::bigint[], $5::text[], $6::text[], $7::text[])
       as r (seq, verdict, at_text, raw_text)
     on conflict do nothing`,
    [
      fleetId,
      streamId,
      receivedAtMs,
      encodeInt8Array(refused.map((r) => r.seq)),
      refused.map((r) => r.verdict),
      refused.map((r) => text(r.at)),
      refused.map((r) => text(r.raw)),
    ],
  );
}

export interface OpenConflict {
  counter: string;
  epoch: number;
  seq: number;
  atMs: number;
  raw: number;
  receivedAtMs: number;
}

/** Conflicting readings of a gateway that wait for a person. */
export async function openConflicts(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  limit: number,
): Promise<OpenConflict[]> {
  const { rows } = await tx.query(
    `select c.name, s.epoch, k.seq, k.at_ms, k.raw,
       (extract(epoch from k.received_at) * 1000)::float8 as received_ms
     from liftwright.counter c
     join liftwright.stream s on s.fleet_id = c.fleet_id and s.counter_id = c.counter_id
     join liftwright.reading_conflict k on k.fleet_id = s.fleet_id and k.stream_id = s.stream_id
     where c.fleet_id = $1 and c.gateway_id = $2 and k.decision is null
     order by k.received_at, k.seq limit $3`,
    [fleetId, gatewayId, limit],
  );
  return rows.map((row) => ({
    counter: row.name,
    epoch: row.epoch,
    seq: Number(row.seq),
    atMs: Number(row.at_ms),
    raw: Number(row.raw),
    receivedAtMs: row.received_ms,
  }));
}
