import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { unit, unitYard, yard } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type UnitRow = typeof unit.$inferSelect;
export interface UnitWithYards extends UnitRow {
  homeYardId: string | null;
  presentYardId: string | null;
}

export async function insertUnit(tx: Tx, row: UnitRow): Promise<void> {
  await builder(tx).insert(unit).values(row);
}

export async function insertUnitYard(tx: Tx, row: typeof unitYard.$inferInsert): Promise<void> {
  await builder(tx).insert(unitYard).values(row);
}

// Drizzle leaves column names bare in a select from one table, so the outer ones are written out.
const yardAt = (role: 'home' | 'present', atMs: number) =>
  sql<string | null>`(select y.yard_id from liftwright.unit_yard y
     where y.fleet_id = unit.fleet_id and y.unit_id = unit.unit_id and y.role = ${role}
       and y.during @> to_timestamp(${atMs}::float8 / 1000))`;

export const withYards = (atMs: number) => ({
  fleetId: unit.fleetId,
  unitId: unit.unitId,
  number: unit.number,
  note: unit.note,
  furnishedBy: unit.furnishedBy,
  createdAtMs: unit.createdAtMs,
  homeYardId: yardAt('home', atMs).as('home_yard_id'),
  presentYardId: yardAt('present', atMs).as('present_yard_id'),
});

export async function listUnits(
  tx: Tx,
  fleetId: number,
  atMs: number,
  after: [number: string] | null,
  limit: number,
): Promise<UnitWithYards[]> {
  return builder(tx)
    .select(withYards(atMs))
    .from(unit)
    .where(and(eq(unit.fleetId, fleetId), after ? gt(unit.number, after[0]) : undefined))
    .orderBy(asc(unit.number))
    .limit(limit);
}

export async function findUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
  atMs: number,
): Promise<UnitWithYards | null> {
  const rows = await builder(tx)
    .select(withYards(atMs))
    .from(unit)
    .where(and(eq(unit.fleetId, fleetId), eq(unit.unitId, unitId)));
  return rows[0] ?? null;
}

export interface UnitCalendarRow {
  unitId: string;
  yardId: string;
  fromMs: number;
  toMs: number | null;
  timeZone: string;
}

/** The dated home yards of units, oldest first: their calendars. */
export async function homeYards(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
): Promise<Map<string, UnitCalendarRow[]>> {
  const rows = await builder(tx)
    .select({
      unitId: unitYard.unitId,
      yardId: unitYard.yardId,
      during: unitYard.during,
      timeZone: yard.timeZone,
    })
    .from(unitYard)
    .innerJoin(yard, and(eq(yard.fleetId, unitYard.fleetId), eq(yard.yardId, unitYard.yardId)))
    .where(
      and(
        eq(unitYard.fleetId, fleetId),
        eq(unitYard.role, 'home'),
        sql`${unitYard.unitId} = any (${sql.param([...unitIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(sql`lower(${unitYard.during})`));
  const byUnit = new Map<string, UnitCalendarRow[]>();
  for (const { unitId, yardId, during, timeZone } of rows) {
    const list = byUnit.get(unitId) ?? [];
    list.push({
      unitId,
      yardId,
      fromMs: during.fromMs,
      toMs: during.toMs,
      timeZone,
    });
    byUnit.set(unitId, list);
  }
  return byUnit;
}

/** The units whose home is this yard at an instant. */
export async function unitsOfYard(
  tx: Tx,
  fleetId: number,
  yardId: string,
  atMs: number,
): Promise<string[]> {
  const rows = await builder(tx)
    .select({ unitId: unitYard.unitId })
    .from(unitYard)
    .where(
      and(
        eq(unitYard.fleetId, fleetId),
        eq(unitYard.yardId, yardId),
        eq(unitYard.role, 'home'),
        sql`${unitYard.during} @> to_timestamp(${atMs}::float8 / 1000)`,
      ),
    );
  return rows.map((row) => row.unitId);
}
