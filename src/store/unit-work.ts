import { type Cause, joinCauses } from '../domain/events/cause.ts';
import type { TaskAssessment } from '../domain/upkeep/assess-task.ts';
import type { SeverityKind } from '../domain/upkeep/severity.ts';
import type { TaskCall } from '../domain/upkeep/task-call.ts';
import type { AssetKind } from '../domain/usage/meter.ts';
import type { Standing } from './standing.ts';
import type { Tx } from './tx.ts';
import type { UpkeepState } from './upkeep.ts';

/**
 * The statements that run for every assessment. Each is prepared by name and brings or writes as
 * much as one round trip can.
 */

export interface WorkAsset {
  assetId: string;
  kind: AssetKind;
  patternId: string | null;
  patternVersion: number | null;
}

export interface WorkSeverity {
  kind: SeverityKind;
  fromDay: string;
  toDay: string | null;
  seasonFrom: string | null;
  seasonTo: string | null;
}

export interface UnitWork {
  /** The home yard at the moment, or the first that the unit ever had. */
  yard: { yardId: string; timeZone: string } | null;
  severities: WorkSeverity[];
  /** The assets that are on the unit at the moment. */
  assets: WorkAsset[];
  /**
   * The assessed tasks as last written: the unit's, and those of its assets that stand with a unit
   * that they were on before.
   */
  states: UpkeepState[];
  /** Why it was marked, when it was no reading. */
  causes: Cause[];
  standing: Standing | null;
  /** When an install of the unit next begins or ends. */
  nextInstallChangeAtMs: number | null;
}

/** Takes the marks of a taken unit, with all that its assessment depends on besides its assets'. */
export async function takeUnitWork(
  tx: Tx,
  fleetId: number,
  unitId: string,
  nowMs: number,
  severitiesMax: number,
): Promise<UnitWork> {
  const { rows } = await tx.query({
    name: 'take_unit_work',
    text: `with taken as (
        delete from liftwright.unit_mark where fleet_id = $1 and unit_id = $2
        returning causes),
      here as (
        select i.asset_id from liftwright.install i
        where i.fleet_id = $1 and i.unit_id = $2 and i.asset_id is not null
          and i.during @> to_timestamp($3::float8 / 1000)),
      yard as (
        select y.yard_id, y.time_zone from liftwright.unit_yard h
        join liftwright.yard y on y.fleet_id = h.fleet_id and y.yard_id = h.yard_id
        where h.fleet_id = $1 and h.unit_id = $2 and h.role = 'home'
        order by lower(h.during) <= to_timestamp($3::float8 / 1000) desc,
          case when lower(h.during) <= to_timestamp($3::float8 / 1000)
            then -extract(epoch from lower(h.during)) else extract(epoch from lower(h.during)) end
        limit 1),
      hard as (
        select s.kind, s.from_day, s.to_day, s.season_from, s.season_to
        from liftwright.severity s
        where s.fleet_id = $1 and (s.unit_id = $2 or s.yard_id = (select yard_id from yard))
        order by s.severity_id limit $4)
      select (select json_build_array(yard_id, time_zone) from yard) as yard,
        (select coalesce(json_agg(json_build_array(kind, from_day, to_day, season_from, season_to)),
          '[]') from hard) as severities,
        (select coalesce(json_agg(json_build_array(a.asset_id, a.kind, a.pattern_id,
            a.pattern_version) order by a.kind, a.serial), '[]')
          from here i
          join liftwright.asset a on a.fleet_id = $1 and a.asset_id = i.asset_id) as assets,
        (select coalesce(json_agg(json_build_array(u.asset_id, u.task_key, u.status, u.full_on,
            u.assessment, extract(epoch from u.assessed_at) * 1000, u.unit_id)), '[]')
          from (
            select * from liftwright.upkeep_state where fleet_id = $1 and unit_id = $2
            union all
            select * from liftwright.upkeep_state where fleet_id = $1 and unit_id <> $2
              and asset_id in (select asset_id from here)) u) as states,
        (select coalesce(json_agg(causes), '[]') from taken where causes <> '[]') as causes,
        (select json_build_array(t.shard, t.yard_id, t.status, t.rank, t.press_on, t.reasons,
            extract(epoch from t.assessed_at) * 1000, extract(epoch from t.next_check_at) * 1000)
          from liftwright.unit_standing t where t.fleet_id = $1 and t.unit_id = $2) as standing,
        (select extract(epoch from min(edge)) * 1000 from (
            select lower(i.during) as edge from liftwright.install i
              where i.fleet_id = $1 and i.unit_id = $2
            union all
            select upper(i.during) from liftwright.install i
              where i.fleet_id = $1 and i.unit_id = $2) e
          where edge > to_timestamp($3::float8 / 1000))::float8 as install_change`,
    values: [fleetId, unitId, nowMs, severitiesMax],
  });
  return toUnitWork(unitId, rows[0]);
}

// biome-ignore lint/suspicious/noExplicitAny: json that the statement above has built
function toUnitWork(unitId: string, row: any): UnitWork {
  return {
    yard: row.yard && { yardId: row.yard[0], timeZone: row.yard[1] },
    severities: row.severities.map(
      ([kind, fromDay, toDay, seasonFrom, seasonTo]: [SeverityKind, string, ...string[]]) => ({
        kind,
        fromDay,
        toDay: toDay ?? null,
        seasonFrom: seasonFrom ?? null,
        seasonTo: seasonTo ?? null,
      }),
    ),
    assets: row.assets.map(
      ([assetId, kind, patternId, patternVersion]: [string, AssetKind, string, number]) => ({
        assetId,
        kind,
        patternId,
        patternVersion,
      }),
    ),
    states: row.states.map(
      ([assetId, taskKey, status, fullOn, assessment, assessedAtMs, stoodWith]: StateRow) => ({
        assetId,
        taskKey,
        unitId: stoodWith,
        status,
        fullOn,
        assessment,
        assessedAtMs,
      }),
    ),
    causes: joinCauses(...row.causes),
    standing: row.standing && toStanding(unitId, row.standing),
    nextInstallChangeAtMs: row.install_change,
  };
}

type StateRow = [
  assetId: string,
  taskKey: string,
  status: UpkeepState['status'],
  fullOn: string | null,
  assessment: TaskAssessment,
  assessedAtMs: number,
  unitId: string,
];

type StandingRow = [
  shard: number,
  yardId: string | null,
  status: Standing['status'],
  rank: number,
  pressOn: string,
  reasons: Standing['reasons'],
  assessedAtMs: number,
  nextCheckAtMs: number | null,
];

function toStanding(unitId: string, row: StandingRow): Standing {
  const [shard, yardId, status, rank, pressOn, reasons, assessedAtMs, nextCheckAtMs] = row;
  return { unitId, shard, yardId, status, rank, pressOn, reasons, assessedAtMs, nextCheckAtMs };
}

export interface AssetDone {
  doneId: string;
  taskKey: string;
  doneAtMs: number;
  estimated: boolean;
  /** Grains that meters stood at then, where somebody wrote them down. */
  meterValues: Record<string, number> | null;
}

type DoneTuple = [
  doneId: string,
  taskKey: string,
  doneAtMs: number,
  estimated: boolean,
  meterValues: Record<string, number> | null,
];

export interface AssetDeferral {
  taskKey: string;
  fromAtMs: number;
  untilDay: string;
  untilUse: Record<string, number>;
  approver: string;
  restriction: string;
}

export interface MeterStartValue {
  meter: string;
  atMs: number;
  grains: number;
}

export interface AssetWork {
  /** What was recorded as done and not voided, by time of doing. */
  dones: AssetDone[];
  /** The deferrals that nobody ended, oldest first. */
  deferrals: AssetDeferral[];
  /** What called tasks due, was not withdrawn and is not answered by a done since. */
  calls: TaskCall[];
  sources: { meter: string; lineId: number; fromMs: number; toMs: number | null }[];
  /** Looked-up use up to an instant, as far as it is known. */
  uses: { meter: string; atMs: number; grains: number }[];
  /** What meters stood at when the asset was brought in. */
  starts: MeterStartValue[];
}

/** What the assessment of one asset depends on, besides its use by day. */
export async function assetWork(
  tx: Tx,
  fleetId: number,
  assetId: string,
  donesMax: number,
): Promise<AssetWork> {
  const { rows } = await tx.query({
    name: 'asset_work',
    text: `select
        (select coalesce(json_agg(json_build_array(d.done_id, d.task_key,
            extract(epoch from d.done_at) * 1000, d.estimated, d.meter_values)), '[]') from (
          select * from liftwright.task_done t
          where t.fleet_id = $1 and t.asset_id = $2 and t.voided_at is null
          order by t.done_at desc, t.done_id desc limit $3) d) as dones,
        (select coalesce(json_agg(json_build_array(f.task_key, extract(epoch from f.from_at) * 1000,
            f.until_day, f.until_use, f.approver, f.restriction) order by f.from_at), '[]')
          from liftwright.task_deferral f
          where f.fleet_id = $1 and f.asset_id = $2 and f.ended_at is null) as deferrals,
        (select coalesce(json_agg(json_build_object('taskKey', c.task_key, 'atMs',
            extract(epoch from c.called_at) * 1000, 'cause', c.cause, 'what', c.what)), '[]') from (
          select * from liftwright.task_call k
          where k.fleet_id = $1 and k.asset_id = $2 and k.withdrawn_at is null
            and not exists (select from liftwright.task_done d where d.fleet_id = $1
              and d.asset_id = $2 and d.task_key = k.task_key and d.done_at > k.called_at
              and d.voided_at is null and not d.estimated)
          order by k.called_at limit 2000) c) as calls,
        (select coalesce(json_agg(json_build_array(m.meter, m.line_id,
            extract(epoch from lower(m.during)) * 1000, extract(epoch from upper(m.during)) * 1000)
            order by lower(m.during)), '[]')
          from liftwright.meter_source m
          where m.fleet_id = $1 and m.asset_id = $2) as sources,
        (select coalesce(json_agg(json_build_array(u.meter, u.at_ms, u.grains)), '[]')
          from liftwright.use_until u where u.fleet_id = $1 and u.asset_id = $2) as uses,
        (select coalesce(json_agg(json_build_array(b.meter, extract(epoch from b.at) * 1000,
            b.grains)), '[]')
          from liftwright.meter_start b where b.fleet_id = $1 and b.asset_id = $2) as starts`,
    values: [fleetId, assetId, donesMax],
  });
  return toAssetWork(rows[0]);
}

// biome-ignore lint/suspicious/noExplicitAny: json that the statement above has built
function toAssetWork(row: any): AssetWork {
  return {
    dones: row.dones
      .map(([doneId, taskKey, doneAtMs, estimated, meterValues]: DoneTuple) => ({
        doneId,
        taskKey,
        doneAtMs,
        estimated,
        meterValues,
      }))
      .reverse(),
    deferrals: row.deferrals.map(
      ([taskKey, fromAtMs, untilDay, untilUse, approver, restriction]: [
        string,
        number,
        string,
        Record<string, number>,
        string,
        string,
      ]) => ({ taskKey, fromAtMs, untilDay, untilUse, approver, restriction }),
    ),
    calls: row.calls,
    sources: row.sources.map(([meter, lineId, fromMs, toMs]: [string, number, number, number]) => ({
      meter,
      lineId,
      fromMs,
      toMs,
    })),
    uses: row.uses.map(([meter, atMs, grains]: [string, number, number]) => ({
      meter,
      atMs,
      grains,
    })),
    starts: row.starts.map(([meter, atMs, grains]: [string, number, number]) => ({
      meter,
      atMs,
      grains,
    })),
  };
}
