import { and, asc, eq, isNotNull, isNull, type SQL, sql } from 'drizzle-orm';
import { visit } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type VisitRow = typeof visit.$inferSelect;

export async function insertVisit(tx: Tx, row: VisitRow): Promise<void> {
  await builder(tx).insert(visit).values(row);
}

export async function updateVisit(
  tx: Tx,
  fleetId: number,
  visitId: string,
  set: Partial<Omit<VisitRow, 'fleetId' | 'visitId' | 'unitId' | 'recordedBy' | 'createdAtMs'>>,
): Promise<void> {
  await builder(tx)
    .update(visit)
    .set(set)
    .where(and(eq(visit.fleetId, fleetId), eq(visit.visitId, visitId)));
}

export async function findVisit(
  tx: Tx,
  fleetId: number,
  visitId: string,
): Promise<VisitRow | null> {
  const rows = await builder(tx)
    .select()
    .from(visit)
    .where(and(eq(visit.fleetId, fleetId), eq(visit.visitId, visitId)));
  return rows[0] ?? null;
}

const at = (ms: number): SQL => sql`to_timestamp(${ms}::float8 / 1000)`;
const start = sql`lower("visit"."during")`;

export interface VisitFilter {
  unitId: string | undefined;
  yardId: string | undefined;
  /** Visits that take any part of the time from here, and up to there. */
  fromMs: number | undefined;
  toMs: number | undefined;
  cancelled: boolean | undefined;
}

/** Visits by their beginning. */
export async function listVisits(
  tx: Tx,
  fleetId: number,
  filter: VisitFilter,
  after: [fromMs: number, visitId: string] | null,
  limit: number,
): Promise<VisitRow[]> {
  const { unitId, yardId, fromMs, toMs, cancelled } = filter;
  const { cancelledAtMs } = visit;
  return builder(tx)
    .select()
    .from(visit)
    .where(
      and(
        eq(visit.fleetId, fleetId),
        unitId === undefined ? undefined : eq(visit.unitId, unitId),
        yardId === undefined ? undefined : eq(visit.yardId, yardId),
        fromMs === undefined ? undefined : sql`upper("visit"."during") > ${at(fromMs)}`,
        toMs === undefined ? undefined : sql`${start} < ${at(toMs)}`,
        cancelled === undefined
          ? undefined
          : cancelled
            ? isNotNull(cancelledAtMs)
            : isNull(cancelledAtMs),
        after
          ? sql`(${start}, "visit"."visit_id") > (${at(after[0])}, ${after[1]}::uuid)`
          : undefined,
      ),
    )
    .orderBy(asc(start), asc(visit.visitId))
    .limit(limit);
}

export interface TakenBy {
  what: 'bay' | 'unit';
  number: string;
  fromMs: number;
  toMs: number;
}

/** The first visit that has the bay, or the unit, in part of the time of this one. */
export async function visitInTheWay(tx: Tx, row: VisitRow): Promise<TakenBy | null> {
  const { fleetId, visitId, unitId, yardId, bay, during } = row;
  const { rows } = await tx.query(
    `select v.unit_id = $3 as same_unit, u.number,
        (extract(epoch from lower(v.during)) * 1000)::float8 as from_ms,
        (extract(epoch from upper(v.during)) * 1000)::float8 as to_ms
      from liftwright.visit v
      join liftwright.unit u on u.fleet_id = v.fleet_id and u.unit_id = v.unit_id
      where v.fleet_id = $1 and v.visit_id <> $2 and v.cancelled_at is null
        and (v.unit_id = $3 or v.yard_id = $4 and lower(v.bay) = lower($5))
        and v.during && tstzrange(to_timestamp($6::float8 / 1000), to_timestamp($7::float8 / 1000))
      order by lower(v.during) limit 1`,
    [fleetId, visitId, unitId, yardId, bay, during.fromMs, during.toMs],
  );
  const found = rows[0];
  if (!found) return null;
  const { same_unit, number, from_ms, to_ms } = found;
  return { what: same_unit ? 'unit' : 'bay', number, fromMs: from_ms, toMs: to_ms };
}
