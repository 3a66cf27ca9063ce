import type pg from 'pg';

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
