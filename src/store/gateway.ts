import { and, asc, eq, gt, type SQL, sql } from 'drizzle-orm';
import { gateway, gatewayContact, gatewayHealth } from '../../db/schema/index.ts';
import { shardOf } from '../domain/shard.ts';
import { builder, type Tx } from './tx.ts';
import { conflictsWaiting, jumpsWaiting } from './undecided.ts';

export type GatewayRow = typeof gateway.$inferSelect;
/** What can be wrong with a gateway, as lists tell it. */
export const gatewayStates = ['silent', 'suspect', 'waiting_decision'] as const;
export type GatewayState = (typeof gatewayStates)[number];
export interface GatewayWithContact extends GatewayRow {
  lastPostAtMs: number | null;
  states: GatewayState[];
}

const told = (what: string) => `exists (select from liftwright.gateway_health h
  where h.fleet_id = gateway.fleet_id and h.gateway_id = gateway.gateway_id and ${what})`;
const waits = `exists (select from liftwright.counter c
  where c.fleet_id = gateway.fleet_id and c.gateway_id = gateway.gateway_id
    and (exists (${conflictsWaiting}) or exists (${jumpsWaiting})))`;

/** When a row of `gateway` is in a state. */
const isIn: Record<GatewayState, SQL> = {
  silent: sql.raw(told('h.silent_since is not null')),
  suspect: sql.raw(told("h.suspects <> '[]'")),
  waiting_decision: sql.raw(waits),
};
const states = sql<GatewayState[]>`array_remove(array[
  case when ${isIn.silent} then 'silent' end, case when ${isIn.suspect} then 'suspect' end,
  case when ${isIn.waiting_decision} then 'waiting_decision' end], null)`;

/** A gateway, its contact row, which every post then updates, and the row of its health. */
export async function insertGateway(tx: Tx, row: GatewayRow): Promise<void> {
  const { fleetId, gatewayId } = row;
  await builder(tx).insert(gateway).values(row);
  await builder(tx).insert(gatewayContact).values({ fleetId, gatewayId });
  const shard = shardOf(fleetId, gatewayId);
  await builder(tx).insert(gatewayHealth).values({ fleetId, gatewayId, shard });
}

export const withContact = {
  fleetId: gateway.fleetId,
  gatewayId: gateway.gatewayId,
  serial: gateway.serial,
  note: gateway.note,
  createdAtMs: gateway.createdAtMs,
  lastPostAtMs: gatewayContact.lastPostAtMs,
  states,
};
export const contactOfGateway = and(
  eq(gatewayContact.fleetId, gateway.fleetId),
  eq(gatewayContact.gatewayId, gateway.gatewayId),
);

export async function listGateways(
  tx: Tx,
  fleetId: number,
  after: [gatewayId: string] | null,
  limit: number,
  state: GatewayState | null = null,
): Promise<GatewayWithContact[]> {
  return builder(tx)
    .select(withContact)
    .from(gateway)
    .leftJoin(gatewayContact, contactOfGateway)
    .where(
      and(
        eq(gateway.fleetId, fleetId),
        after ? gt(gateway.gatewayId, after[0]) : undefined,
        state ? isIn[state] : undefined,
      ),
    )
    .orderBy(asc(gateway.gatewayId))
    .limit(limit);
}

export async function findGateway(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<GatewayWithContact | null> {
  const rows = await builder(tx)
    .select(withContact)
    .from(gateway)
    .leftJoin(gatewayContact, contactOfGateway)
    .where(and(eq(gateway.fleetId, fleetId), eq(gateway.gatewayId, gatewayId)));
  return rows[0] ?? null;
}
