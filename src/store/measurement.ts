import { and, asc, desc, eq, gt, isNull, lt, sql } from 'drizzle-orm';
import { measurement, measurementDecision, removalCheck, takeUp } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type MeasurementRow = typeof measurement.$inferSelect;
export type MeasurementDecisionRow = typeof measurementDecision.$inferSelect;
export type TakeUpRow = typeof takeUp.$inferSelect;
export type RemovalCheckRow = typeof removalCheck.$inferSelect;

export interface Decided {
  decision: MeasurementDecisionRow['decision'];
  name: string;
  reason: string;
  recordedAtMs: number;
}

/** A measurement with what was said of it since, and the part that was in its place. */
export interface MeasurementWithWord {
  row: MeasurementRow;
  decisions: Decided[];
  lifeId: string | null;
}

export async function insertMeasurement(tx: Tx, row: MeasurementRow): Promise<void> {
  await builder(tx).insert(measurement).values(row);
}

export async function insertMeasurementDecision(
  tx: Tx,
  row: MeasurementDecisionRow,
): Promise<void> {
  await builder(tx).insert(measurementDecision).values(row);
}

// Drizzle leaves column names bare in a select from one table, so the outer ones are written out.
const decisions = sql<
  [Decided['decision'], string, string, number][] | null
>`(select json_agg(json_build_array(d.decision, d.name, d.reason,
    (extract(epoch from d.recorded_at) * 1000)::float8) order by d.recorded_at, d.decision)
  from liftwright.measurement_decision d where d.fleet_id = measurement.fleet_id
    and d.measurement_id = measurement.measurement_id)`;

/** The part that was in that place at that time, as it is known now. */
const lifeThen = sql<string | null>`(select l.life_id from liftwright.part_life l
  cross join lateral (select e.* from liftwright.part_life_entry e
    where e.fleet_id = l.fleet_id and e.life_id = l.life_id order by e.entry_no desc limit 1) e
  where l.fleet_id = measurement.fleet_id and l.asset_id = measurement.asset_id
    and l.part = measurement.part and l.point_key = measurement.point_key and e.kind <> 'voided'
    and e.fitted_at <= measurement.at
    and (e.removed_at is null or e.removed_at > measurement.at)
  order by e.fitted_at desc limit 1)`;

const measurements = (tx: Tx) =>
  builder(tx).select({ row: measurement, decisions, lifeId: lifeThen }).from(measurement);

const withWord = (found: {
  row: MeasurementRow;
  decisions: [Decided['decision'], string, string, number][] | null;
  lifeId: string | null;
}): MeasurementWithWord => ({
  ...found,
  decisions: (found.decisions ?? []).map(([decision, name, reason, recordedAtMs]) => ({
    decision,
    name,
    reason,
    recordedAtMs,
  })),
});

export async function findMeasurement(
  tx: Tx,
  fleetId: number,
  measurementId: string,
): Promise<MeasurementWithWord | null> {
  const rows = await measurements(tx).where(
    and(eq(measurement.fleetId, fleetId), eq(measurement.measurementId, measurementId)),
  );
  return rows[0] ? withWord(rows[0]) : null;
}

export interface MeasurementFilter {
  assetId: string;
  pointKey?: string | undefined;
  part?: string | undefined;
  /** Only those that wait for a word. */
  questioned?: boolean | undefined;
}

const waits = sql`${measurement.questionedAgainst} is not null and not exists (select
  from liftwright.measurement_decision d where d.fleet_id = measurement.fleet_id
    and d.measurement_id = measurement.measurement_id)`;

/** Measurements of an asset in the order of telling; withdrawn ones too. */
export async function listMeasurements(
  tx: Tx,
  fleetId: number,
  filter: MeasurementFilter,
  after: [measurementId: string] | null,
  limit: number,
): Promise<MeasurementWithWord[]> {
  const { assetId, pointKey, part, questioned } = filter;
  const rows = await measurements(tx)
    .where(
      and(
        eq(measurement.fleetId, fleetId),
        eq(measurement.assetId, assetId),
        pointKey === undefined ? undefined : eq(measurement.pointKey, pointKey),
        part === undefined ? undefined : eq(measurement.part, part),
        questioned === undefined ? undefined : questioned ? waits : sql`not (${waits})`,
        after ? gt(measurement.measurementId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(measurement.measurementId))
    .limit(limit);
  return rows.map(withWord);
}

/**
 * The nearest readings of a place before (or after) an instant that count: not withdrawn, and not
 * waiting for a word.
 */
export async function nearestMeasurement(
  tx: Tx,
  fleetId: number,
  place: { assetId: string; pointKey: string; part: string | null; unit: 'size' | 'gauge' },
  atMs: number,
  side: 'before' | 'after',
): Promise<MeasurementRow | null> {
  const rows = await builder(tx)
    .select()
    .from(measurement)
    .where(
      and(
        eq(measurement.fleetId, fleetId),
        eq(measurement.assetId, place.assetId),
        eq(measurement.pointKey, place.pointKey),
        place.part === null ? isNull(measurement.part) : eq(measurement.part, place.part),
        place.unit === 'gauge' ? isNull(measurement.value) : isNull(measurement.gauge),
        side === 'before' ? lt(measurement.atMs, atMs) : gt(measurement.atMs, atMs),
        sql`not (${waits})`,
        sql`not exists (select from liftwright.measurement_decision d
          where d.fleet_id = measurement.fleet_id and d.decision = 'withdrawn'
            and d.measurement_id = measurement.measurement_id)`,
      ),
    )
    .orderBy(side === 'before' ? desc(measurement.atMs) : asc(measurement.atMs))
    .limit(1);
  return rows[0] ?? null;
}

export async function insertTakeUp(tx: Tx, row: TakeUpRow): Promise<void> {
  await builder(tx).insert(takeUp).values(row);
}

export async function findTakeUp(
  tx: Tx,
  fleetId: number,
  takeUpId: string,
): Promise<TakeUpRow | null> {
  const rows = await builder(tx)
    .select()
    .from(takeUp)
    .where(and(eq(takeUp.fleetId, fleetId), eq(takeUp.takeUpId, takeUpId)))
    .for('update');
  return rows[0] ?? null;
}

export async function voidTakeUpRow(
  tx: Tx,
  fleetId: number,
  takeUpId: string,
  voiding: Pick<TakeUpRow, 'voidReason' | 'voidedBy' | 'voidedAtMs'>,
): Promise<void> {
  await builder(tx)
    .update(takeUp)
    .set(voiding)
    .where(and(eq(takeUp.fleetId, fleetId), eq(takeUp.takeUpId, takeUpId)));
}

/** Take-ups of an asset in the order of telling, voided ones too. */
export async function listTakeUps(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; pointKey?: string | undefined },
  after: [takeUpId: string] | null,
  limit: number,
): Promise<TakeUpRow[]> {
  return builder(tx)
    .select()
    .from(takeUp)
    .where(
      and(
        eq(takeUp.fleetId, fleetId),
        eq(takeUp.assetId, filter.assetId),
        filter.pointKey === undefined ? undefined : eq(takeUp.pointKey, filter.pointKey),
        after ? gt(takeUp.takeUpId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(takeUp.takeUpId))
    .limit(limit);
}

/** Whether tension was taken up in a place between two instants. */
export async function takenUpBetween(
  tx: Tx,
  fleetId: number,
  place: { assetId: string; pointKey: string },
  fromMs: number,
  toMs: number,
): Promise<boolean> {
  const rows = await builder(tx)
    .select({ takeUpId: takeUp.takeUpId })
    .from(takeUp)
    .where(
      and(
        eq(takeUp.fleetId, fleetId),
        eq(takeUp.assetId, place.assetId),
        eq(takeUp.pointKey, place.pointKey),
        isNull(takeUp.voidedAtMs),
        sql`${takeUp.atMs} between to_timestamp(${fromMs}::float8 / 1000)
          and to_timestamp(${toMs}::float8 / 1000)`,
      ),
    )
    .limit(1);
  return rows.length > 0;
}

/** Thousandths of a turn that were taken up in a place from one instant to before another. */
export async function turnsBetween(
  tx: Tx,
  fleetId: number,
  place: { assetId: string; pointKey: string },
  fromMs: number,
  toMs: number,
): Promise<number> {
  const rows = await builder(tx)
    .select({ turns: sql<number>`coalesce(sum(${takeUp.turns}), 0)::int` })
    .from(takeUp)
    .where(
      and(
        eq(takeUp.fleetId, fleetId),
        eq(takeUp.assetId, place.assetId),
        eq(takeUp.pointKey, place.pointKey),
        isNull(takeUp.voidedAtMs),
        sql`${takeUp.atMs} >= to_timestamp(${fromMs}::float8 / 1000)`,
        sql`${takeUp.atMs} <= to_timestamp(${toMs}::float8 / 1000)`,
      ),
    );
  return rows[0]?.turns ?? 0;
}

export async function insertRemovalCheck(tx: Tx, row: RemovalCheckRow): Promise<void> {
  await builder(tx).insert(removalCheck).values(row);
}

export async function findRemovalCheck(
  tx: Tx,
  fleetId: number,
  checkId: string,
): Promise<RemovalCheckRow | null> {
  const rows = await builder(tx)
    .select()
    .from(removalCheck)
    .where(and(eq(removalCheck.fleetId, fleetId), eq(removalCheck.checkId, checkId)))
    .for('update');
  return rows[0] ?? null;
}

export async function voidRemovalCheckRow(
  tx: Tx,
  fleetId: number,
  checkId: string,
  voiding: Pick<RemovalCheckRow, 'voidReason' | 'voidedBy' | 'voidedAtMs'>,
): Promise<void> {
  await builder(tx)
    .update(removalCheck)
    .set(voiding)
    .where(and(eq(removalCheck.fleetId, fleetId), eq(removalCheck.checkId, checkId)));
}

/** Removal checks of an asset in the order of telling, voided ones too. */
export async function listRemovalChecks(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; pointKey?: string | undefined },
  after: [checkId: string] | null,
  limit: number,
): Promise<RemovalCheckRow[]> {
  return builder(tx)
    .select()
    .from(removalCheck)
    .where(
      and(
        eq(removalCheck.fleetId, fleetId),
        eq(removalCheck.assetId, filter.assetId),
        filter.pointKey === undefined ? undefined : eq(removalCheck.pointKey, filter.pointKey),
        after ? gt(removalCheck.checkId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(removalCheck.checkId))
    .limit(limit);
}
