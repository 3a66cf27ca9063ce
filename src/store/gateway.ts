import { and, asc, eq, gt } from 'drizzle-orm';
import { gateway, gatewayContact } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type GatewayRow = typeof gateway.$inferSelect;
export interface GatewayWithContact extends GatewayRow {
  lastPostAtMs: number | null;
}

/** A gateway and its contact row, which every post then updates. */
export async function insertGateway(tx: Tx, row: GatewayRow): Promise<void> {
  await builder(tx).insert(gateway).values(row);
  await builder(tx)
    .insert(gatewayContact)
    .values({ fleetId: row.fleetId, gatewayId: row.gatewayId });
}

export const withContact = {
  fleetId: gateway.fleetId,
  gatewayId: gateway.gatewayId,
  serial: gateway.serial,
  note: gateway.note,
  createdAtMs: gateway.createdAtMs,
  lastPostAtMs: gatewayContact.lastPostAtMs,
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
): Promise<GatewayWithContact[]> {
  return builder(tx)
    .select(withContact)
    .from(gateway)
    .leftJoin(gatewayContact, contactOfGateway)
    .where(and(eq(gateway.fleetId, fleetId), after ? gt(gateway.gatewayId, after[0]) : undefined))
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
