import { v7 as uuid } from 'uuid';
import { Problem } from '../errors.ts';
import { lockDeletion } from '../store/fleet-deletion.ts';
import {
  insertPreservationOrder,
  liftOrder,
  lockFleet,
  lockPreservationOrder,
  type PreservationOrderRow,
  standingOrders,
} from '../store/record.ts';
import type { SignedActor } from './actor.ts';
import { absent, mustFindUnit } from './must-find.ts';
import type { Work } from './work.ts';

/**
 * Orders that the records of a unit, or of all, be preserved. While it stands nothing is purged,
 * and the fleet cannot be deleted.
 *
 * @throws Problem not_found, fleet_leaving
 */
export async function preserveRecords(
  work: Work,
  by: SignedActor,
  input: { unitId: string | null; reason: string; reference: string | null },
): Promise<PreservationOrderRow> {
  const { tx, fleetId, nowMs } = work;
  await lockFleet(tx, fleetId);
  const leaving = await lockDeletion(tx, fleetId);
  if (leaving && leaving.confirmedAtMs !== null) {
    throw new Problem('fleet_leaving', 'The deletion of this fleet is confirmed.');
  }
  if (input.unitId !== null) await mustFindUnit(tx, fleetId, input.unitId, nowMs);
  const row: PreservationOrderRow = {
    fleetId,
    orderId: uuid(),
    ...input,
    placedAtMs: nowMs,
    placedBy: by.name,
    placedPerson: by.personId,
    recordedBy: `key/${by.keyId}`,
    liftedAtMs: null,
    liftedBy: null,
    liftedPerson: null,
    liftReason: null,
  };
  await insertPreservationOrder(tx, row);
  work.record({
    type: 'records.preserved',
    subject: input.unitId === null ? `fleet/${fleetId}` : `unit/${input.unitId}`,
    data: { orderId: row.orderId, unitId: row.unitId, personId: by.personId },
    personal: { by: by.name, reason: row.reason, reference: row.reference },
    occurredAtMs: nowMs,
  });
  return row;
}

/**
 * Lifts an order: a person's word, never by itself.
 *
 * @throws Problem not_found, order_lifted
 */
export async function liftPreservation(
  work: Work,
  by: SignedActor,
  input: { orderId: string; reason: string },
): Promise<PreservationOrderRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await lockPreservationOrder(tx, fleetId, input.orderId);
  if (!row) throw absent('preservation order');
  if (row.liftedAtMs !== null) throw new Problem('order_lifted', 'It was lifted before.');
  const lifting = {
    liftedAtMs: nowMs,
    liftedBy: by.name,
    liftedPerson: by.personId,
    liftReason: input.reason,
  };
  await liftOrder(tx, fleetId, row.orderId, lifting);
  work.record({
    type: 'records.released',
    subject: row.unitId === null ? `fleet/${fleetId}` : `unit/${row.unitId}`,
    data: { orderId: row.orderId, unitId: row.unitId, personId: by.personId },
    personal: { by: by.name, reason: input.reason },
    occurredAtMs: nowMs,
  });
  return { ...row, ...lifting };
}

/** Nothing of a fleet is purged while an order stands. @throws Problem records_preserved */
export async function mustNotBePreserved(tx: Work['tx'], fleetId: number): Promise<void> {
  await lockFleet(tx, fleetId);
  const standing = await standingOrders(tx, fleetId);
  if (standing === 0) return;
  const what = standing === 1 ? 'An order' : `${standing} orders`;
  throw new Problem('records_preserved', `${what} to preserve records must be lifted first.`);
}
