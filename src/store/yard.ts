import { and, asc, eq, gt, or } from 'drizzle-orm';
import { yard } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type YardRow = typeof yard.$inferSelect;

export async function insertYard(tx: Tx, row: YardRow): Promise<void> {
  await builder(tx).insert(yard).values(row);
}

export async function listYards(
  tx: Tx,
  fleetId: number,
  after: [name: string, yardId: string] | null,
  limit: number,
): Promise<YardRow[]> {
  const later = after
    ? or(gt(yard.name, after[0]), and(eq(yard.name, after[0]), gt(yard.yardId, after[1])))
    : undefined;
  return builder(tx)
    .select()
    .from(yard)
    .where(and(eq(yard.fleetId, fleetId), later))
    .orderBy(asc(yard.name), asc(yard.yardId))
    .limit(limit);
}

export async function findYard(tx: Tx, fleetId: number, yardId: string): Promise<YardRow | null> {
  const rows = await builder(tx)
    .select()
    .from(yard)
    .where(and(eq(yard.fleetId, fleetId), eq(yard.yardId, yardId)));
  return rows[0] ?? null;
}
