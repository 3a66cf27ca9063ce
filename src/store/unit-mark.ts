import type { Cause } from '../domain/events/cause.ts';
import { shardOf } from '../domain/shard.ts';
import type { Tx } from './tx.ts';

/** Says that units must be assessed, and why; answers their shards, for the wake-up calls. */
export async function markUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  atMs: number,
  causes: readonly Cause[] = [],
): Promise<number[]> {
  if (unitIds.length === 0) return [];
  const shards = unitIds.map((unitId) => shardOf(fleetId, unitId));
  await tx.query(
    `insert into liftwright.unit_mark (fleet_id, shard, unit_id, recorded_at, causes)
     select $1, u.shard, u.unit_id, to_timestamp($2::float8 / 1000), $5
     from unnest($3::smallint[], $4::uuid[]) as u (shard, unit_id)`,
    [fleetId, atMs, shards, [...unitIds], JSON.stringify(causes)],
  );
  return [...new Set(shards)];
}

/** What was taken while a correction's lines wait to be folded is put off at most this long. */
const longestWaitMs = 600_000;

/**
 * Whether lines that count, or counted, for an asset on the unit wait to be folded anew because of
 * a correction: until then the unit's use is partly of before and partly of after.
 */
export async function waitsForFold(
  tx: Tx,
  fleetId: number,
  unitId: string,
  nowMs: number,
): Promise<boolean> {
  const { rows } = await tx.query(
    `select exists (
       select from liftwright.line_mark k
       join liftwright.install i on i.fleet_id = k.fleet_id and i.unit_id = $2
         and i.asset_id is not null and i.during @> to_timestamp($3::float8 / 1000)
       where k.fleet_id = $1 and k.kind = 'whole' and k.causes <> '[]'
         and k.received_at > to_timestamp($4::float8 / 1000)
         and (exists (select from liftwright.meter_source m where m.fleet_id = i.fleet_id
               and m.asset_id = i.asset_id and m.line_id = k.line_id)
           or exists (select from liftwright.usage_day d where d.fleet_id = i.fleet_id
               and d.asset_id = i.asset_id and d.line_id = k.line_id))) as waits`,
    [fleetId, unitId, nowMs, nowMs - longestWaitMs],
  );
  return rows[0].waits;
}

/** The shards of units that were marked for a cause, and may have waited for a line. */
export async function shardsWithCauses(tx: Tx, fleetId: number): Promise<number[]> {
  const { rows } = await tx.query(
    `select distinct shard from liftwright.unit_mark where fleet_id = $1 and causes <> '[]'`,
    [fleetId],
  );
  return rows.map((row) => row.shard);
}
