import { v7 as uuid } from 'uuid';
import { latestLocalDay } from '../domain/usage/local-day.ts';
import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import {
  type ControlPeriodRow,
  findControlPeriod,
  insertControlPeriod,
  overlapsControl,
  updateControlPeriod,
} from '../store/record.ts';
import type { Actor } from './actor.ts';
import { absent, mustFindUnit } from './must-find.ts';
import type { Work } from './work.ts';

function pastDay(work: Work, day: string): void {
  if (day > latestLocalDay(work.nowMs)) {
    throw new Problem('time_invalid', 'That day is still to come.');
  }
}

async function mustBeFree(
  work: Work,
  unitId: string,
  days: { fromDay: string; endedDay: string | null },
  butPeriodId: string | null,
): Promise<void> {
  if (await overlapsControl(work.tx, work.fleetId, unitId, days, butPeriodId)) {
    throw new Problem('control_overlaps', 'Another period of control has some of these days.');
  }
}

function tell(work: Work, by: Actor, type: string, row: ControlPeriodRow): void {
  work.record({
    type,
    subject: `unit/${row.unitId}`,
    data: { periodId: row.periodId, fromDay: row.fromDay, endedDay: row.endedDay },
    personal: { by: by.name, note: row.note, reason: row.voidReason ?? row.endReason },
    occurredAtMs: work.nowMs,
  });
}

/**
 * A unit came under the control of the fleet.
 *
 * @throws Problem not_found, time_invalid, control_overlaps
 */
export async function beginControl(
  work: Work,
  by: Actor,
  input: { unitId: string; fromDay: string; note: string | null },
): Promise<ControlPeriodRow> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, fromDay, note } = input;
  await lockThing(tx, fleetId, 'unit', unitId);
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  pastDay(work, fromDay);
  await mustBeFree(work, unitId, { fromDay, endedDay: null }, null);
  const row: ControlPeriodRow = {
    ...{ fleetId, periodId: uuid(), unitId, fromDay, note, endedDay: null, endReason: null },
    ...{ recordedBy: `key/${by.keyId}`, recordedAtMs: nowMs },
    ...{ voidReason: null, voidedBy: null, voidedAtMs: null },
  };
  await insertControlPeriod(tx, row);
  tell(work, by, 'control.began', row);
  return row;
}

/** @throws Problem not_found, already_voided */
async function mustFindPeriod(
  work: Work,
  unitId: string,
  periodId: string,
): Promise<ControlPeriodRow> {
  await lockThing(work.tx, work.fleetId, 'unit', unitId);
  const row = await findControlPeriod(work.tx, work.fleetId, periodId);
  if (row?.unitId !== unitId) throw absent('period of control');
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It never was.');
  return row;
}

/**
 * A unit left the control of the fleet: sold, given back. Its records are kept for six months more.
 *
 * @throws Problem not_found, already_voided, control_ended, time_invalid
 */
export async function endControl(
  work: Work,
  by: Actor,
  input: { unitId: string; periodId: string; day: string; reason: string },
): Promise<ControlPeriodRow> {
  const row = await mustFindPeriod(work, input.unitId, input.periodId);
  if (row.endedDay !== null) {
    throw new Problem('control_ended', 'It ended before; void it if that is wrong.');
  }
  pastDay(work, input.day);
  if (input.day < row.fromDay) throw new Problem('time_invalid', 'It did not end before it began.');
  await mustBeFree(work, row.unitId, { fromDay: row.fromDay, endedDay: input.day }, row.periodId);
  const ending = { endedDay: input.day, endReason: input.reason };
  await updateControlPeriod(work.tx, work.fleetId, row.periodId, ending);
  const ended = { ...row, ...ending };
  tell(work, by, 'control.ended', ended);
  return ended;
}

/** Declares a period wrong; it is kept and counts no more. @throws Problem */
export async function voidControl(
  work: Work,
  by: Actor,
  input: { unitId: string; periodId: string; name: string; reason: string },
): Promise<ControlPeriodRow> {
  const row = await mustFindPeriod(work, input.unitId, input.periodId);
  const { nowMs: voidedAtMs } = work;
  const voiding = { voidReason: input.reason, voidedBy: input.name, voidedAtMs };
  await updateControlPeriod(work.tx, work.fleetId, row.periodId, voiding);
  const voided = { ...row, ...voiding };
  tell(work, by, 'control.voided', voided);
  return voided;
}
