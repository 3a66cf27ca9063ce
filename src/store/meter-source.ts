import { and, asc, eq, sql } from 'drizzle-orm';
import { meterSource } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type MeterSourceRow = typeof meterSource.$inferSelect;

export async function sourcesOfAssets(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<MeterSourceRow[]> {
  return builder(tx)
    .select()
    .from(meterSource)
    .where(
      and(
        eq(meterSource.fleetId, fleetId),
        sql`${meterSource.assetId} = any (${sql.param([...assetIds])}::uuid[])`,
      ),
    )
    .orderBy(asc(sql`lower(${meterSource.during})`));
}

export async function sourcesOfLine(
  tx: Tx,
  fleetId: number,
  lineId: number,
): Promise<MeterSourceRow[]> {
  return builder(tx)
    .select()
    .from(meterSource)
    .where(and(eq(meterSource.fleetId, fleetId), eq(meterSource.lineId, lineId)))
    .orderBy(asc(sql`lower(${meterSource.during})`));
}

export async function replaceSources(
  tx: Tx,
  fleetId: number,
  assetId: string,
  rows: readonly MeterSourceRow[],
): Promise<void> {
  await builder(tx)
    .delete(meterSource)
    .where(and(eq(meterSource.fleetId, fleetId), eq(meterSource.assetId, assetId)));
  if (rows.length > 0)
    await builder(tx)
      .insert(meterSource)
      .values([...rows]);
}

/** Marks lines to be folded anew from their beginning; answers their shards. */
export async function markWholeLines(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
  atMs: number,
): Promise<number[]> {
  if (lineIds.length === 0) return [];
  const { rows } = await tx.query(
    `insert into liftwright.line_mark
       (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
     select l.fleet_id, l.shard, l.line_id, 'whole', 0, 0, 0, to_timestamp($3::float8 / 1000)
     from liftwright.fold_line l where l.fleet_id = $1 and l.line_id = any ($2::bigint[])
     returning shard`,
    [fleetId, [...lineIds], atMs],
  );
  return [...new Set(rows.map((row) => row.shard as number))];
}
