import { and, asc, desc, eq, gt, isNotNull, isNull, lt, sql } from 'drizzle-orm';
import { finding, findingReport } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type FindingRow = typeof finding.$inferSelect;
export type FindingReportRow = typeof findingReport.$inferSelect;

export async function insertFinding(tx: Tx, row: FindingRow): Promise<void> {
  await builder(tx).insert(finding).values(row);
}

export async function insertFindingReport(tx: Tx, row: FindingReportRow): Promise<void> {
  await builder(tx).insert(findingReport).values(row);
}

/** The open finding at one place of an asset, or of a unit where no asset is named. */
export async function openFindingAt(
  tx: Tx,
  fleetId: number,
  place: {
    unitId: string;
    assetId: string | null;
    pointKey: string | null;
    part: string | null;
  },
): Promise<FindingRow | null> {
  const { unitId, assetId, pointKey, part } = place;
  const rows = await builder(tx)
    .select()
    .from(finding)
    .where(
      and(
        eq(finding.fleetId, fleetId),
        assetId === null
          ? and(isNull(finding.assetId), eq(finding.unitId, unitId))
          : eq(finding.assetId, assetId),
        pointKey === null ? isNull(finding.pointKey) : eq(finding.pointKey, pointKey),
        part === null ? isNull(finding.part) : eq(finding.part, part),
        isNull(finding.closedAtMs),
      ),
    )
    .orderBy(asc(finding.findingId))
    .limit(1);
  return rows[0] ?? null;
}

/** A finding, kept from others until the transaction ends. */
export async function lockFinding(
  tx: Tx,
  fleetId: number,
  findingId: string,
): Promise<FindingRow | null> {
  const rows = await builder(tx)
    .select()
    .from(finding)
    .where(and(eq(finding.fleetId, fleetId), eq(finding.findingId, findingId)))
    .for('update');
  return rows[0] ?? null;
}

export async function updateFinding(
  tx: Tx,
  fleetId: number,
  findingId: string,
  set: Partial<Omit<FindingRow, 'fleetId' | 'findingId' | 'unitId' | 'assetId' | 'foundAtMs'>>,
): Promise<void> {
  await builder(tx)
    .update(finding)
    .set(set)
    .where(and(eq(finding.fleetId, fleetId), eq(finding.findingId, findingId)));
}

/** Whether one of these points of an asset, or the asset without a point, was found unfit. */
export async function hasUnfitAt(
  tx: Tx,
  fleetId: number,
  assetId: string,
  points: readonly string[],
): Promise<boolean> {
  const { rows } = await tx.query(
    `select exists (select from liftwright.finding
       where fleet_id = $1 and asset_id = $2 and closed_at is null and grade = 'unfit'
         and (point_key is null or point_key = any ($3))) as unfit`,
    [fleetId, assetId, [...points]],
  );
  return rows[0].unfit;
}

/** The findings of a unit and of what is on it now, the last found first. */
export async function listFindings(
  tx: Tx,
  fleetId: number,
  filter: { unitId: string; atMs: number; open: boolean | undefined },
  after: [findingId: string] | null,
  limit: number,
): Promise<FindingRow[]> {
  return builder(tx)
    .select()
    .from(finding)
    .where(
      and(
        eq(finding.fleetId, fleetId),
        sql`(${finding.unitId} = ${filter.unitId}::uuid or ${finding.assetId} in (
          select i.asset_id from liftwright.install i where i.fleet_id = ${fleetId}
            and i.unit_id = ${filter.unitId}::uuid and i.asset_id is not null
            and i.during @> to_timestamp(${filter.atMs}::float8 / 1000)))`,
        filter.open === undefined
          ? undefined
          : filter.open
            ? isNull(finding.closedAtMs)
            : isNotNull(finding.closedAtMs),
        after ? lt(finding.findingId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(finding.findingId))
    .limit(limit);
}

/** Each time that a finding was told, oldest first. */
export async function listFindingReports(
  tx: Tx,
  fleetId: number,
  findingId: string,
  after: [reportId: string] | null,
  limit: number,
): Promise<FindingReportRow[]> {
  return builder(tx)
    .select()
    .from(findingReport)
    .where(
      and(
        eq(findingReport.fleetId, fleetId),
        eq(findingReport.findingId, findingId),
        after ? gt(findingReport.reportId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(findingReport.reportId))
    .limit(limit);
}
