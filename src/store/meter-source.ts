import { and, asc, desc, eq, isNull, sql } from 'drizzle-orm';
import { meterSource, meterSourceChoice } from '../../db/schema/index.ts';
import type { Cause } from '../domain/events/cause.ts';
import { builder, type Tx } from './tx.ts';

export type MeterSourceRow = typeof meterSource.$inferSelect;

export async function sourcesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<MeterSourceRow[]> {
  return builder(tx)
    .select()
    .from(meterSource)
    .where(
      and(
        eq(meterSource.fleetId, fleetId),
        sql`${meterSource.assetId} = any (${sql.param([...assetIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(sql`lower(${meterSource.during})`));
}

export async function replaceSources(
  tx: Tx,
  fleetId: number,
  assetId: string,
  rows: readonly MeterSourceRow[],
): Promise<void> {
  await builder(tx)
    .delete(meterSource)
    .where(and(eq(meterSource.fleetId, fleetId), eq(meterSource.assetId, assetId)));
  if (rows.length > 0)
    await builder(tx)
      .insert(meterSource)
      .values([...rows]);
}

export type SourceChoiceRow = typeof meterSourceChoice.$inferSelect;

/** What people chose for the meters of assets and did not take back, in the order of choosing. */
export async function choicesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<SourceChoiceRow[]> {
  return builder(tx)
    .select()
    .from(meterSourceChoice)
    .where(
      and(
        eq(meterSourceChoice.fleetId, fleetId),
        isNull(meterSourceChoice.voidedAtMs),
        sql`${meterSourceChoice.assetId} = any (${sql.param([...assetIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(meterSourceChoice.choiceId));
}

export async function insertChoice(tx: Tx, row: SourceChoiceRow): Promise<void> {
  await builder(tx).insert(meterSourceChoice).values(row);
}

/** What people chose for the meters of an asset, taken back or not, the newest of them. */
export async function listChoices(
  tx: Tx,
  fleetId: number,
  assetId: string,
  limit: number,
): Promise<SourceChoiceRow[]> {
  return builder(tx)
    .select()
    .from(meterSourceChoice)
    .where(and(eq(meterSourceChoice.fleetId, fleetId), eq(meterSourceChoice.assetId, assetId)))
    .orderBy(desc(meterSourceChoice.choiceId))
    .limit(limit);
}

export async function findChoice(
  tx: Tx,
  fleetId: number,
  choiceId: string,
): Promise<SourceChoiceRow | null> {
  const rows = await builder(tx)
    .select()
    .from(meterSourceChoice)
    .where(and(eq(meterSourceChoice.fleetId, fleetId), eq(meterSourceChoice.choiceId, choiceId)));
  return rows[0] ?? null;
}

export async function voidChoice(
  tx: Tx,
  fleetId: number,
  choiceId: string,
  voiding: Pick<SourceChoiceRow, 'voidReason' | 'voidedBy' | 'voidedAtMs' | 'voidedName'>,
): Promise<void> {
  await builder(tx)
    .update(meterSourceChoice)
    .set(voiding)
    .where(and(eq(meterSourceChoice.fleetId, fleetId), eq(meterSourceChoice.choiceId, choiceId)));
}

/**
 * Marks lines to be folded anew, each from the first segment that reaches `fromMs` on; answers
 * their shards. Times of a line do not fall, so what lies before has nothing to do with it. The
 * head is always folded anew: its last use may be provisional and reach beyond its own time.
 */
export async function markLinesFrom(
  tx: Tx,
  fleetId: number,
  lines: readonly { lineId: number; fromMs: number }[],
  atMs: number,
  causes: readonly Cause[],
): Promise<number[]> {
  if (lines.length === 0) return [];
  const { rows } = await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at, causes)
     select l.fleet_id, l.shard, l.line_id, 'whole', coalesce(s.start_ordinal, 0),
       coalesce(s.start_seq, 0), 0, to_timestamp($4::float8 / 1000), $5
     from unnest($2::bigint[], $3::bigint[]) as w (line_id, from_ms)
     join liftwright.fold_line l on l.fleet_id = $1 and l.line_id = w.line_id
     left join lateral (
       select f.start_ordinal, f.start_seq from liftwright.fold_segment f
       where f.fleet_id = l.fleet_id and f.line_id = l.line_id
       order by (f.state ->> 'atMs')::bigint >= w.from_ms desc,
         case when (f.state ->> 'atMs')::bigint >= w.from_ms then f.start_ordinal end,
         case when (f.state ->> 'atMs')::bigint >= w.from_ms then f.start_seq end,
         f.start_ordinal desc, f.start_seq desc
       limit 1) s on true
     returning shard`,
    [
      fleetId,
      lines.map((line) => line.lineId),
      lines.map((line) => line.fromMs),
      atMs,
      JSON.stringify(causes),
    ],
  );
  return [...new Set(rows.map((row) => row.shard as number))];
}

/** Marks lines to be folded anew from their beginning; answers their shards. */
export async function markWholeLines(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
  atMs: number,
): Promise<number[]> {
  if (lineIds.length === 0) return [];
  const { rows } = await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
     select l.fleet_id, l.shard, l.line_id, 'whole', 0, 0, 0, to_timestamp($3::float8 / 1000)
     from liftwright.fold_line l where l.fleet_id = $1 and l.line_id = any ($2::bigint[])
     returning shard`,
    [fleetId, [...lineIds], atMs],
  );
  return [...new Set(rows.map((row) => row.shard as number))];
}

export interface LineContact {
  meter: string;
  lastAtMs: number | null;
  lastPostAtMs: number | null;
  habitMs: number;
  /**
   * After the last accepted reading came others that do not count: refused, set aside,
   * disputed.
   */
  inDoubt: boolean;
  /** Read off a dial by people. */
  byHand: boolean;
}

/** Of the lines of some assets; `whose` says of which, by the alias m. */
const contactSql = (whose: string) => `
  select distinct on (m.asset_id, m.meter) m.asset_id, m.meter,
    (extract(epoch from p.last_at) * 1000)::float8 as last_ms,
    (extract(epoch from g.last_post_at) * 1000)::float8 as post_ms, g.habit_ms,
    exists (select from liftwright.hand_line h
      where h.fleet_id = m.fleet_id and h.line_id = m.line_id) as by_hand,
    coalesce(p.in_doubt, false) or exists (
      select from liftwright.stream s
      join liftwright.reading_conflict k
        on k.fleet_id = s.fleet_id and k.stream_id = s.stream_id
      where s.fleet_id = m.fleet_id and s.line_id = m.line_id and k.decision is null
        and k.at_ms >= extract(epoch from p.last_at) * 1000
    ) or exists (
      select from liftwright.stream s
      join liftwright.reading_refusal r
        on r.fleet_id = s.fleet_id and r.stream_id = s.stream_id
      where s.fleet_id = m.fleet_id and s.line_id = m.line_id and r.received_at > p.last_at
        -- Of long ago: it hides no use that counts now.
        and r.verdict <> 'too_late'
    ) as in_doubt
  from liftwright.meter_source m
  left join liftwright.line_progress p on p.fleet_id = m.fleet_id and p.line_id = m.line_id
  -- Found from the line on, step by step: without statistics, as after a large import, these
  -- were joined the other way round, over every counter of the fleet.
  left join lateral (
    select h.last_post_at, h.habit_ms
    from liftwright.counter c
    left join lateral (select k.last_post_at, k.habit_ms from liftwright.gateway_contact k
      where k.fleet_id = $1 and k.gateway_id = c.gateway_id offset 0) h on true
    where c.fleet_id = $1 and c.line_id = m.line_id
      and exists (select from liftwright.install gi
        join liftwright.install ai on ai.fleet_id = gi.fleet_id and ai.unit_id = gi.unit_id
        where gi.fleet_id = $1 and gi.gateway_id = c.gateway_id
          and gi.during @> to_timestamp($3::float8 / 1000)
          and ai.asset_id = m.asset_id and ai.during @> to_timestamp($3::float8 / 1000) offset 0)
    order by h.last_post_at desc nulls last limit 1) g on true
  where m.fleet_id = $1 and ${whose}
    and m.during @> to_timestamp($3::float8 / 1000)
  order by m.asset_id, m.meter, g.last_post_at desc nulls last`;

// biome-ignore lint/suspicious/noExplicitAny: rows of the statement above
const toContact = (row: any): LineContact => ({
  meter: row.meter,
  lastAtMs: row.last_ms,
  lastPostAtMs: row.post_ms,
  habitMs: Number(row.habit_ms ?? 0),
  inDoubt: row.in_doubt,
  byHand: row.by_hand,
});

/**
 * The lines that count for an asset's meters at an instant, with the latest contact of a gateway
 * that brings them. Only a gateway on the unit of the asset speaks for it: one that brought a
 * controller's line before and is on another truck now says nothing of this one.
 */
export async function linesWithContact(
  tx: Tx,
  fleetId: number,
  assetId: string,
  atMs: number,
): Promise<LineContact[]> {
  const { rows } = await tx.query({
    name: 'lines_with_contact',
    text: contactSql('m.asset_id = $2'),
    values: [fleetId, assetId, atMs],
  });
  return rows.map(toContact);
}

/** The same for many assets at once, by asset. */
export async function linesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  atMs: number,
): Promise<Map<string, LineContact[]>> {
  const { rows } = await tx.query({
    name: 'lines_of_assets',
    text: contactSql('m.asset_id = any ($2::uuid[])'),
    values: [fleetId, [...assetIds], atMs],
  });
  const found = new Map<string, LineContact[]>();
  for (const row of rows) {
    found.set(row.asset_id, [...(found.get(row.asset_id) ?? []), toContact(row)]);
  }
  return found;
}

/** When the last accepted readings of lines were read. */
export async function lastReadings(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
): Promise<Map<number, number>> {
  const { rows } = await tx.query(
    `select line_id, (extract(epoch from last_at) * 1000)::float8 as last_ms
     from liftwright.line_progress
     where fleet_id = $1 and line_id = any ($2::bigint[]) and last_at is not null`,
    [fleetId, [...lineIds]],
  );
  return new Map(rows.map((row) => [Number(row.line_id), row.last_ms]));
}
