import { v7 as uuid } from 'uuid';
import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { changeVisit, refuseVisit, type VisitEdit, type VisitPlan } from '../domain/shop/visit.ts';
import { Problem } from '../errors.ts';
import type { Tx } from '../store/tx.ts';
import {
  findVisit,
  insertVisit,
  updateVisit,
  type VisitRow,
  visitInTheWay,
} from '../store/visit.ts';
import { findYard } from '../store/yard.ts';
import { earliestMs } from './keep-fleet.ts';
import { absent, mustFindUnit } from './must-find.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

const planOf = (row: VisitRow): VisitPlan => ({
  yardId: row.yardId,
  bay: row.bay,
  fromMs: row.during.fromMs,
  toMs: row.during.toMs as number,
  canSpareFromMs: row.canSpareFromMs,
  backByMs: row.backByMs,
  agreedBy: row.agreedBy,
});

const columnsOf = ({ fromMs, toMs, ...rest }: VisitPlan) => ({ ...rest, during: { fromMs, toMs } });

/** A visit, cancelled or not. @throws Problem not_found */
export async function mustFindVisit(tx: Tx, fleetId: number, visitId: string): Promise<VisitRow> {
  const row = await findVisit(tx, fleetId, visitId);
  if (!row) throw absent('visit');
  return row;
}

/** @throws Problem time_invalid, reference_unknown, visit_overlaps */
async function mustFit(work: Work, row: VisitRow): Promise<void> {
  const refusal = refuseVisit(planOf(row), earliestMs);
  if (refusal !== null) throw new Problem('time_invalid', refusal);
  if (!(await findYard(work.tx, work.fleetId, row.yardId))) {
    throw new Problem('reference_unknown', 'yardId names no yard of this fleet.');
  }
  const taken = await visitInTheWay(work.tx, row);
  if (!taken) return;
  const time = `from ${instantText(taken.fromMs)} to ${instantText(taken.toMs)}`;
  const what =
    taken.what === 'unit'
      ? `The unit has a visit already ${time}.`
      : `The bay has unit ${taken.number} ${time}.`;
  throw new Problem('visit_overlaps', what);
}

function tell(work: Work, by: Recorder, type: string, row: VisitRow, personal: object): void {
  const { visitId, yardId, bay, during } = row;
  work.record({
    type,
    subject: `unit/${row.unitId}`,
    data: {
      visitId,
      yardId,
      bay,
      from: instantText(during.fromMs),
      to: instantTextOrNull(during.toMs),
      canSpareFrom: instantTextOrNull(row.canSpareFromMs),
      backBy: instantTextOrNull(row.backByMs),
      agreed: row.agreedBy !== null,
    },
    personal: { by: by.name, ...personal },
    occurredAtMs: work.nowMs,
  });
  work.changed('bring-in');
}

/**
 * Plans a visit of a unit to a bay of a yard.
 *
 * @throws Problem not_found, reference_unknown, time_invalid, visit_overlaps
 */
export async function planVisit(
  work: Work,
  by: Recorder,
  { unitId, note, ...plan }: VisitPlan & { unitId: string; note: string | null },
): Promise<VisitRow> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const row: VisitRow = {
    fleetId,
    visitId: uuid(),
    unitId,
    ...columnsOf(plan),
    note,
    recordedBy: `key/${by.keyId}`,
    createdAtMs: nowMs,
    cancelReason: null,
    cancelledBy: null,
    cancelledAtMs: null,
  };
  await mustFit(work, row);
  await insertVisit(tx, row);
  tell(work, by, 'visit.planned', row, { agreedBy: row.agreedBy, note });
  return row;
}

/** @throws Problem not_found, visit_cancelled */
async function mustStand(work: Work, visitId: string): Promise<VisitRow> {
  const row = await mustFindVisit(work.tx, work.fleetId, visitId);
  if (row.cancelledAtMs === null) return row;
  const since = instantText(row.cancelledAtMs);
  throw new Problem('visit_cancelled', `It was cancelled at ${since}.`);
}

/**
 * Changes what is said. Other times or another yard need to be agreed upon anew.
 *
 * @throws Problem not_found, visit_cancelled, reference_unknown, time_invalid, visit_overlaps
 */
export async function editVisit(
  work: Work,
  by: Recorder,
  visitId: string,
  { note, ...edit }: VisitEdit & { note?: string | null | undefined },
): Promise<void> {
  const { tx, fleetId } = work;
  const before = await mustStand(work, visitId);
  const set = {
    ...columnsOf(changeVisit(planOf(before), edit)),
    note: note === undefined ? before.note : note,
  };
  const row = { ...before, ...set };
  if (JSON.stringify(row) === JSON.stringify(before)) return;
  await mustFit(work, row);
  await updateVisit(tx, fleetId, visitId, set);
  tell(work, by, 'visit.changed', row, { agreedBy: row.agreedBy, note: row.note });
}

/**
 * Calls a visit off; its bay is free again.
 *
 * @throws Problem not_found, visit_cancelled
 */
export async function cancelVisit(
  work: Work,
  by: Recorder,
  visitId: string,
  reason: string,
): Promise<VisitRow> {
  const { tx, fleetId, nowMs } = work;
  const before = await mustStand(work, visitId);
  const cancelled = {
    cancelReason: reason,
    cancelledBy: `key/${by.keyId}`,
    cancelledAtMs: nowMs,
  };
  await updateVisit(tx, fleetId, visitId, cancelled);
  const row = { ...before, ...cancelled };
  tell(work, by, 'visit.cancelled', row, { reason });
  return row;
}
