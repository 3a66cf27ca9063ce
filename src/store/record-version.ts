import type { Tx } from './tx.ts';

/** A row as it was known at an event. */
export interface KnownRow {
  kind: string;
  rowId: string;
  parentId: string | null;
  unitId: string | null;
  assetId: string | null;
  /** Its own moment; 0 where it has none. */
  atMs: number;
  data: Record<string, unknown>;
  /** The events from which on the row, and what it says, were known. */
  since: { number: number; atMs: number };
  changed: { number: number; atMs: number };
}

/** An asset while it was on the unit. */
export interface AssetSpan {
  assetId: string;
  fromMs: number;
  toMs: number | null;
}

/** Whose record it is: of a unit with what its assets met while they were on it, or of an asset. */
export interface RecordOf {
  unitId: string | null;
  assets: readonly AssetSpan[];
}

/** The event from which on all versions are kept. */
export async function versionsSince(tx: Tx, fleetId: number): Promise<number> {
  const { rows } = await tx.query(
    `select coalesce(max(number), 0)::float8 as number from liftwright.record_work
     where fleet_id = $1 and brought_in`,
    [fleetId],
  );
  return rows[0].number;
}

/**
 * The last event that was known at an instant. What was written a minute before was committed by
 * then, however late it was numbered; what is younger counts as known when it was numbered.
 */
export async function lastEventAt(tx: Tx, fleetId: number, atMs: number): Promise<number> {
  const { rows } = await tx.query(
    `select coalesce(max(number), 0)::float8 as number from liftwright.event
     where fleet_id = $1 and (numbered_at <= to_timestamp($2::float8 / 1000)
       or recorded_at <= to_timestamp(($2::float8 - 60000) / 1000))`,
    [fleetId, atMs],
  );
  return rows[0].number;
}

/** When the events were recorded. */
export async function momentOfEvent(
  tx: Tx,
  fleetId: number,
  number: number,
): Promise<number | null> {
  const { rows } = await tx.query(
    `select (extract(epoch from recorded_at) * 1000)::float8 as at_ms from liftwright.event
     where fleet_id = $1 and number = $2`,
    [fleetId, number],
  );
  return rows[0]?.at_ms ?? null;
}

/** Versions of rows `c` (kind, row_id) as known at event $2. */
const known = `
  cross join lateral (
    select v.*, w.number from liftwright.record_version v
    join liftwright.record_work w on w.fleet_id = v.fleet_id and w.work_no = v.work_no
    where v.fleet_id = $1 and v.kind = c.kind and v.row_id = c.row_id and w.number <= $2
    order by v.version_id desc limit 1) l
  cross join lateral (
    select min(w.number) as number from liftwright.record_version v
    join liftwright.record_work w on w.fleet_id = v.fleet_id and w.work_no = v.work_no
    where v.fleet_id = $1 and v.kind = c.kind and v.row_id = c.row_id and w.number <= $2) f
  left join liftwright.event le on le.fleet_id = $1 and le.number = l.number
  left join liftwright.event fe on fe.fleet_id = $1 and fe.number = f.number`;

const columns = `l.kind, l.row_id, l.parent_id, l.unit_id, l.asset_id, l.data,
  coalesce(extract(epoch from l.at) * 1000, 0)::float8 as at_ms,
  f.number::float8 as since, coalesce(extract(epoch from fe.recorded_at) * 1000, 0)::float8
    as since_ms,
  l.number::float8 as changed, coalesce(extract(epoch from le.recorded_at) * 1000, 0)::float8
    as changed_ms`;

// biome-ignore lint/suspicious/noExplicitAny: a row of the statements below
const rowOf = (row: any): KnownRow => ({
  kind: row.kind,
  rowId: row.row_id,
  parentId: row.parent_id,
  unitId: row.unit_id,
  assetId: row.asset_id,
  atMs: row.at_ms,
  data: row.data,
  since: { number: row.since, atMs: row.since_ms },
  changed: { number: row.changed, atMs: row.changed_ms },
});

/** Rows that are a unit's ($3), or of assets while they were on it ($4 to $6); or an asset's. */
const belongs = `(l.unit_id = $3::uuid or (l.unit_id is null or $3::uuid is null)
  and exists (select from unnest($4::uuid[], $5::float8[], $6::float8[])
      as s (asset_id, from_ms, to_ms)
    where s.asset_id = l.asset_id and (l.at is null
      or extract(epoch from l.at) * 1000 >= s.from_ms
        and (s.to_ms is null or extract(epoch from l.at) * 1000 < s.to_ms))))`;

const candidates = `
  select distinct v.kind, v.row_id from liftwright.record_version v
  where v.fleet_id = $1 and v.kind = any ($7::text[])
    and (v.unit_id = $3::uuid or v.asset_id = any ($4::uuid[]))`;

const belonging = (fleetId: number, event: number, of: RecordOf, kinds: readonly string[]) => [
  fleetId,
  event,
  of.unitId,
  of.assets.map((each) => each.assetId),
  of.assets.map((each) => each.fromMs),
  of.assets.map((each) => each.toMs),
  [...kinds],
];

export type RecordKey = [atMs: number, kind: string, rowId: string];

/** Rows of these kinds as they were known at an event, in order of their own moments. */
export async function rowsAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  of: RecordOf,
  kinds: readonly string[],
  after: RecordKey | null,
  limit: number,
): Promise<KnownRow[]> {
  const { rows } = await tx.query({
    name: 'rows_as_known',
    text: `select ${columns} from (${candidates}) c ${known}
      where not l.gone and ${belongs}
        and ($8::float8 is null or (coalesce(extract(epoch from l.at) * 1000, 0)::float8,
          l.kind collate "C", l.row_id collate "C") > ($8, $9::text, $10::text))
      order by at_ms, l.kind collate "C", l.row_id collate "C" limit $11`,
    values: [
      ...belonging(fleetId, event, of, kinds),
      after?.[0] ?? null,
      after?.[1] ?? null,
      after?.[2] ?? null,
      limit,
    ],
  });
  return rows.map(rowOf);
}

export interface KnownCount {
  kind: string;
  /** Of upkeep: which task. */
  task: string | null;
  rows: number;
  lastMs: number;
}

/** How many rows of each kind there were, of upkeep by task, and the moment of the last. */
export async function countsAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  of: RecordOf,
  kinds: readonly string[],
): Promise<KnownCount[]> {
  const { rows } = await tx.query({
    name: 'counts_as_known',
    text: `select l.kind, l.data ->> 'task_key' as task, count(*)::int as rows,
        max(coalesce(extract(epoch from l.at) * 1000, 0))::float8 as last_ms
      from (${candidates}) c ${known}
      where not l.gone and ${belongs} group by 1, 2 order by 1, 2`,
    values: belonging(fleetId, event, of, kinds),
  });
  return rows.map((row) => ({
    kind: row.kind,
    task: row.task,
    rows: row.rows,
    lastMs: row.last_ms,
  }));
}

/** What belongs to rows as it was known at an event: steps, signatures, acts, entries. */
export async function partsAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  parentIds: readonly string[],
): Promise<KnownRow[]> {
  if (parentIds.length === 0) return [];
  const { rows } = await tx.query({
    name: 'parts_as_known',
    text: `select ${columns} from (
        select distinct v.kind, v.row_id from liftwright.record_version v
        where v.fleet_id = $1 and v.parent_id = any ($3::text[])) c ${known}
      where not l.gone and l.parent_id = any ($3::text[])
      order by at_ms, l.kind collate "C", l.row_id collate "C"`,
    values: [fleetId, event, [...parentIds]],
  });
  return rows.map(rowOf);
}

/** When each task of assets was last done, as it was known at an event; voided ones left out. */
export async function lastDonesAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  assetIds: readonly string[],
): Promise<KnownRow[]> {
  const { rows } = await tx.query({
    name: 'last_dones_as_known',
    text: `select distinct on (l.asset_id, l.data ->> 'task_key') ${columns} from (
        select distinct v.kind, v.row_id from liftwright.record_version v
        where v.fleet_id = $1 and v.kind = 'task_done' and v.asset_id = any ($3::uuid[])) c ${known}
      where not l.gone and l.data ->> 'voided_at' is null
      order by l.asset_id, l.data ->> 'task_key', l.at desc, l.row_id collate "C" desc`,
    values: [fleetId, event, [...assetIds]],
  });
  return rows.map(rowOf);
}

/** Single rows by kind and key as they were known at an event. */
export async function namedRowsAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  named: readonly { kind: string; rowId: string }[],
): Promise<KnownRow[]> {
  const { rows } = await tx.query({
    name: 'named_rows_as_known',
    text: `select ${columns} from unnest($3::text[], $4::text[]) as c (kind, row_id) ${known}
      where not l.gone`,
    values: [fleetId, event, named.map((each) => each.kind), named.map((each) => each.rowId)],
  });
  return rows.map(rowOf);
}

/** What was last told of the tasks of a unit, up to an event. */
export async function statusesTold(
  tx: Tx,
  fleetId: number,
  event: number,
  unitId: string,
): Promise<{ assetId: string; task: string; status: string; sinceMs: number }[]> {
  const { rows } = await tx.query(
    `select distinct on (data ->> 'assetId', data ->> 'task') data ->> 'assetId' as asset_id,
       data ->> 'task' as task, data ->> 'to' as status,
       (extract(epoch from occurred_at) * 1000)::float8 as since_ms
     from liftwright.event
     where fleet_id = $1 and subject = $2 and type = 'task.status_changed' and number <= $3
     order by data ->> 'assetId', data ->> 'task', number desc limit 1000`,
    [fleetId, `unit/${unitId}`, event],
  );
  return rows.map((row) => ({
    assetId: row.asset_id,
    task: row.task,
    status: row.status,
    sinceMs: row.since_ms,
  }));
}

/** All rows of a kind as they were known at an event, the oldest first. */
export async function allAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  kind: string,
  limit: number,
): Promise<KnownRow[]> {
  const { rows } = await tx.query({
    name: 'all_as_known',
    text: `select ${columns} from (
        select distinct v.kind, v.row_id from liftwright.record_version v
        where v.fleet_id = $1 and v.kind = $3) c ${known}
      where not l.gone order by at_ms, l.row_id collate "C" limit $4`,
    values: [fleetId, event, kind, limit],
  });
  return rows.map(rowOf);
}
