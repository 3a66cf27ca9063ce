import { and, asc, desc, eq, inArray, isNotNull, isNull, lt, type SQL, sql } from 'drizzle-orm';
import { finding, walkDefect, walkRound } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type WalkRoundRow = typeof walkRound.$inferSelect;
export type WalkDefectRow = typeof walkDefect.$inferSelect;

/** A defect, and what its finding says: that may have been closed elsewhere. */
export interface WalkDefectShown extends WalkDefectRow {
  reports: number;
  findingEnded: {
    how: string;
    words: string | null;
    atMs: number;
    personId: string | null;
    name: string | null;
    cardId: string | null;
  } | null;
}

export async function insertWalkRound(tx: Tx, row: WalkRoundRow): Promise<void> {
  await builder(tx).insert(walkRound).values(row);
}

export async function insertWalkDefects(tx: Tx, rows: readonly WalkDefectRow[]): Promise<void> {
  if (rows.length > 0)
    await builder(tx)
      .insert(walkDefect)
      .values([...rows]);
}

export async function findWalkRound(
  tx: Tx,
  fleetId: number,
  walkRoundId: string,
  lock = false,
): Promise<WalkRoundRow | null> {
  const query = builder(tx)
    .select()
    .from(walkRound)
    .where(and(eq(walkRound.fleetId, fleetId), eq(walkRound.walkRoundId, walkRoundId)));
  const rows = await (lock ? query.for('update') : query);
  return rows[0] ?? null;
}

/** The defects of walk-rounds, in the order in which they were told. */
export async function defectsOfRounds(
  tx: Tx,
  fleetId: number,
  walkRoundIds: readonly string[],
): Promise<WalkDefectShown[]> {
  if (walkRoundIds.length === 0) return [];
  const rows = await builder(tx)
    .select({ row: walkDefect, finding })
    .from(walkDefect)
    .innerJoin(
      finding,
      and(eq(finding.fleetId, walkDefect.fleetId), eq(finding.findingId, walkDefect.findingId)),
    )
    .where(and(eq(walkDefect.fleetId, fleetId), inArray(walkDefect.walkRoundId, [...walkRoundIds])))
    .orderBy(asc(walkDefect.defectId));
  return rows.map(({ row, finding: found }) => ({
    ...row,
    reports: found.reports,
    findingEnded:
      found.closedAtMs === null
        ? null
        : {
            how: found.closedHow ?? '',
            words: found.closedWords,
            atMs: found.closedAtMs,
            personId: found.closedByPerson,
            name: found.closedByName,
            cardId: found.cardId,
          },
  }));
}

export async function certifyDefectRow(
  tx: Tx,
  fleetId: number,
  defectId: string,
  set: Pick<WalkDefectRow, 'certified' | 'certifiedWords' | 'certifiedCard' | 'certifiedAtMs'> &
    Pick<WalkDefectRow, 'certifiedByPerson' | 'certifiedByKey' | 'certifiedByName'>,
): Promise<void> {
  await builder(tx)
    .update(walkDefect)
    .set(set)
    .where(and(eq(walkDefect.fleetId, fleetId), eq(walkDefect.defectId, defectId)));
}

export async function reviewRoundRow(
  tx: Tx,
  fleetId: number,
  walkRoundId: string,
  set: Pick<WalkRoundRow, 'reviewedAtMs' | 'reviewedByPerson' | 'reviewedByKey' | 'reviewedByName'>,
): Promise<void> {
  await builder(tx)
    .update(walkRound)
    .set(set)
    .where(and(eq(walkRound.fleetId, fleetId), eq(walkRound.walkRoundId, walkRoundId)));
}

const waiting = (): SQL =>
  and(sql`${walkRound.defects} > 0`, isNull(walkRound.reviewedAtMs)) as SQL;

export interface WalkRoundFilter {
  unitId: string | undefined;
  /** Whether it waits for a certification or a review. */
  waits: boolean | undefined;
}

/** Walk-rounds, the last recorded first. */
export async function listWalkRounds(
  tx: Tx,
  fleetId: number,
  { unitId, waits }: WalkRoundFilter,
  after: [walkRoundId: string] | null,
  limit: number,
): Promise<WalkRoundRow[]> {
  const done = sql`(${walkRound.defects} = 0 or ${isNotNull(walkRound.reviewedAtMs)})`;
  return builder(tx)
    .select()
    .from(walkRound)
    .where(
      and(
        eq(walkRound.fleetId, fleetId),
        unitId === undefined ? undefined : eq(walkRound.unitId, unitId),
        waits === undefined ? undefined : waits ? waiting() : done,
        after ? lt(walkRound.walkRoundId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(walkRound.walkRoundId))
    .limit(limit);
}

/** A walk-round whose defects the next driver has not reviewed yet. */
export interface Unreviewed {
  unitId: string;
  /** The first of them. */
  walkRoundId: string;
  atMs: number;
  /** Over all of them. */
  defects: number;
}

/** Of these units, those that have defects which no driver has reviewed and signed since. */
export async function unreviewedOf(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
): Promise<Map<string, Unreviewed>> {
  if (unitIds.length === 0) return new Map();
  const { rows } = await tx.query(
    `select r.unit_id, min(r.walk_round_id::text) as walk_round_id, sum(r.defects)::int as defects,
        (extract(epoch from min(r.recorded_at)) * 1000)::float8 as at_ms
      from liftwright.walk_round r
      where r.fleet_id = $1 and r.unit_id = any ($2::uuid[]) and r.defects > 0
        and r.reviewed_at is null
      group by r.unit_id`,
    [fleetId, [...unitIds]],
  );
  return new Map(
    rows.map((row) => [
      row.unit_id,
      {
        unitId: row.unit_id,
        walkRoundId: row.walk_round_id,
        atMs: row.at_ms,
        defects: row.defects,
      },
    ]),
  );
}
