import { type NumberSet, parseMultirange } from '../domain/usage/number-set.ts';
import type { SwitchSuspect } from '../domain/usage/switch-suspect.ts';
import type { StreamRow } from './counter.ts';
import type { Tx } from './tx.ts';
import { jumpsWaiting } from './undecided.ts';

/** A gateway with all that is known of it besides its streams. */
export interface GatewayStanding {
  gatewayId: string;
  serial: string;
  createdAtMs: number;
  lastPostAtMs: number | null;
  habitMs: number;
  /** Counters that were told to stand still while the unit works. */
  suspects: SwitchSuspect[];
  /** Device clock minus ours at the last post that said so. */
  deviceOffsetMs: number | null;
  /** Facts about its clock, newest first: proven to be so fast, or right again (0). */
  clockFacts: { seenAtMs: number; offsetMs: number }[];
  unit: { unitId: string; number: string; sinceMs: number; timeZone: string | null } | null;
}

const clockFactsShown = 20;

/** How a gateway stands at an instant; null when there is none. */
export async function gatewayStanding(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  atMs: number,
): Promise<GatewayStanding | null> {
  const { rows } = await tx.query({
    name: 'gateway_standing',
    text: `select g.serial, (extract(epoch from g.created_at) * 1000)::float8 as created_ms,
        (extract(epoch from c.last_post_at) * 1000)::float8 as post_ms,
        coalesce(h.suspects, '[]') as suspects,
        coalesce(c.habit_ms, 0)::float8 as habit_ms, c.device_offset_ms::float8 as offset_ms,
        (select coalesce(json_agg(json_build_array(extract(epoch from k.seen_at) * 1000,
            k.offset_ms) order by k.seen_at desc), '[]') from (
          select * from liftwright.gateway_clock t
          where t.fleet_id = g.fleet_id and t.gateway_id = g.gateway_id
          order by t.seen_at desc limit $4) k) as clock_facts,
        (select json_build_array(u.unit_id, u.number, extract(epoch from lower(i.during)) * 1000, (
            select y.time_zone from liftwright.unit_yard h
            join liftwright.yard y on y.fleet_id = h.fleet_id and y.yard_id = h.yard_id
            where h.fleet_id = i.fleet_id and h.unit_id = i.unit_id and h.role = 'home'
              and h.during @> to_timestamp($3::float8 / 1000)))
          from liftwright.install i
          join liftwright.unit u on u.fleet_id = i.fleet_id and u.unit_id = i.unit_id
          where i.fleet_id = g.fleet_id and i.gateway_id = g.gateway_id
            and i.during @> to_timestamp($3::float8 / 1000)) as unit
      from liftwright.gateway g
      left join liftwright.gateway_contact c
        on c.fleet_id = g.fleet_id and c.gateway_id = g.gateway_id
      left join liftwright.gateway_health h
        on h.fleet_id = g.fleet_id and h.gateway_id = g.gateway_id
      where g.fleet_id = $1 and g.gateway_id = $2`,
    values: [fleetId, gatewayId, atMs, clockFactsShown],
  });
  const row = rows[0];
  if (!row) return null;
  return {
    gatewayId,
    serial: row.serial,
    createdAtMs: row.created_ms,
    lastPostAtMs: row.post_ms,
    habitMs: row.habit_ms,
    suspects: row.suspects,
    deviceOffsetMs: row.offset_ms,
    clockFacts: row.clock_facts.map(([seenAtMs, offsetMs]: [number, number]) => ({
      seenAtMs,
      offsetMs,
    })),
    unit: row.unit && {
      unitId: row.unit[0],
      number: row.unit[1],
      sinceMs: row.unit[2],
      timeZone: row.unit[3],
    },
  };
}

export interface StreamHealth {
  counter: string;
  epoch: number;
  cause: StreamRow['cause'];
  openedAtMs: number;
  seen: NumberSet;
  lost: NumberSet;
  /** Numbers with two values that wait for a person; `countedMax` stands for that or more. */
  conflicts: number;
  /** Readings refused for good; `countedMax` stands for that or more. */
  refused: number;
  lastRefusedAtMs: number | null;
}

/** Nothing is counted further than this: whoever has so many has seen enough. */
export const countedMax = 1_000;

/** The newest `epochsMost` streams of each of a gateway's counters, by counter and epoch. */
export async function streamsHealth(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  epochsMost: number,
): Promise<StreamHealth[]> {
  const { rows } = await tx.query({
    name: 'streams_health',
    text: `select c.name, s.epoch, s.cause, s.seen::text, s.lost::text,
        (extract(epoch from s.opened_at) * 1000)::float8 as opened_ms,
        (select count(*)::int from (select distinct k.seq from liftwright.reading_conflict k
          where k.fleet_id = s.fleet_id and k.stream_id = s.stream_id and k.decision is null
          limit $4) q) as conflicts,
        (select json_build_array(count(*), extract(epoch from max(received_at)) * 1000) from (
          select received_at from liftwright.reading_refusal r
          where r.fleet_id = s.fleet_id and r.stream_id = s.stream_id
          order by r.seq desc limit $4) q) as refused
      from liftwright.counter c
      join lateral (select * from liftwright.stream t
        where t.fleet_id = c.fleet_id and t.counter_id = c.counter_id
        order by t.epoch desc limit $3) s on true
      where c.fleet_id = $1 and c.gateway_id = $2
      order by c.counter_id, s.epoch`,
    values: [fleetId, gatewayId, epochsMost, countedMax],
  });
  return rows.map((row) => ({
    counter: row.name,
    epoch: row.epoch,
    cause: row.cause,
    openedAtMs: row.opened_ms,
    seen: parseMultirange(row.seen),
    lost: parseMultirange(row.lost),
    conflicts: row.conflicts,
    refused: row.refused[0],
    lastRefusedAtMs: row.refused[1],
  }));
}

export interface CounterHealth {
  counter: string;
  meter: string;
  lineId: number;
  epochs: number;
  /** The last accepted reading, as far as it is folded. */
  lastReadingAtMs: number | null;
  /** Jumps that nobody has decided on; `countedMax` stands for that or more. */
  setAside: number;
  /** What is not folded yet, by delivery or correction; `countedMax` stands for that or more. */
  waiting: number;
  waitingSinceMs: number | null;
}

/** What became of the readings of each of a gateway's counters. */
export async function countersHealth(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<CounterHealth[]> {
  const { rows } = await tx.query({
    name: 'counters_health',
    text: `select c.name, l.meter, l.line_id::float8,
        (select count(*)::int from liftwright.stream s
          where s.fleet_id = c.fleet_id and s.counter_id = c.counter_id) as epochs,
        (select (extract(epoch from p.last_at) * 1000)::float8 from liftwright.line_progress p
          where p.fleet_id = c.fleet_id and p.line_id = c.line_id) as last_ms,
        (select count(*)::int from (${jumpsWaiting} limit $3) q) as set_aside,
        (select json_build_array(count(*), extract(epoch from min(received_at)) * 1000) from (
          select received_at from liftwright.line_mark m
          where m.shard = l.shard and m.fleet_id = l.fleet_id and m.line_id = l.line_id
          order by m.mark_id limit $3) q) as waiting
      from liftwright.counter c
      join liftwright.fold_line l on l.fleet_id = c.fleet_id and l.line_id = c.line_id
      where c.fleet_id = $1 and c.gateway_id = $2
      order by c.counter_id`,
    values: [fleetId, gatewayId, countedMax],
  });
  return rows.map((row) => ({
    counter: row.name,
    meter: row.meter,
    lineId: row.line_id,
    epochs: row.epochs,
    lastReadingAtMs: row.last_ms,
    setAside: row.set_aside,
    waiting: row.waiting[0],
    waitingSinceMs: row.waiting[1],
  }));
}
