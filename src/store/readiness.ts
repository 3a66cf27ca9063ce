import type { Limits } from '../domain/shop/limit.ts';
import { type PressingWords, pressingOf } from '../domain/shop/pressing-task.ts';
import type {
  ReadinessDeferral,
  ReadinessFinding,
  ReadinessStop,
} from '../domain/shop/readiness-reason.ts';
import type { AssetKind } from '../domain/usage/meter.ts';
import type { Tx } from './tx.ts';
import { ledgerSql } from './usage.ts';

/**
 * What readiness is made of, for many units at once: one statement each, whatever their number. A
 * stop or finding with an asset belongs to the unit that the asset is on now.
 */

export interface ReadinessUnit {
  unitId: string;
  number: string;
  homeYardId: string | null;
  /** Where it is; its home when nobody has said otherwise. */
  presentYardId: string | null;
  presentYardName: string | null;
  timeZone: string;
  assessedAtMs: number | null;
  /** When a gateway that is on it was last heard; null: never, or it has none. */
  heardAtMs: number | null;
}

const ms = (column: string) => `(extract(epoch from ${column}) * 1000)::float8`;
const at = (parameter: string) => `to_timestamp(${parameter}::float8 / 1000)`;

/** Units by number, of a yard where one is named: the one that they are in now. */
export async function readinessUnits(
  tx: Tx,
  fleetId: number,
  filter: {
    unitIds: readonly string[] | null;
    yardId: string | null;
    atMs: number;
    /** With when they were last heard; it takes longest. */
    heard: boolean;
  },
  after: string | null,
  limit: number,
): Promise<ReadinessUnit[]> {
  const { rows } = await tx.query({
    name: 'readiness_units',
    text: `select u.unit_id, u.number, h.yard_id as home_id, y.time_zone,
        coalesce(p.yard_id, h.yard_id) as here_id, n.name as here_name,
        ${ms('t.assessed_at')} as assessed_ms,
        case when $7 then (
          select ${ms('max(c.last_post_at)')} from liftwright.install g
          join liftwright.gateway_contact c on c.fleet_id = $1 and c.gateway_id = g.gateway_id
          where g.fleet_id = $1 and g.unit_id = u.unit_id and g.gateway_id is not null
            and g.during @> ${at('$2')}) end as heard_ms
      from liftwright.unit u
      left join liftwright.unit_yard h on h.fleet_id = u.fleet_id and h.unit_id = u.unit_id
        and h.role = 'home' and h.during @> ${at('$2')}
      left join liftwright.unit_yard p on p.fleet_id = u.fleet_id and p.unit_id = u.unit_id
        and p.role = 'present' and p.during @> ${at('$2')}
      left join liftwright.yard y on y.fleet_id = u.fleet_id and y.yard_id = h.yard_id
      left join liftwright.yard n on n.fleet_id = u.fleet_id
        and n.yard_id = coalesce(p.yard_id, h.yard_id)
      left join liftwright.unit_standing t on t.fleet_id = u.fleet_id and t.unit_id = u.unit_id
      where u.fleet_id = $1 and ($3::uuid[] is null or u.unit_id = any ($3))
        and ($4::uuid is null or coalesce(p.yard_id, h.yard_id) = $4)
        and ($5::text is null or u.number > $5)
      order by u.number limit $6`,
    values: [
      fleetId,
      filter.atMs,
      filter.unitIds && [...filter.unitIds],
      filter.yardId,
      after,
      limit,
      filter.heard,
    ],
  });
  return rows.map((row) => ({
    unitId: row.unit_id,
    number: row.number,
    homeYardId: row.home_id,
    presentYardId: row.here_id,
    presentYardName: row.here_name,
    timeZone: row.time_zone ?? 'UTC',
    assessedAtMs: row.assessed_ms,
    heardAtMs: row.heard_ms,
  }));
}

export interface ReadinessAsset {
  unitId: string;
  assetId: string;
  kind: AssetKind;
  patternId: string | null;
  patternVersion: number | null;
  /** Whether its upkeep was ever worked out. */
  assessed: boolean;
}

/** What is on the units at an instant. */
export async function readinessAssets(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  atMs: number,
): Promise<ReadinessAsset[]> {
  const { rows } = await tx.query({
    name: 'readiness_assets',
    text: `select i.unit_id, a.asset_id, a.kind, a.pattern_id, a.pattern_version,
        a.pattern_id is null or exists (select from liftwright.upkeep_state s
          where s.fleet_id = a.fleet_id and s.asset_id = a.asset_id) as assessed
      from liftwright.install i
      join liftwright.asset a on a.fleet_id = i.fleet_id and a.asset_id = i.asset_id
      where i.fleet_id = $1 and i.unit_id = any ($2) and i.asset_id is not null
        and i.during @> ${at('$3')}`,
    values: [fleetId, [...unitIds], atMs],
  });
  return rows.map((row) => ({
    unitId: row.unit_id,
    assetId: row.asset_id,
    kind: row.kind,
    patternId: row.pattern_id,
    patternVersion: row.pattern_version,
    assessed: row.assessed,
  }));
}

/** Of a row that goes with its asset, or is the unit's own. */
interface Placed {
  unitId: string;
  assetId: string | null;
}
export type Place = Placed;

const mine = (alias: string) =>
  `($2::uuid[] is null or ${alias}.asset_id = any ($3::uuid[])
    or (${alias}.asset_id is null and ${alias}.unit_id = any ($2)))`;

/** What is open in a fleet is little: for many units all of it is read, and not told apart here. */
const manyUnits = 250;
const ofPlaces = (unitIds: readonly string[], assetIds: readonly string[]) =>
  unitIds.length > manyUnits ? [null, null] : [[...unitIds], [...assetIds]];

/** The stops that are not cleared, on these units and assets; there may be others among them. */
export async function readinessStops(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  assetIds: readonly string[],
): Promise<(ReadinessStop & Placed)[]> {
  const { rows } = await tx.query({
    name: 'readiness_stops',
    text: `select s.stop_id, s.unit_id, s.asset_id, s.kind, s.state, s.effect, s.functions,
        s.limits, s.reason, ${ms('s.until_at')} as until_ms, ${ms('s.placed_at')} as placed_ms,
        s.placed_by_name, s.finding_id, f.point_key
      from liftwright.stop s
      left join liftwright.finding f on f.fleet_id = s.fleet_id and f.finding_id = s.finding_id
      where s.fleet_id = $1 and s.state <> 'cleared' and ${mine('s')}`,
    values: [fleetId, ...ofPlaces(unitIds, assetIds)],
  });
  return rows.map((row) => ({
    stopId: row.stop_id,
    unitId: row.unit_id,
    assetId: row.asset_id,
    kind: row.kind,
    state: row.state,
    effect: row.effect,
    functions: row.functions,
    limits: row.limits,
    reason: row.reason,
    untilAtMs: row.until_ms,
    placedAtMs: row.placed_ms,
    placedByName: row.placed_by_name,
    findingId: row.finding_id,
    pointKey: row.point_key,
  }));
}

/** The findings that are open, on these units and assets, likewise; without the use since. */
export async function readinessFindings(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  assetIds: readonly string[],
): Promise<(ReadinessFinding & Placed)[]> {
  const { rows } = await tx.query({
    name: 'readiness_findings',
    text: `select f.finding_id, f.unit_id, f.asset_id, f.point_key, f.grade, f.words, f.functions,
        f.mend_by_day::text, f.mend_by_use, f.reports, ${ms('f.found_at')} as found_ms,
        ${ms('f.graded_at')} as graded_ms
      from liftwright.finding f
      where f.fleet_id = $1 and f.closed_at is null and ${mine('f')}`,
    values: [fleetId, ...ofPlaces(unitIds, assetIds)],
  });
  return rows.map((row) => ({
    findingId: row.finding_id,
    unitId: row.unit_id,
    assetId: row.asset_id,
    pointKey: row.point_key,
    grade: row.grade,
    words: row.words,
    functions: row.functions,
    mendByDay: row.mend_by_day,
    mendByUse: row.mend_by_use,
    usedSince: {},
    silentMeters: [],
    reports: row.reports,
    foundAtMs: row.found_ms,
    gradedAtMs: row.graded_ms,
  }));
}

/** Grains of the meters that findings name, since they were graded. */
export async function useSinceGraded(
  tx: Tx,
  fleetId: number,
  findingIds: readonly string[],
): Promise<Map<string, Record<string, number>>> {
  const used = new Map<string, Record<string, number>>();
  if (findingIds.length === 0) return used;
  const { rows } = await tx.query({
    name: 'use_since_graded',
    text: `select f.finding_id, m.meter,
        greatest(0, coalesce((select sum(l.grains) from ${ledgerSql} l
          where l.fleet_id = f.fleet_id and l.asset_id = f.asset_id and l.meter = m.meter
            and l.day >= f.graded_day), 0)
          - coalesce((f.use_before ->> m.meter)::bigint, 0))::float8 as grains
      from liftwright.finding f
      cross join lateral jsonb_object_keys(f.mend_by_use) m (meter)
      where f.fleet_id = $1 and f.finding_id = any ($2)`,
    values: [fleetId, [...findingIds]],
  });
  for (const { finding_id: id, meter, grains } of rows) {
    used.set(id, { ...used.get(id), [meter]: grains });
  }
  return used;
}

/** A task that is overrun, or that may be, as it was last assessed. */
export interface PressingTask extends PressingWords {
  assetId: string;
  taskKey: string;
  status: 'overrun' | 'unknown';
  assessedAtMs: number;
}

/** The tasks of these assets that are overrun or not known, where that may take something away. */
export async function readinessTasks(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<PressingTask[]> {
  const { rows } = await tx.query({
    name: 'readiness_tasks',
    // Asset by asset through the index: joined, it was a scan of all for each of them at times.
    text: `select s.* from unnest($2::uuid[]) x (asset_id)
      cross join lateral (
        select u.asset_id, u.task_key, u.status, ${ms('u.assessed_at')} as assessed_ms,
          u.pressing, case when u.pressing is null then u.assessment end as assessment
        from liftwright.upkeep_state u
        where u.fleet_id = $1 and u.asset_id = x.asset_id
          and u.status in ('overrun', 'unknown') and u.pressing is distinct from '{}'
        offset 0) s`,
    values: [fleetId, [...assetIds]],
  });
  return rows.flatMap((row) => {
    const pressing: PressingWords | null = row.pressing ?? pressingOf(row.assessment);
    if (pressing === null) return [];
    return [
      {
        ...pressing,
        assetId: row.asset_id,
        taskKey: row.task_key,
        status: row.status,
        assessedAtMs: row.assessed_ms,
      },
    ];
  });
}

/** A deferral that nobody ended, and what its task's last assessment says of it. */
export interface RunningDeferral extends Omit<ReadinessDeferral, 'name' | 'untilMs'> {
  taskKey: string;
  /** Null: not assessed since it was granted. */
  state: string | null;
}

export async function readinessDeferrals(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<RunningDeferral[]> {
  const many = assetIds.length > manyUnits;
  const { rows } = await tx.query({
    name: 'readiness_deferrals',
    text: `select d.deferral_id, d.asset_id, d.task_key, d.effect, d.functions, d.limits,
        d.restriction, d.approver, d.until_day::text, ${ms('d.from_at')} as from_ms,
        case when s.assessed_at >= d.from_at
          then s.assessment -> 'deferral' ->> 'state' end as state
      from liftwright.task_deferral d
      left join liftwright.upkeep_state s on s.fleet_id = d.fleet_id
        and s.asset_id = d.asset_id and s.task_key = d.task_key
      where d.fleet_id = $1 and d.ended_at is null
        and ($2::uuid[] is null or d.asset_id = any ($2))`,
    values: [fleetId, many ? null : [...assetIds]],
  });
  return rows.map((row) => ({
    deferralId: row.deferral_id,
    assetId: row.asset_id,
    taskKey: row.task_key,
    effect: row.effect,
    functions: row.functions,
    limits: row.limits as Limits,
    restriction: row.restriction,
    approver: row.approver,
    untilDay: row.until_day,
    fromAtMs: row.from_ms,
    state: row.state,
  }));
}
