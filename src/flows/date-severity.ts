import { v7 as uuid } from 'uuid';
import { Problem } from '../errors.ts';
import { insertSeverity, type SeverityRow } from '../store/severity.ts';
import { findUnit, unitsOfYard } from '../store/unit.ts';
import { markUnits } from '../store/unit-mark.ts';
import { findYard } from '../store/yard.ts';
import type { Work } from './work.ts';

export type NewSeverity = Omit<SeverityRow, 'fleetId' | 'severityId' | 'createdAtMs'>;

/** Dates hard use of a yard or a unit; it makes use count for more from its day on. */
export async function dateSeverity(work: Work, input: NewSeverity): Promise<SeverityRow> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, yardId } = input;
  const known =
    unitId !== null
      ? await findUnit(tx, fleetId, unitId, nowMs)
      : yardId !== null && (await findYard(tx, fleetId, yardId));
  if (!known) throw new Problem('reference_unknown', 'That yard or unit is not in this fleet.');
  const row: SeverityRow = {
    fleetId,
    severityId: uuid(),
    ...input,
    createdAtMs: nowMs,
  };
  await insertSeverity(tx, row);
  const { kind, fromDay, toDay } = input;
  work.record({
    type: 'severity.dated',
    subject: unitId !== null ? `unit/${unitId}` : `yard/${yardId}`,
    data: { severityId: row.severityId, kind, fromDay, toDay },
    occurredAtMs: nowMs,
  });
  const units = unitId !== null ? [unitId] : await unitsOfYard(tx, fleetId, yardId!, nowMs);
  for (const shard of await markUnits(tx, fleetId, units, nowMs)) work.wake('assess', shard);
  return row;
}
