import { and, desc, eq, gt, isNotNull, isNull, lt, or } from 'drizzle-orm';
import { symptom, symptomReport } from '../../db/schema/index.ts';
import { assetIsOn } from './trouble.ts';
import { builder, type Tx } from './tx.ts';

export type SymptomRow = typeof symptom.$inferSelect;
export type SymptomReportRow = typeof symptomReport.$inferSelect;

export async function insertSymptom(tx: Tx, row: SymptomRow): Promise<void> {
  await builder(tx).insert(symptom).values(row);
}

export async function insertSymptomReport(tx: Tx, row: SymptomReportRow): Promise<void> {
  await builder(tx).insert(symptomReport).values(row);
}

export async function updateSymptom(
  tx: Tx,
  fleetId: number,
  symptomId: string,
  set: Partial<Pick<SymptomRow, 'reports' | 'loadOnHook' | 'lastToldAtMs'>>,
): Promise<void> {
  await builder(tx)
    .update(symptom)
    .set(set)
    .where(and(eq(symptom.fleetId, fleetId), eq(symptom.symptomId, symptomId)));
}

export interface SymptomPlace {
  unitId: string;
  assetId: string | null;
  symptom: string;
}

const atPlace = (fleetId: number, { unitId, assetId, symptom: word }: SymptomPlace) =>
  and(
    eq(symptom.fleetId, fleetId),
    assetId === null
      ? and(isNull(symptom.assetId), eq(symptom.unitId, unitId))
      : eq(symptom.assetId, assetId),
    eq(symptom.symptom, word),
  );

/** The open symptom of that word at that place. */
export async function openSymptomAt(
  tx: Tx,
  fleetId: number,
  place: SymptomPlace,
): Promise<SymptomRow | null> {
  const rows = await builder(tx)
    .select()
    .from(symptom)
    .where(and(atPlace(fleetId, place), isNull(symptom.closedAtMs)))
    .for('update');
  return rows[0] ?? null;
}

/** The one of that word at that place that was mended last. */
export async function lastMendedAt(
  tx: Tx,
  fleetId: number,
  place: SymptomPlace,
): Promise<SymptomRow | null> {
  const rows = await builder(tx)
    .select()
    .from(symptom)
    .where(and(atPlace(fleetId, place), eq(symptom.state, 'mended')))
    .orderBy(desc(symptom.closedAtMs), desc(symptom.symptomId))
    .limit(1);
  return rows[0] ?? null;
}

export async function findSymptom(
  tx: Tx,
  fleetId: number,
  symptomId: string,
): Promise<SymptomRow | null> {
  const rows = await builder(tx)
    .select()
    .from(symptom)
    .where(and(eq(symptom.fleetId, fleetId), eq(symptom.symptomId, symptomId)));
  return rows[0] ?? null;
}

/** Each time that it was told, the first time first; the first `limit` of them. */
export async function reportsOfSymptom(
  tx: Tx,
  fleetId: number,
  symptomId: string,
  limit: number,
): Promise<SymptomReportRow[]> {
  return builder(tx)
    .select()
    .from(symptomReport)
    .where(and(eq(symptomReport.fleetId, fleetId), eq(symptomReport.symptomId, symptomId)))
    .orderBy(symptomReport.reportId)
    .limit(limit);
}

export interface SymptomFilter {
  /** Told of this unit, or of what is on it now. */
  unitId: string | undefined;
  atMs: number;
  open: boolean | undefined;
}

/** Symptoms, the last told first. */
export async function listSymptoms(
  tx: Tx,
  fleetId: number,
  { unitId, atMs, open }: SymptomFilter,
  after: [symptomId: string] | null,
  limit: number,
): Promise<SymptomRow[]> {
  const closed = symptom.closedAtMs;
  return builder(tx)
    .select()
    .from(symptom)
    .where(
      and(
        eq(symptom.fleetId, fleetId),
        unitId === undefined
          ? undefined
          : or(eq(symptom.unitId, unitId), assetIsOn(symptom.assetId, fleetId, unitId, atMs)),
        open === undefined ? undefined : open ? isNull(closed) : isNotNull(closed),
        after ? lt(symptom.symptomId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(symptom.symptomId))
    .limit(limit);
}

/** Those that a symptom came back as, later. */
export async function cameBackAs(
  tx: Tx,
  fleetId: number,
  symptomId: string,
): Promise<string | null> {
  const rows = await builder(tx)
    .select({ symptomId: symptom.symptomId })
    .from(symptom)
    .where(
      and(
        eq(symptom.fleetId, fleetId),
        eq(symptom.cameBackOf, symptomId),
        gt(symptom.symptomId, symptomId),
      ),
    )
    .orderBy(symptom.symptomId)
    .limit(1);
  return rows[0]?.symptomId ?? null;
}
