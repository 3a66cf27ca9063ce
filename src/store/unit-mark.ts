import { shardOf } from '../domain/shard.ts';
import type { Tx } from './tx.ts';

/** Says that units must be assessed; answers their shards, for the wake-up calls. */
export async function markUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  atMs: number,
): Promise<number[]> {
  if (unitIds.length === 0) return [];
  const shards = unitIds.map((unitId) => shardOf(fleetId, unitId));
  await tx.query(
    `insert into liftwright.unit_mark (fleet_id, shard, unit_id, recorded_at)
     select $1, u.shard, u.unit_id, to_timestamp($2::float8 / 1000)
     from unnest($3::smallint[], $4::uuid[]) as u (shard, unit_id)`,
    [fleetId, atMs, shards, [...unitIds]],
  );
  return [...new Set(shards)];
}
