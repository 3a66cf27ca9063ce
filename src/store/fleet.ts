import { eq } from 'drizzle-orm';
import { fleet } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type FleetRow = typeof fleet.$inferSelect;

/** The fleet of the transaction. */
export async function findFleet(tx: Tx, fleetId: number): Promise<FleetRow> {
  const rows = await builder(tx).select().from(fleet).where(eq(fleet.fleetId, fleetId));
  return rows[0] as FleetRow;
}

/** Keeps others from changing how the fleet works until the transaction ends. */
export async function lockFleet(tx: Tx, fleetId: number): Promise<void> {
  await tx.query('select from liftwright.fleet where fleet_id = $1 for no key update', [fleetId]);
}

export async function updateFleet(
  tx: Tx,
  fleetId: number,
  set: { name?: string | undefined; oneMan?: boolean | undefined },
): Promise<void> {
  await builder(tx).update(fleet).set(set).where(eq(fleet.fleetId, fleetId));
}
