import { and, asc, eq, gt, isNull } from 'drizzle-orm';
import { handLine, handReading } from '../../db/schema/index.ts';
import type { Cause } from '../domain/events/cause.ts';
import type { DialReading } from '../domain/usage/hand-reading.ts';
import { builder, type Tx } from './tx.ts';

export type HandReadingRow = typeof handReading.$inferSelect;
export type HandLineRow = typeof handLine.$inferSelect;

export async function findHandLine(
  tx: Tx,
  fleetId: number,
  assetId: string,
  meter: string,
): Promise<HandLineRow | null> {
  const rows = await builder(tx)
    .select()
    .from(handLine)
    .where(
      and(eq(handLine.fleetId, fleetId), eq(handLine.assetId, assetId), eq(handLine.meter, meter)),
    );
  return rows[0] ?? null;
}

export async function insertHandLine(tx: Tx, row: HandLineRow): Promise<void> {
  await builder(tx).insert(handLine).values(row);
}

export async function insertHandReading(tx: Tx, row: HandReadingRow): Promise<void> {
  await builder(tx).insert(handReading).values(row);
}

export async function findHandReading(
  tx: Tx,
  fleetId: number,
  readingId: string,
): Promise<HandReadingRow | null> {
  const rows = await builder(tx)
    .select()
    .from(handReading)
    .where(and(eq(handReading.fleetId, fleetId), eq(handReading.readingId, readingId)));
  return rows[0] ?? null;
}

/** The reading that stands at just this moment. */
export async function handReadingAt(
  tx: Tx,
  fleetId: number,
  lineId: number,
  atMs: number,
): Promise<HandReadingRow | null> {
  const rows = await builder(tx)
    .select()
    .from(handReading)
    .where(
      and(
        eq(handReading.fleetId, fleetId),
        eq(handReading.lineId, lineId),
        eq(handReading.atMs, atMs),
        isNull(handReading.voidedAtMs),
      ),
    );
  return rows[0] ?? null;
}

export async function voidHandReading(
  tx: Tx,
  fleetId: number,
  readingId: string,
  voiding: Pick<HandReadingRow, 'voidReason' | 'voidedBy' | 'voidedAtMs'>,
): Promise<void> {
  await builder(tx)
    .update(handReading)
    .set(voiding)
    .where(and(eq(handReading.fleetId, fleetId), eq(handReading.readingId, readingId)));
}

/** Readings of an asset, voided ones too, in the order of recording. */
export async function listHandReadings(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; meter?: string | undefined },
  after: [readingId: string] | null,
  limit: number,
): Promise<HandReadingRow[]> {
  return builder(tx)
    .select()
    .from(handReading)
    .where(
      and(
        eq(handReading.fleetId, fleetId),
        eq(handReading.assetId, filter.assetId),
        filter.meter === undefined ? undefined : eq(handReading.meter, filter.meter),
        after ? gt(handReading.readingId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(handReading.readingId))
    .limit(limit);
}

/**
 * What dials showed, by asset $2 and meter $3: what was read and stands, and the starting value
 * unless it was read at that very moment.
 */
const dialSql = `
  select r.at, r.grains, r.resolution_grains, r.meter_replaced, r.recorded_at
  from liftwright.hand_reading r
  where r.fleet_id = $1 and r.asset_id = $2 and r.meter = $3 and r.voided_at is null
  union all
  select s.at, s.grains, 1, false, s.recorded_at from liftwright.meter_start s
  where s.fleet_id = $1 and s.asset_id = $2 and s.meter = $3
    and not exists (select from liftwright.hand_reading r
      where r.fleet_id = $1 and r.asset_id = $2 and r.meter = $3 and r.voided_at is null
        and r.at = s.at)`;

/** What the dial showed right before, at and right after a moment. */
export async function dialAround(
  tx: Tx,
  fleetId: number,
  { assetId, meter }: { assetId: string; meter: string },
  atMs: number,
): Promise<{ before: DialReading | null; at: DialReading | null; after: DialReading | null }> {
  const { rows } = await tx.query({
    name: 'dial_around',
    text: `with dial as (
        select (extract(epoch from d.at) * 1000)::bigint as at_ms, d.* from (${dialSql}) d)
      (select 'before' as place, * from dial where at_ms < $4 order by at_ms desc limit 1)
      union all
      (select 'at', * from dial where at_ms = $4 limit 1)
      union all
      (select 'after', * from dial where at_ms > $4 order by at_ms limit 1)`,
    values: [fleetId, assetId, meter, atMs],
  });
  const pick = (place: string): DialReading | null => {
    const row = rows.find((each) => each.place === place);
    return row
      ? {
          atMs: Number(row.at_ms),
          grains: Number(row.grains),
          stepGrains: row.resolution_grains,
          replaced: row.meter_replaced,
        }
      : null;
  };
  return { before: pick('before'), at: pick('at'), after: pick('after') };
}

/** The first reading of each dial that an asset's meter had, in order of time. */
export async function dialStarts(
  tx: Tx,
  fleetId: number,
  { assetId, meter }: { assetId: string; meter: string },
): Promise<{ atMs: number; grains: number }[]> {
  const { rows } = await tx.query({
    name: 'dial_starts',
    text: `select (extract(epoch from at) * 1000)::bigint as at_ms, grains from (
        select d.*, row_number() over (order by at) as n from (${dialSql}) d) d
      where n = 1 or meter_replaced order by at`,
    values: [fleetId, assetId, meter],
  });
  return rows.map((row) => ({ atMs: Number(row.at_ms), grains: Number(row.grains) }));
}

export interface LineReading {
  atMs: number;
  grains: number;
  /** How many dials there were before the one that was read. */
  ordinal: number;
  recordedAtMs: number;
}

/** The readings of a line after a moment (in ms), in order of time. */
export async function dialReadingsAfter(
  tx: Tx,
  fleetId: number,
  lineId: number,
  afterMs: number,
  limit: number,
): Promise<LineReading[]> {
  const { rows: lines } = await tx.query({
    name: 'hand_line_of',
    text: `select asset_id, meter from liftwright.hand_line where fleet_id = $1 and line_id = $2`,
    values: [fleetId, lineId],
  });
  if (!lines[0]) return [];
  const { rows } = await tx.query({
    name: 'dial_readings_after',
    text: `select * from (
        select (extract(epoch from at) * 1000)::bigint as at_ms, grains,
          (extract(epoch from recorded_at) * 1000)::bigint as recorded_ms,
          (count(*) filter (where meter_replaced) over (order by at))::int as ordinal
        from (${dialSql}) d
        -- A starting value alone is no reading.
        where exists (select from liftwright.hand_reading r where r.fleet_id = $1
          and r.asset_id = $2 and r.meter = $3 and r.voided_at is null)) o
      where at_ms > $4 order by at_ms limit $5`,
    values: [fleetId, lines[0].asset_id, lines[0].meter, afterMs, limit],
  });
  return rows.map((row) => ({
    atMs: Number(row.at_ms),
    grains: Number(row.grains),
    ordinal: row.ordinal,
    recordedAtMs: Number(row.recorded_ms),
  }));
}

export interface ReadLine extends HandLineRow {
  /** When it was first known what the dial showed. */
  fromMs: number;
}

/** The lines of assets on which there is a reading that stands. */
export async function readLinesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<ReadLine[]> {
  if (assetIds.length === 0) return [];
  const { rows } = await tx.query(
    `select h.asset_id, h.meter, h.line_id, (extract(epoch from least(min(r.at), (
        select s.at from liftwright.meter_start s where s.fleet_id = h.fleet_id
          and s.asset_id = h.asset_id and s.meter = h.meter))) * 1000)::float8 as from_ms
     from liftwright.hand_line h
     join liftwright.hand_reading r on r.fleet_id = h.fleet_id and r.line_id = h.line_id
       and r.voided_at is null
     where h.fleet_id = $1 and h.asset_id = any ($2::uuid[])
     group by h.fleet_id, h.asset_id, h.meter, h.line_id order by h.line_id`,
    [fleetId, [...assetIds]],
  );
  return rows.map((row) => ({
    fleetId,
    assetId: row.asset_id,
    meter: row.meter,
    lineId: Number(row.line_id),
    fromMs: row.from_ms,
  }));
}

/**
 * Marks a line of readings by hand to be folded anew from a moment on; answers its shard. Where
 * that is follows from the readings alone: what is folded already may just be changing.
 */
export async function markHandLine(
  tx: Tx,
  fleetId: number,
  lineId: number,
  fromMs: number,
  nowMs: number,
  causes: readonly Cause[],
): Promise<number[]> {
  const { rows } = await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at, causes)
     select l.fleet_id, l.shard, l.line_id, 'whole',
       (select count(*) from liftwright.hand_reading r
         where r.fleet_id = l.fleet_id and r.line_id = l.line_id and r.voided_at is null
           and r.meter_replaced and r.at < to_timestamp($3::float8 / 1000)),
       $3, 0, to_timestamp($4::float8 / 1000), $5
     from liftwright.fold_line l where l.fleet_id = $1 and l.line_id = $2
     returning shard`,
    [fleetId, lineId, fromMs, nowMs, JSON.stringify(causes)],
  );
  return rows.map((row) => row.shard as number);
}
