import type { Cause } from '../domain/events/cause.ts';
import type { Share } from '../domain/usage/segment.ts';
import type { MeterSource } from '../domain/usage/split.ts';
import {
  decidedSql,
  type LineDecision,
  type LineStream,
  streamsSql,
  toDecided,
  toStreams,
} from './line-streams.ts';
import type { Tx } from './tx.ts';

/**
 * The statements that run for every post that is folded. Each is prepared by name and brings or
 * writes as much as one round trip can: folding a post cost twenty-one of them before, and the
 * round trips were most of its cost.
 */

export interface WorkLine {
  fleetId: number;
  lineId: number;
  shard: number;
  meter: string;
  resolutionGrains: number;
  widthBits: number;
  minMsPerTick: number;
  controller: string | null;
  /** Read off a dial by people, not counted by a device. */
  byHand: boolean;
}

const lineColumns = `l.shard, l.meter, l.resolution_grains, l.width_bits, l.min_ms_per_tick,
  l.controller, exists (select from liftwright.hand_line h
    where h.fleet_id = l.fleet_id and h.line_id = l.line_id) as by_hand`;

/** Takes a line for this transaction; null when another worker has it, or it is gone. */
export async function takeLine(tx: Tx, fleetId: number, lineId: number): Promise<WorkLine | null> {
  const { rows } = await tx.query({
    name: 'take_line',
    text: `select ${lineColumns} from liftwright.fold_line l
      where l.fleet_id = $1 and l.line_id = $2 for no key update of l skip locked`,
    values: [fleetId, lineId],
  });
  return rows[0] ? toLine(fleetId, lineId, rows[0]) : null;
}

/**
 * Number of the lock between who looks up a line's use and keeps the answer, and the fold that
 * drops such answers: without it an answer made from the readings of before could be kept just
 * after the fold dropped what it saw, and would stay wrong. It is held until the end of the
 * transaction.
 */
const useLock = `hashtextextended('use of line ' || $1::int || '/' || $2::bigint, 0)`;

/**
 * A line whose use is looked up: not taken, but not folded to the end before this transaction ends.
 */
export async function findLine(tx: Tx, fleetId: number, lineId: number): Promise<WorkLine | null> {
  const { rows } = await tx.query({
    name: 'find_line',
    text: `select ${lineColumns}, pg_advisory_xact_lock_shared(${useLock})
      from liftwright.fold_line l where l.fleet_id = $1 and l.line_id = $2`,
    values: [fleetId, lineId],
  });
  return rows[0] ? toLine(fleetId, lineId, rows[0]) : null;
}

function toLine(fleetId: number, lineId: number, row: Record<string, unknown>): WorkLine {
  return {
    fleetId,
    lineId,
    shard: row.shard as number,
    meter: row.meter as string,
    resolutionGrains: row.resolution_grains as number,
    widthBits: row.width_bits as number,
    minMsPerTick: Number(row.min_ms_per_tick),
    controller: row.controller as string | null,
    byHand: row.by_hand as boolean,
  };
}

export interface LineMark {
  kind: 'readings' | 'whole';
  fromOrdinal: number;
  fromSeq: number;
  toSeq: number;
  /** Why, when it was no reading. */
  causes: Cause[];
}

export interface LineProgress {
  lastAtMs: number | null;
  lastRaw: number | null;
  provisional: Share[];
  /** The last readings are set aside: the last accepted one is not the last word. */
  inDoubt: boolean;
}

/**
 * An asset that the line counts for, from-to, and whether it is on that unit at the moment asked.
 */
export interface LineSource extends MeterSource {
  unitId: string;
  isNow: boolean;
}

export interface LineWork {
  marks: LineMark[];
  streams: LineStream[];
  progress: LineProgress | null;
  sources: LineSource[];
  decided: LineDecision[];
}

const homeCalendar = `(select json_agg(
      json_build_array(extract(epoch from lower(h.during)) * 1000, y.time_zone)
      order by lower(h.during))
    from liftwright.unit_yard h
    join liftwright.yard y on y.fleet_id = h.fleet_id and y.yard_id = h.yard_id
    where h.fleet_id = m.fleet_id and h.unit_id = i.unit_id and h.role = 'home')`;

/**
 * Sources cut to the installs of their assets, each with the dated calendar of the unit's home
 * yard.
 */
const deviceSourcesSql = `(select coalesce(json_agg(json_build_array(m.asset_id, i.unit_id,
    extract(epoch from greatest(lower(m.during), lower(i.during))) * 1000,
    extract(epoch from least(upper(m.during), upper(i.during))) * 1000,
    i.during @> to_timestamp($3::float8 / 1000),
    ${homeCalendar})
    order by greatest(lower(m.during), lower(i.during))), '[]')
  from liftwright.meter_source m
  join liftwright.install i
    on i.fleet_id = m.fleet_id and i.asset_id = m.asset_id and i.during && m.during
  where m.fleet_id = $1 and m.line_id = $2)`;

/**
 * A dial goes with its asset, also while that is on no unit: it keeps the calendar of the unit
 * that it was on before, or of the first one that it came to.
 */
const handSourcesSql = `(select coalesce(json_agg(json_build_array(m.asset_id,
    coalesce(i.unit_id::text, ''),
    extract(epoch from greatest(lower(m.during), i.from_at)) * 1000,
    extract(epoch from least(upper(m.during), i.to_at)) * 1000,
    coalesce(i.is_now, false), coalesce(${homeCalendar}, '[[0, "UTC"]]'))
    order by greatest(lower(m.during), i.from_at)), '[]')
  from liftwright.meter_source m
  left join lateral (
    select n.unit_id, lead(lower(n.during)) over w as to_at,
      case row_number() over w when 1 then '-infinity' else lower(n.during) end as from_at,
      n.during @> to_timestamp($3::float8 / 1000) as is_now
    from liftwright.install n where n.fleet_id = m.fleet_id and n.asset_id = m.asset_id
    window w as (order by lower(n.during))) i on tstzrange(i.from_at, i.to_at) && m.during
  where m.fleet_id = $1 and m.line_id = $2)`;

const sourcesSql = (line: Pick<WorkLine, 'byHand'>) =>
  line.byHand ? handSourcesSql : deviceSourcesSql;

type SourceRow = [
  assetId: string,
  unitId: string,
  fromMs: number,
  toMs: number | null,
  isNow: boolean,
  calendar: [fromMs: number, timeZone: string][] | null,
];

function toSources(rows: SourceRow[]): LineSource[] {
  return rows.flatMap(([assetId, unitId, fromMs, toMs, isNow, calendar]) =>
    calendar === null || (toMs !== null && toMs <= fromMs)
      ? []
      : [
          {
            assetId,
            unitId,
            fromMs,
            toMs,
            isNow,
            calendar: calendar.map(([from, timeZone]) => ({ fromMs: from, timeZone })),
          },
        ],
  );
}

type MarkRow = [
  kind: LineMark['kind'],
  fromOrdinal: number,
  fromSeq: number,
  toSeq: number,
  causes: Cause[],
];

/**
 * Takes the marks of a taken line that this transaction sees, with all that its fold depends on.
 */
export async function takeLineWork(tx: Tx, line: WorkLine, nowMs: number): Promise<LineWork> {
  const { fleetId, lineId, shard } = line;
  const { rows } = await tx.query({
    name: line.byHand ? 'take_hand_line_work' : 'take_line_work',
    text: `with marks as (
        delete from liftwright.line_mark where shard = $4 and fleet_id = $1 and line_id = $2
        returning kind, from_ordinal, from_seq, to_seq, causes)
      select (select coalesce(
            json_agg(json_build_array(kind, from_ordinal, from_seq, to_seq, causes)), '[]')
          from marks) as marks,
        ${streamsSql} as streams,
        (select json_build_array(extract(epoch from p.last_at) * 1000, p.last_raw, p.provisional,
            p.in_doubt)
          from liftwright.line_progress p where p.fleet_id = $1 and p.line_id = $2) as progress,
        ${sourcesSql(line)} as sources, ${decidedSql} as decided`,
    values: [fleetId, lineId, nowMs, shard],
  });
  const { marks, streams, progress, sources, decided } = rows[0];
  return {
    marks: marks.map(([kind, fromOrdinal, fromSeq, toSeq, causes]: MarkRow) => ({
      kind,
      fromOrdinal,
      fromSeq,
      toSeq,
      causes,
    })),
    streams: toStreams(streams),
    progress: progress && {
      lastAtMs: progress[0],
      lastRaw: progress[1],
      provisional: progress[2].map(([assetId, day, grains]: [string, string, number]) => ({
        assetId,
        day,
        grains,
      })),
      inDoubt: progress[3],
    },
    sources: toSources(sources),
    decided: toDecided(decided),
  };
}

/** What the fold of a line depends on besides its readings, without taking anything. */
export async function lineSetting(
  tx: Tx,
  line: WorkLine,
  nowMs: number,
): Promise<Pick<LineWork, 'streams' | 'sources' | 'decided'>> {
  const { fleetId, lineId } = line;
  const { rows } = await tx.query({
    name: line.byHand ? 'hand_line_setting' : 'line_setting',
    text: `select ${streamsSql} as streams, ${sourcesSql(line)} as sources,
        ${decidedSql} as decided`,
    values: [fleetId, lineId, nowMs],
  });
  const { streams, sources, decided } = rows[0];
  return {
    streams: toStreams(streams),
    sources: toSources(sources),
    decided: toDecided(decided),
  };
}

/**
 * A line's use on the days from..to: as its segments give it, and as the projection has it. Waits
 * for those who just look up use of the line, so that the next statement sees what they kept.
 */
export async function daysBothWays(
  tx: Tx,
  fleetId: number,
  lineId: number,
  fromDay: string,
  toDay: string,
): Promise<{ counted: Share[]; projected: Share[] }> {
  const { rows } = await tx.query({
    name: 'days_both_ways',
    text: `select true as counted, s.share ->> 0 as asset_id, s.share ->> 1 as day,
        sum((s.share ->> 2)::bigint) as grains
      from liftwright.fold_segment f, jsonb_array_elements(f.shares) as s (share)
      where f.fleet_id = $1 and f.line_id = $2 and f.last_day >= $3::date
        and f.first_day <= $4::date and s.share ->> 1 between $3::text and $4::text
      group by 2, 3
      union all
      select false, asset_id::text, day::text, grains from liftwright.usage_day
      where fleet_id = $1 and line_id = $2 and day between $3::date and $4::date
      union all
      select null, null, null, null from pg_advisory_xact_lock(${useLock})`,
    values: [fleetId, lineId, fromDay, toDay],
  });
  const pick = (counted: boolean): Share[] =>
    rows
      .filter((row) => row.counted === counted)
      .map((row) => ({ assetId: row.asset_id, day: row.day, grains: Number(row.grains) }));
  return { counted: pick(true), projected: pick(false) };
}

export interface FoldedWrite {
  meter: string;
  /** New use of assets on days; zero takes the row away. */
  days: readonly Share[];
  /** Looked-up use on these days of these assets is to be looked up again. */
  touched: { assetIds: readonly string[]; fromDay: string; toDay: string } | null;
  progress: LineProgress;
  marks: readonly { shard: number; unitId: string }[];
  /** Why, when it was no reading. */
  causes: readonly Cause[];
}

/** Writes what a fold brought, besides its segments, in one statement. */
export async function writeFolded(
  tx: Tx,
  fleetId: number,
  lineId: number,
  write: FoldedWrite,
  nowMs: number,
): Promise<void> {
  const kept = write.days.filter((share) => share.grains > 0);
  const gone = write.days.filter((share) => share.grains === 0);
  const { touched, progress, marks } = write;
  await tx.query({
    name: 'write_folded',
    text: `with dropped as (
        delete from liftwright.use_until where fleet_id = $1 and asset_id = any ($5::uuid[])
          and meter = $3 and day between $6::date and $7::date),
      kept as (
        insert into liftwright.usage_day (fleet_id, asset_id, meter, day, line_id, grains)
        select $1, u.asset_id, $3, u.day, $2, u.grains
        from unnest($8::uuid[], $9::date[], $10::bigint[]) as u (asset_id, day, grains)
        on conflict (fleet_id, asset_id, meter, day, line_id)
          do update set grains = excluded.grains),
      gone as (
        delete from liftwright.usage_day d
        using unnest($11::uuid[], $12::date[]) as u (asset_id, day)
        where d.fleet_id = $1 and d.line_id = $2 and d.meter = $3
          and d.asset_id = u.asset_id and d.day = u.day),
      progress as (
        insert into liftwright.line_progress
          (fleet_id, line_id, last_at, last_raw, provisional, in_doubt, folded_at)
        values ($1, $2, to_timestamp($13::float8 / 1000), $14, $15, $18,
          to_timestamp($4::float8 / 1000))
        on conflict (fleet_id, line_id) do update set last_at = excluded.last_at,
          last_raw = excluded.last_raw, provisional = excluded.provisional,
          in_doubt = excluded.in_doubt,
          folded_at = excluded.folded_at)
      insert into liftwright.unit_mark (fleet_id, shard, unit_id, recorded_at, causes)
      select $1, m.shard, m.unit_id, to_timestamp($4::float8 / 1000), $19
      from unnest($16::smallint[], $17::uuid[]) as m (shard, unit_id)`,
    values: [
      fleetId,
      lineId,
      write.meter,
      nowMs,
      touched?.assetIds ?? [],
      touched?.fromDay ?? null,
      touched?.toDay ?? null,
      kept.map((share) => share.assetId),
      kept.map((share) => share.day),
      kept.map((share) => share.grains),
      gone.map((share) => share.assetId),
      gone.map((share) => share.day),
      progress.lastAtMs,
      progress.lastRaw,
      JSON.stringify(
        progress.provisional.map(({ assetId, day, grains }) => [assetId, day, grains]),
      ),
      marks.map((mark) => mark.shard),
      marks.map((mark) => mark.unitId),
      progress.inDoubt,
      JSON.stringify(write.causes),
    ],
  });
}
