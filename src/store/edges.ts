import { and, eq, sql } from 'drizzle-orm';
import { asset, gateway, gatewayContact, unit, yard } from '../../db/schema/index.ts';
import { type AssetOnUnit, onUnit } from './asset.ts';
import { contactOfGateway, type GatewayWithContact, withContact } from './gateway.ts';
import { builder, type Tx } from './tx.ts';
import { type UnitWithYards, withYards } from './unit.ts';
import type { YardRow } from './yard.ts';

/**
 * The ends of the edges of the graph, by id: many things in one statement. What is not in the fleet
 * is left out.
 */

const anyOf = (column: unknown, ids: readonly string[]) =>
  sql`${column} = any (${sql.param([...new Set(ids)])}::uuid[])`;

export async function yardsByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
): Promise<Map<string, YardRow>> {
  const rows = await builder(tx)
    .select()
    .from(yard)
    .where(and(eq(yard.fleetId, fleetId), anyOf(yard.yardId, ids)));
  return new Map(rows.map((row) => [row.yardId, row]));
}

export async function unitsByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
  atMs: number,
): Promise<Map<string, UnitWithYards>> {
  const rows = await builder(tx)
    .select(withYards(atMs))
    .from(unit)
    .where(and(eq(unit.fleetId, fleetId), anyOf(unit.unitId, ids)));
  return new Map(rows.map((row) => [row.unitId, row]));
}

export async function assetsByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
  atMs: number,
): Promise<Map<string, AssetOnUnit>> {
  const rows = await builder(tx)
    .select(onUnit(atMs))
    .from(asset)
    .where(and(eq(asset.fleetId, fleetId), anyOf(asset.assetId, ids)));
  return new Map(rows.map((row) => [row.assetId, row]));
}

export async function gatewaysByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
): Promise<Map<string, GatewayWithContact>> {
  const rows = await builder(tx)
    .select(withContact)
    .from(gateway)
    .leftJoin(gatewayContact, contactOfGateway)
    .where(and(eq(gateway.fleetId, fleetId), anyOf(gateway.gatewayId, ids)));
  return new Map(rows.map((row) => [row.gatewayId, row]));
}

/** The units that gateways are on at an instant, by gateway. */
export async function unitsOfGateways(
  tx: Tx,
  fleetId: number,
  gatewayIds: readonly string[],
  atMs: number,
): Promise<Map<string, UnitWithYards>> {
  const { rows } = await tx.query({
    text: `select i.gateway_id, u.fleet_id, u.unit_id, u.number, u.note,
        (extract(epoch from u.created_at) * 1000)::float8 as created_ms,
        ${yardOf('home')}, ${yardOf('present')}
      from liftwright.install i
      join liftwright.unit u on u.fleet_id = i.fleet_id and u.unit_id = i.unit_id
      where i.fleet_id = $1 and i.gateway_id = any ($2::uuid[])
        and i.during @> to_timestamp($3::float8 / 1000)`,
    values: [fleetId, [...gatewayIds], atMs],
  });
  return new Map(rows.map((row) => [row.gateway_id, unitOf(row)]));
}

/** A unit's yard of a role at the instant `$3`. */
export const yardOf = (role: 'home' | 'present') =>
  `(select y.yard_id from liftwright.unit_yard y where y.fleet_id = u.fleet_id
     and y.unit_id = u.unit_id and y.role = '${role}'
     and y.during @> to_timestamp($3::float8 / 1000)) as ${role}_yard_id`;

/** A unit as raw SQL answers it. */
export interface RawUnit {
  fleet_id: number;
  unit_id: string;
  number: string;
  note: string | null;
  furnished_by: string | null;
  created_ms: number;
  home_yard_id: string | null;
  present_yard_id: string | null;
}

export const unitOf = (row: RawUnit): UnitWithYards => ({
  fleetId: row.fleet_id,
  unitId: row.unit_id,
  number: row.number,
  note: row.note,
  furnishedBy: row.furnished_by,
  createdAtMs: row.created_ms,
  homeYardId: row.home_yard_id,
  presentYardId: row.present_yard_id,
});
