import { and, eq } from 'drizzle-orm';
import type pg from 'pg';
import { unit, unitStanding } from '../../db/schema/index.ts';
import type { UnitReason } from '../domain/upkeep/rank-unit.ts';
import type { TaskStatus } from '../domain/upkeep/task-working.ts';
import { builder, type Tx } from './tx.ts';

export interface Standing {
  unitId: string;
  shard: number;
  yardId: string | null;
  status: TaskStatus;
  rank: number;
  /** 'infinity' when no day is in sight. */
  pressOn: string;
  reasons: { reasons: UnitReason[]; more: number };
  assessedAtMs: number;
  nextCheckAtMs: number | null;
}

/** Units of a shard that are marked, or whose time to be looked at again has come. */
export async function unitsToAssess(
  scheduler: pg.Pool,
  shard: number,
  nowMs: number,
  limit: number,
): Promise<{ fleetId: number; unitId: string }[]> {
  const { rows } = await scheduler.query(
    `(select fleet_id, unit_id from liftwright.unit_mark where shard = $1
       group by fleet_id, unit_id order by min(mark_id) limit $3)
     union
     (select fleet_id, unit_id from liftwright.unit_standing
       where shard = $1 and next_check_at <= to_timestamp($2::float8 / 1000)
       order by next_check_at limit $3)`,
    [shard, nowMs, limit],
  );
  return rows.map((row) => ({ fleetId: row.fleet_id, unitId: row.unit_id }));
}

/** Takes a unit for this transaction; false when another worker has it. */
export async function takeUnit(tx: Tx, fleetId: number, unitId: string): Promise<boolean> {
  const rows = await builder(tx)
    .select({ unitId: unit.unitId })
    .from(unit)
    .where(and(eq(unit.fleetId, fleetId), eq(unit.unitId, unitId)))
    .for('no key update', { skipLocked: true });
  return rows.length === 1;
}

export async function saveStanding(tx: Tx, fleetId: number, standing: Standing): Promise<void> {
  await tx.query({
    name: 'save_standing',
    text: `insert into liftwright.unit_standing (fleet_id, unit_id, shard, yard_id, status, rank,
        press_on, reasons, assessed_at, next_check_at)
      values ($1, $2, $3, $4, $5, $6, $7, $8, to_timestamp($9::float8 / 1000),
        to_timestamp($10::float8 / 1000))
      on conflict (fleet_id, unit_id) do update set shard = excluded.shard,
        yard_id = excluded.yard_id, status = excluded.status, rank = excluded.rank,
        press_on = excluded.press_on, reasons = excluded.reasons,
        assessed_at = excluded.assessed_at, next_check_at = excluded.next_check_at`,
    values: [
      fleetId,
      standing.unitId,
      standing.shard,
      standing.yardId,
      standing.status,
      standing.rank,
      standing.pressOn,
      JSON.stringify(standing.reasons),
      standing.assessedAtMs,
      standing.nextCheckAtMs,
    ],
  });
}

export async function saveNextCheck(
  tx: Tx,
  fleetId: number,
  unitId: string,
  nextCheckAtMs: number | null,
): Promise<void> {
  await builder(tx)
    .update(unitStanding)
    .set({ nextCheckAtMs })
    .where(and(eq(unitStanding.fleetId, fleetId), eq(unitStanding.unitId, unitId)));
}

/** The visit that a unit is on, or its next one. */
export interface NextVisit {
  visitId: string;
  yardId: string;
  bay: string;
  fromMs: number;
  toMs: number;
  canSpareFromMs: number | null;
  backByMs: number | null;
  agreed: boolean;
}

export interface BringInRow extends Standing {
  number: string;
  yardName: string | null;
  visit: NextVisit | null;
}

interface BringInFilter {
  yardId: string | null;
  status: readonly TaskStatus[] | null;
  throughDay: string | null;
}
type BringInKey = [rank: number, pressOn: string, unitId: string];

/** A condition with `?` for each of its values. */
interface Condition {
  name: string;
  sql: string;
  values: unknown[];
}

function conditionsOf(filter: BringInFilter, after: BringInKey | null): Condition[] {
  const { yardId, status, throughDay } = filter;
  const all: (Condition | null)[] = [
    yardId === null ? null : { name: 'yard', sql: 's.yard_id = ?::uuid', values: [yardId] },
    status === null
      ? null
      : { name: 'status', sql: 's.status = any (?::text[])', values: [status] },
    throughDay === null
      ? null
      : {
          name: 'through',
          sql: "(s.press_on <= ?::date or s.status = 'unknown')",
          values: [throughDay],
        },
    after === null
      ? null
      : {
          name: 'after',
          sql: '(s.rank, s.press_on, s.unit_id) > (?::int, ?::date, ?::uuid)',
          values: [...after],
        },
  ];
  return all.filter((condition) => condition !== null);
}

/** The conditions joined on, their values numbered from `first` on. */
function numbered(conditions: readonly Condition[], first: number): string {
  let next = first;
  return conditions.map(({ sql }) => `and ${sql.replace(/\?/g, () => `$${next++}`)}`).join(' ');
}

/** The bring-in list: most pressing first, by rank, day, unit. */
export async function bringInList(
  tx: Tx,
  fleetId: number,
  nowMs: number,
  filter: BringInFilter,
  after: BringInKey | null,
  limit: number,
): Promise<BringInRow[]> {
  const wanted = conditionsOf(filter, after);
  const { rows } = await tx.query({
    // A plan for each set of filters: one for all of them could not use the index of a yard.
    name: `bring_in_list_${wanted.map(({ name }) => name).join('_')}`,
    text: `select s.unit_id, s.shard, s.yard_id, s.status, s.rank, s.press_on::text, s.reasons,
        (extract(epoch from s.assessed_at) * 1000)::float8 as assessed_ms,
        (extract(epoch from s.next_check_at) * 1000)::float8 as next_ms, u.number,
        y.name as yard_name, v.visit
      from liftwright.unit_standing s
      join liftwright.unit u on u.fleet_id = s.fleet_id and u.unit_id = s.unit_id
      left join liftwright.yard y on y.fleet_id = s.fleet_id and y.yard_id = s.yard_id
      left join lateral (
        select json_build_object('visitId', v.visit_id, 'yardId', v.yard_id, 'bay', v.bay,
          'fromMs', extract(epoch from lower(v.during)) * 1000,
          'toMs', extract(epoch from upper(v.during)) * 1000,
          'canSpareFromMs', extract(epoch from v.can_spare_from) * 1000,
          'backByMs', extract(epoch from v.back_by) * 1000,
          'agreed', v.agreed_by is not null) as visit
        from liftwright.visit v
        where v.fleet_id = s.fleet_id and v.unit_id = s.unit_id and v.cancelled_at is null
          and upper(v.during) > to_timestamp($3::float8 / 1000)
        order by lower(v.during) limit 1) v on true
      where s.fleet_id = $1 ${numbered(wanted, 4)}
      order by s.rank, s.press_on, s.unit_id limit $2`,
    values: [fleetId, limit, nowMs, ...wanted.flatMap(({ values }) => values)],
  });
  return rows.map((row) => ({
    unitId: row.unit_id,
    shard: row.shard,
    yardId: row.yard_id,
    status: row.status,
    rank: row.rank,
    pressOn: row.press_on,
    reasons: row.reasons,
    assessedAtMs: row.assessed_ms,
    nextCheckAtMs: row.next_ms,
    number: row.number,
    yardName: row.yard_name,
    visit: row.visit,
  }));
}
