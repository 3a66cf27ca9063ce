import { spanFromSql } from '../../db/schema/column.ts';
import type { AssetOnUnit } from './asset.ts';
import { unitOf, yardOf } from './edges.ts';
import type { InstallRow } from './install.ts';
import type { Tx } from './tx.ts';
import type { UnitWithYards } from './unit.ts';
import type { UpkeepState } from './upkeep.ts';
import { ledgerSql, type UsageDayRow } from './usage.ts';

/**
 * The pages at the ends of the edges of the graph: of each of many parents the first `limit` things
 * after a sort key, all in one statement.
 */

function byParent<Row extends { parent: string }, T>(
  rows: readonly Row[],
  show: (row: Row) => T,
): Map<string, T[]> {
  const found = new Map<string, T[]>();
  for (const row of rows) {
    const list = found.get(row.parent) ?? [];
    list.push(show(row));
    found.set(row.parent, list);
  }
  return found;
}

/** Units at home in yards at an instant, by number. */
export async function unitsOfYards(
  tx: Tx,
  fleetId: number,
  yardIds: readonly string[],
  atMs: number,
  after: [number: string] | null,
  limit: number,
): Promise<Map<string, UnitWithYards[]>> {
  const { rows } = await tx.query({
    text: `select p.parent, x.* from unnest($2::uuid[]) as p (parent), lateral (
        select u.fleet_id, u.unit_id, u.number, u.note, u.furnished_by,
          (extract(epoch from u.created_at) * 1000)::float8 as created_ms,
          ${yardOf('home')}, ${yardOf('present')}
        from liftwright.unit_yard h
        join liftwright.unit u on u.fleet_id = h.fleet_id and u.unit_id = h.unit_id
        where h.fleet_id = $1 and h.yard_id = p.parent and h.role = 'home'
          and h.during @> to_timestamp($3::float8 / 1000)
          and ($4::text is null or u.number > $4)
        order by u.number limit $5) x
      order by p.parent, x.number`,
    values: [fleetId, [...yardIds], atMs, after?.[0] ?? null, limit],
  });
  return byParent(rows, unitOf);
}

/** Assets that are on units at an instant, by id. */
export async function assetsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  atMs: number,
  after: [assetId: string] | null,
  limit: number,
): Promise<Map<string, AssetOnUnit[]>> {
  const { rows } = await tx.query({
    text: `select p.parent, x.* from unnest($2::uuid[]) as p (parent), lateral (
        select a.fleet_id, a.asset_id, a.kind, a.serial, a.pattern_id, a.pattern_version, a.note,
          a.make, a.model_year, a.tire_size,
          (extract(epoch from a.created_at) * 1000)::float8 as created_ms
        from liftwright.install i
        join liftwright.asset a on a.fleet_id = i.fleet_id and a.asset_id = i.asset_id
        where i.fleet_id = $1 and i.unit_id = p.parent
          and i.during @> to_timestamp($3::float8 / 1000)
          and ($4::uuid is null or a.asset_id > $4)
        order by a.asset_id limit $5) x
      order by p.parent, x.asset_id`,
    values: [fleetId, [...unitIds], atMs, after?.[0] ?? null, limit],
  });
  return byParent(rows, (row) => ({
    fleetId: row.fleet_id,
    assetId: row.asset_id,
    kind: row.kind,
    serial: row.serial,
    patternId: row.pattern_id,
    patternVersion: row.pattern_version,
    createdAtMs: row.created_ms,
    note: row.note,
    make: row.make,
    modelYear: row.model_year,
    tireSize: row.tire_size,
    unitId: row.parent,
  }));
}

const installColumn = { unit: 'unit_id', asset: 'asset_id', gateway: 'gateway_id' } as const;

/** Installs, past and present, on units, or of assets or gateways, by id. */
export async function installsOfEach(
  tx: Tx,
  fleetId: number,
  parents: { kind: keyof typeof installColumn; ids: readonly string[] },
  after: [installId: string] | null,
  limit: number,
): Promise<Map<string, InstallRow[]>> {
  const { rows } = await tx.query({
    text: `select p.parent, x.* from unnest($2::uuid[]) as p (parent), lateral (
        select i.fleet_id, i.install_id, i.unit_id, i.asset_id, i.gateway_id, i.note,
          i.during::text as during,
          (extract(epoch from i.created_at) * 1000)::float8 as created_ms
        from liftwright.install i
        where i.fleet_id = $1 and i.${installColumn[parents.kind]} = p.parent
          and ($3::uuid is null or i.install_id > $3)
        order by i.install_id limit $4) x
      order by p.parent, x.install_id`,
    values: [fleetId, [...parents.ids], after?.[0] ?? null, limit],
  });
  return byParent(rows, (row) => ({
    fleetId: row.fleet_id,
    installId: row.install_id,
    unitId: row.unit_id,
    assetId: row.asset_id,
    gatewayId: row.gateway_id,
    during: spanFromSql(row.during),
    note: row.note,
    createdAtMs: row.created_ms,
  }));
}

/** An assessed task with the pattern of its asset. */
export interface UnitTask extends UpkeepState {
  patternId: string | null;
  patternVersion: number | null;
}

/** The assessed tasks of units, by asset and task; `status` null: of every status. */
export async function tasksOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  status: readonly UpkeepState['status'][] | null,
  after: [assetId: string, taskKey: string] | null,
  limit: number,
): Promise<Map<string, UnitTask[]>> {
  const { rows } = await tx.query({
    text: `select p.parent, x.* from unnest($2::uuid[]) as p (parent), lateral (
        select s.asset_id, s.task_key, s.unit_id, s.status, s.full_on::text as full_on,
          s.assessment, (extract(epoch from s.assessed_at) * 1000)::float8 as assessed_ms,
          a.pattern_id, a.pattern_version
        from liftwright.upkeep_state s
        join liftwright.asset a on a.fleet_id = s.fleet_id and a.asset_id = s.asset_id
        where s.fleet_id = $1 and s.unit_id = p.parent
          and ($3::text[] is null or s.status = any ($3))
          and ($4::uuid is null or (s.asset_id, s.task_key) > ($4, $5::text))
        order by s.asset_id, s.task_key limit $6) x
      order by p.parent, x.asset_id, x.task_key`,
    values: [fleetId, [...unitIds], status, after?.[0] ?? null, after?.[1] ?? null, limit],
  });
  return byParent(rows, (row) => ({
    assetId: row.asset_id,
    taskKey: row.task_key,
    unitId: row.unit_id,
    status: row.status,
    fullOn: row.full_on,
    assessment: row.assessment,
    assessedAtMs: row.assessed_ms,
    patternId: row.pattern_id,
    patternVersion: row.pattern_version,
  }));
}

/** Grains of use of assets by meter: the total (`day` null) and the days of a range with use. */
export async function usageOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  range: { fromDay: string; toDay: string },
): Promise<Map<string, (Omit<UsageDayRow, 'day'> & { day: string | null })[]>> {
  const { rows } = await tx.query({
    text: `select asset_id as parent, meter, day::text as day, sum(grains)::bigint as grains,
        sum(adjusted)::bigint as adjusted
      from ${ledgerSql} l where fleet_id = $1 and asset_id = any ($2::uuid[])
      group by grouping sets ((asset_id, meter), (asset_id, meter, day))
      having grouping(day) = 1
        or day between $3::date and $4::date and (sum(grains) <> 0 or sum(adjusted) <> 0)
      order by asset_id, meter, day nulls first`,
    values: [fleetId, [...assetIds], range.fromDay, range.toDay],
  });
  return byParent(rows, ({ meter, day, grains, adjusted }) => ({
    meter,
    day,
    grains: Number(grains),
    adjusted: Number(adjusted),
  }));
}
