import { and, eq, sql } from 'drizzle-orm';
import type pg from 'pg';
import { foldLine } from '../../db/schema/index.ts';
import type { LineRow } from './counter.ts';
import { builder, type Tx } from './tx.ts';

/** Lines of a shard that have something new, for the scheduler, which sees no more than this. */
export async function dirtyLines(
  scheduler: pg.Pool,
  shard: number,
  limit: number,
): Promise<{ fleetId: number; lineId: number }[]> {
  const { rows } = await scheduler.query(
    `select fleet_id, line_id from liftwright.line_mark where shard = $1
     group by fleet_id, line_id order by min(mark_id) limit $2`,
    [shard, limit],
  );
  return rows.map((row) => ({
    fleetId: row.fleet_id,
    lineId: Number(row.line_id),
  }));
}

/** Takes a line for this transaction; null when another worker has it, or it is gone. */
export async function takeLine(tx: Tx, fleetId: number, lineId: number): Promise<LineRow | null> {
  const rows = await builder(tx)
    .select()
    .from(foldLine)
    .where(and(eq(foldLine.fleetId, fleetId), eq(foldLine.lineId, lineId)))
    .for('no key update', { skipLocked: true });
  return rows[0] ?? null;
}

/** Lines by id, without taking them. */
export async function findLines(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
): Promise<LineRow[]> {
  return builder(tx)
    .select()
    .from(foldLine)
    .where(
      and(
        eq(foldLine.fleetId, fleetId),
        sql`${foldLine.lineId} = any (${sql.param([...lineIds])}::bigint[])`,
      ),
    );
}

export interface LineMark {
  kind: 'readings' | 'whole';
  fromOrdinal: number;
  fromSeq: number;
  toSeq: number;
}

/** Takes the marks of a line that this transaction sees; later ones stay for the next run. */
export async function takeLineMarks(tx: Tx, fleetId: number, lineId: number): Promise<LineMark[]> {
  const { rows } = await tx.query(
    `delete from liftwright.line_mark where fleet_id = $1 and line_id = $2
     returning kind, from_ordinal, from_seq, to_seq`,
    [fleetId, lineId],
  );
  return rows.map((row) => ({
    kind: row.kind,
    fromOrdinal: row.from_ordinal,
    fromSeq: Number(row.from_seq),
    toSeq: Number(row.to_seq),
  }));
}
