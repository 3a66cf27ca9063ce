import type { Contact } from './reading.ts';
import type { Tx } from './tx.ts';

/** How a gateway stood before a post. */
export interface EarlierContact {
  lastPostAtMs: number | null;
  habitMs: number;
}

/**
 * Notes a post: when, the gateway's habit of posting, what its clock said. Answers what was known
 * before it.
 */
export async function noteContact(tx: Tx, contact: Contact): Promise<EarlierContact> {
  const { rows } = await tx.query(
    `with before as (
       select last_post_at, habit_ms from liftwright.gateway_contact
       where fleet_id = $1 and gateway_id = $2 for update)
     insert into liftwright.gateway_contact as c
       (fleet_id, gateway_id, last_post_at, habit_ms, device_offset_ms)
     values ($1, $2, to_timestamp($3::float8 / 1000), 0, $4)
     on conflict (fleet_id, gateway_id) do update
       set last_post_at = greatest(c.last_post_at, excluded.last_post_at),
           habit_ms = liftwright.next_habit_ms(c.habit_ms, c.last_post_at, excluded.last_post_at),
           device_offset_ms = coalesce(excluded.device_offset_ms, c.device_offset_ms)
     returning
       (select (extract(epoch from b.last_post_at) * 1000)::float8 from before b) as last_ms,
       (select b.habit_ms from before b) as habit_ms`,
    [contact.fleetId, contact.gatewayId, contact.receivedAtMs, contact.deviceOffsetMs],
  );
  return { lastPostAtMs: rows[0].last_ms, habitMs: Number(rows[0].habit_ms ?? 0) };
}

/**
 * Marks every line of a gateway at its end, so that the units it counts for are looked at again
 * although there is no new reading. Answers the shards of the lines.
 */
export async function markHeardLines(tx: Tx, contact: Contact): Promise<number[]> {
  // The batcher may write marks but not read them, so nothing is asked of the insert itself.
  const { rows } = await tx.query(
    `with heard as (
       select distinct on (l.line_id) l.shard, l.line_id, s.ordinal,
         coalesce(upper(s.seen) - 1, 0) as seq
       from liftwright.counter c
       join liftwright.fold_line l on l.fleet_id = c.fleet_id and l.line_id = c.line_id
       join liftwright.stream s on s.fleet_id = c.fleet_id and s.line_id = c.line_id
       where c.fleet_id = $1 and c.gateway_id = $2
       order by l.line_id, s.ordinal desc),
     marked as (
       insert into liftwright.line_mark
         (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
       select $1, h.shard, h.line_id, 'readings', h.ordinal, h.seq, h.seq,
         to_timestamp($3::float8 / 1000)
       from heard h)
     select distinct shard from heard`,
    [contact.fleetId, contact.gatewayId, contact.receivedAtMs],
  );
  return rows.map((row) => row.shard);
}

/** The last recorded fact about a gateway's clock, or null. */
export async function lastClockFact(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<number | null> {
  const { rows } = await tx.query(
    `select offset_ms from liftwright.gateway_clock
     where fleet_id = $1 and gateway_id = $2 order by seen_at desc limit 1`,
    [fleetId, gatewayId],
  );
  return rows[0] ? Number(rows[0].offset_ms) : null;
}

/** Records that the clock was proven to be `offsetMs` fast (0: right again) at `seenAtMs`. */
export async function insertClockFact(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  seenAtMs: number,
  offsetMs: number,
): Promise<void> {
  await tx.query(
    `insert into liftwright.gateway_clock (fleet_id, gateway_id, seen_at, offset_ms)
     values ($1, $2, to_timestamp($3::float8 / 1000), $4) on conflict do nothing`,
    [fleetId, gatewayId, seenAtMs, offsetMs],
  );
}
