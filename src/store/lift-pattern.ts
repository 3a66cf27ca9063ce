import { and, asc, desc, eq, gt, or } from 'drizzle-orm';
import { liftPattern, patternMove } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type LiftPatternRow = typeof liftPattern.$inferSelect;

export async function insertPattern(tx: Tx, row: LiftPatternRow): Promise<void> {
  await builder(tx).insert(liftPattern).values(row);
}

/** One version, or the newest when none is named. */
export async function findPattern(
  tx: Tx,
  fleetId: number,
  patternId: string,
  version: number | null,
): Promise<LiftPatternRow | null> {
  const rows = await builder(tx)
    .select()
    .from(liftPattern)
    .where(
      and(
        eq(liftPattern.fleetId, fleetId),
        eq(liftPattern.patternId, patternId),
        version === null ? undefined : eq(liftPattern.version, version),
      ),
    )
    .orderBy(desc(liftPattern.version))
    .limit(1);
  return rows[0] ?? null;
}

export async function listPatterns(
  tx: Tx,
  fleetId: number,
  after: [patternId: string, version: number] | null,
  limit: number,
): Promise<LiftPatternRow[]> {
  const { patternId, version } = liftPattern;
  const later = after
    ? or(gt(patternId, after[0]), and(eq(patternId, after[0]), gt(version, after[1])))
    : undefined;
  return builder(tx)
    .select()
    .from(liftPattern)
    .where(and(eq(liftPattern.fleetId, fleetId), later))
    .orderBy(asc(patternId), asc(version))
    .limit(limit);
}

export type PatternMoveRow = typeof patternMove.$inferSelect;

export async function insertPatternMove(tx: Tx, row: PatternMoveRow): Promise<void> {
  await builder(tx).insert(patternMove).values(row);
}

/** What an asset was moved to, oldest first. */
export async function listPatternMoves(
  tx: Tx,
  fleetId: number,
  assetId: string,
  after: [moveId: string] | null,
  limit: number,
): Promise<PatternMoveRow[]> {
  const { moveId } = patternMove;
  return builder(tx)
    .select()
    .from(patternMove)
    .where(
      and(
        eq(patternMove.fleetId, fleetId),
        eq(patternMove.assetId, assetId),
        after ? gt(moveId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(moveId))
    .limit(limit);
}
