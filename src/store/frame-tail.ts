import type { EngagementState } from '../domain/usage/engagement.ts';
import type { FrameTail } from '../domain/usage/frame-readings.ts';
import { type NumberSet, printMultirange } from '../domain/usage/number-set.ts';
import type { DeclaredStream } from './reading.ts';
import type { Tx } from './tx.ts';

/** A stream that is fed from frames, with where the server stands in it. */
export interface FrameStream extends DeclaredStream {
  basis: string;
  resolutionGrains: number;
  minMsPerTick: number;
  openedAtMs: number;
  /** It counts for an asset now. */
  counts: boolean;
  /** Multirange of its numbers: one range, from the lowest to the highest. */
  seen: string;
  /** Multirange of the times, in ms, that were told of or are put away. */
  settled: string;
  /** The control unit that it listens to, once one was heard. */
  source: number | null;
  tail: FrameTail | null;
  engagement: EngagementState | null;
}

const numberOrNull = (value: string | null): number | null =>
  value === null ? null : Number(value);

/**
 * Locks a gateway's streams that are fed from frames, in ascending order of stream id. They are
 * read after all are locked: a row that is only joined to what a statement locks is as old as the
 * statement.
 */
export async function lockFrameStreams(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  nowMs: number,
): Promise<FrameStream[]> {
  const locked = await tx.query({
    name: 'lock_frame_streams',
    text: `select s.stream_id
      from liftwright.counter c
      join liftwright.fold_line l on l.fleet_id = c.fleet_id and l.line_id = c.line_id
      join liftwright.stream s on s.fleet_id = c.fleet_id and s.counter_id = c.counter_id
      where c.fleet_id = $1 and c.gateway_id = $2 and l.basis ~ '^(derived_)?j1939_'
      order by s.stream_id for no key update of s`,
    values: [fleetId, gatewayId],
  });
  if (locked.rows.length === 0) return [];
  const { rows } = await tx.query({
    name: 'frame_streams',
    text: `select s.stream_id, c.name, s.epoch, l.width_bits, s.line_id, s.ordinal, l.shard,
        l.basis, l.resolution_grains, l.min_ms_per_tick, s.seen::text,
        (extract(epoch from s.opened_at) * 1000)::float8 as opened_ms,
        t.source, t.seq, t.at_ms, t.raw, t.until_ms, t.sampled_ms, t.engaged, t.total_ms,
        (coalesce(t.settled, '{}') + case when s.cut_seq is null then '{}'
          -- A number is never above its time: what is not later is put away.
          else int8multirange(int8range(0, s.cut_seq, '[]')) end)::text as settled,
        exists (select 1 from liftwright.meter_source m
          where m.fleet_id = s.fleet_id and m.line_id = s.line_id
            and m.during @> to_timestamp($3::float8 / 1000)) as counts
      from liftwright.stream s
      join liftwright.counter c on c.fleet_id = s.fleet_id and c.counter_id = s.counter_id
      join liftwright.fold_line l on l.fleet_id = s.fleet_id and l.line_id = s.line_id
      left join liftwright.frame_tail t on t.fleet_id = s.fleet_id and t.stream_id = s.stream_id
      where s.fleet_id = $1 and s.stream_id = any ($2::bigint[])
      order by s.stream_id`,
    values: [fleetId, locked.rows.map((row) => row.stream_id), nowMs],
  });
  return rows.map((row) => {
    const sampledMs = numberOrNull(row.sampled_ms);
    const { engaged } = row;
    return {
      streamId: Number(row.stream_id),
      counter: row.name,
      epoch: row.epoch,
      widthBits: row.width_bits,
      lineId: Number(row.line_id),
      ordinal: row.ordinal,
      shard: row.shard,
      basis: row.basis,
      resolutionGrains: row.resolution_grains,
      minMsPerTick: Number(row.min_ms_per_tick),
      openedAtMs: row.opened_ms,
      counts: row.counts,
      seen: row.seen,
      settled: row.settled,
      source: row.source,
      tail:
        row.at_ms === null
          ? null
          : {
              seq: Number(row.seq),
              atMs: Number(row.at_ms),
              raw: Number(row.raw),
              untilMs: Number(row.until_ms),
            },
      engagement: sampledMs === null ? null : { sampledMs, engaged, totalMs: Number(row.total_ms) },
    };
  });
}

/** Where the server stands in a stream. */
export interface FrameStanding {
  tail: FrameTail;
  settled: NumberSet;
  engagement: EngagementState | null;
}

/** Keeps where the server stands in a stream. */
export async function saveFrameTail(
  tx: Tx,
  fleetId: number,
  streamId: number,
  source: number,
  { tail, settled, engagement }: FrameStanding,
): Promise<void> {
  await tx.query({
    name: 'save_frame_tail',
    text: `insert into liftwright.frame_tail
        (fleet_id, stream_id, source, seq, at_ms, raw, until_ms, settled, sampled_ms, engaged,
          total_ms)
      values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
      on conflict (fleet_id, stream_id) do update set seq = excluded.seq,
        at_ms = excluded.at_ms, raw = excluded.raw, until_ms = excluded.until_ms,
        settled = excluded.settled, sampled_ms = excluded.sampled_ms,
        engaged = excluded.engaged, total_ms = excluded.total_ms`,
    values: [
      fleetId,
      streamId,
      source,
      tail.seq,
      tail.atMs,
      tail.raw,
      tail.untilMs,
      printMultirange(settled),
      engagement?.sampledMs ?? null,
      engagement?.engaged ?? null,
      engagement?.totalMs ?? null,
    ],
  });
}
