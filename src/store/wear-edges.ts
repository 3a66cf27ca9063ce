import { and, asc, eq, gt, sql } from 'drizzle-orm';
import {
  measurement,
  measurementDecision,
  partLife,
  partLifeEntry,
} from '../../db/schema/index.ts';
import type { Decided, MeasurementRow } from './measurement.ts';
import { firstOfEach } from './of-each.ts';
import type { PartLife } from './part-life.ts';
import { builder, type Tx } from './tx.ts';

/** The pages of what wears: of many assets in two statements each, in the order of telling. */

const anyOf = (column: unknown, ids: readonly string[]) =>
  sql`${column} = any (${sql.param([...ids])}::uuid[])`;

/** The parts of assets, each with the entry that holds. */
export async function partLivesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  after: [lifeId: string] | null,
  limit: number,
): Promise<Map<string, PartLife[]>> {
  const found = await firstOfEach(tx, partLife, assetIds, {
    where: (parent) =>
      and(
        eq(partLife.fleetId, fleetId),
        sql`${partLife.assetId} = ${parent}`,
        after ? gt(partLife.lifeId, after[0]) : undefined,
      ),
    order: [asc(partLife.lifeId)],
    limit,
  });
  const ids = [...found.values()].flat().map((life) => life.lifeId);
  const entries = await builder(tx)
    .selectDistinctOn([partLifeEntry.lifeId])
    .from(partLifeEntry)
    .where(and(eq(partLifeEntry.fleetId, fleetId), anyOf(partLifeEntry.lifeId, ids)))
    .orderBy(asc(partLifeEntry.lifeId), sql`${partLifeEntry.entryNo} desc`);
  const last = new Map(entries.map((entry) => [entry.lifeId, entry]));
  return new Map(
    [...found].map(([id, lives]) => [
      id,
      lives.flatMap((life) => {
        const entry = last.get(life.lifeId);
        return entry ? [{ life, entry }] : [];
      }),
    ]),
  );
}

/** The measurements of assets, with what was said of each since. */
export async function measurementsOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  after: [measurementId: string] | null,
  limit: number,
): Promise<Map<string, { row: MeasurementRow; decisions: Decided[] }[]>> {
  const found = await firstOfEach(tx, measurement, assetIds, {
    where: (parent) =>
      and(
        eq(measurement.fleetId, fleetId),
        sql`${measurement.assetId} = ${parent}`,
        after ? gt(measurement.measurementId, after[0]) : undefined,
      ),
    order: [asc(measurement.measurementId)],
    limit,
  });
  const ids = [...found.values()].flat().map((row) => row.measurementId);
  const { decision, name, reason, recordedAtMs, measurementId } = measurementDecision;
  const said = await builder(tx)
    .select({ decision, name, reason, recordedAtMs, measurementId })
    .from(measurementDecision)
    .where(and(eq(measurementDecision.fleetId, fleetId), anyOf(measurementId, ids)))
    .orderBy(asc(recordedAtMs), asc(decision));
  return new Map(
    [...found].map(([id, rows]) => [
      id,
      rows.map((row) => ({
        row,
        decisions: said.filter((each) => each.measurementId === row.measurementId),
      })),
    ]),
  );
}
