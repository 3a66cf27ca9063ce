import { and, asc, eq, gt } from 'drizzle-orm';
import { severity } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type SeverityRow = typeof severity.$inferSelect;

export async function insertSeverity(tx: Tx, row: SeverityRow): Promise<void> {
  await builder(tx).insert(severity).values(row);
}

export async function listSeverities(
  tx: Tx,
  fleetId: number,
  after: [severityId: string] | null,
  limit: number,
): Promise<SeverityRow[]> {
  return builder(tx)
    .select()
    .from(severity)
    .where(
      and(eq(severity.fleetId, fleetId), after ? gt(severity.severityId, after[0]) : undefined),
    )
    .orderBy(asc(severity.severityId))
    .limit(limit);
}
