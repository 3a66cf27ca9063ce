import type pg from 'pg';
import type { SwitchSuspect } from '../domain/usage/switch-suspect.ts';
import type { Tx } from './tx.ts';

/** What was last told of a gateway's health. */
export interface ToldHealth {
  silentSinceMs: number | null;
  suspects: SwitchSuspect[];
  checkedAtMs: number | null;
}

/** Gateways of a shard whose time to be looked at has come. */
export async function gatewaysToWatch(
  scheduler: pg.Pool,
  shard: number,
  nowMs: number,
  limit: number,
): Promise<{ fleetId: number; gatewayId: string }[]> {
  const { rows } = await scheduler.query(
    `select fleet_id, gateway_id from liftwright.gateway_health
     where shard = $1 and check_at <= to_timestamp($2::float8 / 1000)
     order by check_at limit $3`,
    [shard, nowMs, limit],
  );
  return rows.map((row) => ({ fleetId: row.fleet_id, gatewayId: row.gateway_id }));
}

/**
 * Takes a gateway that is due for this transaction; null when another worker has it, or had it. Its
 * contact is to be read after this: a post that comes later waits to bring its time forward.
 */
export async function takeGatewayHealth(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  nowMs: number,
): Promise<ToldHealth | null> {
  const { rows } = await tx.query({
    name: 'take_gateway_health',
    text: `select suspects, (extract(epoch from silent_since) * 1000)::float8 as silent_ms,
        (extract(epoch from checked_at) * 1000)::float8 as checked_ms
      from liftwright.gateway_health
      where fleet_id = $1 and gateway_id = $2 and check_at <= to_timestamp($3::float8 / 1000)
      for update skip locked`,
    values: [fleetId, gatewayId, nowMs],
  });
  if (!rows[0]) return null;
  const { silent_ms, suspects, checked_ms } = rows[0];
  return { silentSinceMs: silent_ms, suspects, checkedAtMs: checked_ms };
}

export async function saveGatewayHealth(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  health: ToldHealth & { checkAtMs: number | null },
): Promise<void> {
  await tx.query({
    name: 'save_gateway_health',
    text: `update liftwright.gateway_health set silent_since = to_timestamp($3::float8 / 1000),
        suspects = $4, checked_at = to_timestamp($5::float8 / 1000),
        check_at = to_timestamp($6::float8 / 1000)
      where fleet_id = $1 and gateway_id = $2`,
    values: [
      fleetId,
      gatewayId,
      health.silentSinceMs,
      JSON.stringify(health.suspects),
      health.checkedAtMs,
      health.checkAtMs,
    ],
  });
}

/** When the next install of a gateway begins or ends, after an instant; null when none does. */
export async function nextInstallEdge(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  afterMs: number,
): Promise<number | null> {
  const { rows } = await tx.query({
    name: 'next_install_edge',
    text: `select (extract(epoch from min(edge)) * 1000)::float8 as edge_ms from (
        select unnest(array[lower(i.during), upper(i.during)]) as edge
        from liftwright.install i where i.fleet_id = $1 and i.gateway_id = $2) e
      where edge > to_timestamp($3::float8 / 1000) and edge < 'infinity'`,
    values: [fleetId, gatewayId, afterMs],
  });
  return rows[0].edge_ms;
}

/** Shards of gateways that were just put on a unit, or taken off: see the trigger look_at_moved. */
export async function shardsOfMovedGateways(tx: Tx, fleetId: number): Promise<number[]> {
  const { rows } = await tx.query(
    `select distinct shard from liftwright.gateway_health
     where fleet_id = $1 and check_at = 'epoch'`,
    [fleetId],
  );
  return rows.map((row) => row.shard);
}

/** What was last told of a gateway, and what its posts say of it. */
export interface HealthSummary extends ToldHealth {
  deviceOffsetMs: number | null;
  habitMs: number;
}

/** The same of many gateways, by gateway. */
export async function healthOfGateways(
  tx: Tx,
  fleetId: number,
  gatewayIds: readonly string[],
): Promise<Map<string, HealthSummary>> {
  const { rows } = await tx.query({
    name: 'health_of_gateways',
    text: `select h.gateway_id, h.suspects,
        (extract(epoch from h.silent_since) * 1000)::float8 as silent_ms,
        (extract(epoch from h.checked_at) * 1000)::float8 as checked_ms,
        c.device_offset_ms::float8 as offset_ms, coalesce(c.habit_ms, 0)::float8 as habit_ms
      from liftwright.gateway_health h
      left join liftwright.gateway_contact c
        on c.fleet_id = h.fleet_id and c.gateway_id = h.gateway_id
      where h.fleet_id = $1 and h.gateway_id = any ($2::uuid[])`,
    values: [fleetId, [...gatewayIds]],
  });
  return new Map(
    rows.map((row) => [
      row.gateway_id,
      {
        silentSinceMs: row.silent_ms,
        suspects: row.suspects,
        checkedAtMs: row.checked_ms,
        deviceOffsetMs: row.offset_ms,
        habitMs: row.habit_ms,
      },
    ]),
  );
}
