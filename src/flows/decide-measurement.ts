import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import {
  findMeasurement,
  insertMeasurementDecision,
  type MeasurementDecisionRow,
  type MeasurementWithWord,
} from '../store/measurement.ts';
import type { Actor } from './actor.ts';
import { absent } from './must-find.ts';
import type { Work } from './work.ts';

/** Where a measurement stands: it counts, waits for a word, or was withdrawn. */
export type MeasurementState = 'counts' | 'questioned' | 'confirmed' | 'withdrawn';

export function measurementState({ row, decisions }: MeasurementWithWord): MeasurementState {
  if (decisions.some((each) => each.decision === 'withdrawn')) return 'withdrawn';
  if (row.questionedAgainst === null) return 'counts';
  return decisions.length > 0 ? 'confirmed' : 'questioned';
}

/**
 * A person's word on a measurement: a questioned one is right, or any one was wrong and counts no
 * more. Neither takes anything away; a finding that it made stays for a lead to close.
 *
 * @throws Problem not_found, nothing_to_decide, already_voided
 */
export async function decideMeasurement(
  work: Work,
  by: Actor,
  input: {
    assetId: string;
    measurementId: string;
    decision: MeasurementDecisionRow['decision'];
    reason: string;
  },
): Promise<MeasurementWithWord> {
  const { tx, fleetId, nowMs } = work;
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const found = await findMeasurement(tx, fleetId, input.measurementId);
  if (found?.row.assetId !== input.assetId) throw absent('measurement');
  const state = measurementState(found);
  if (state === 'withdrawn') throw new Problem('already_voided', 'It was withdrawn before.');
  if (input.decision === 'confirmed' && state !== 'questioned') {
    throw new Problem('nothing_to_decide', 'That measurement waits for no word.');
  }
  await insertMeasurementDecision(tx, {
    fleetId,
    measurementId: input.measurementId,
    decision: input.decision,
    reason: input.reason,
    personId: by.personId,
    name: by.name,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
  });
  work.record({
    type: `measurement.${input.decision}`,
    subject: `asset/${input.assetId}`,
    data: { measurementId: input.measurementId, personId: by.personId },
    personal: { by: by.name, reason: input.reason },
    occurredAtMs: nowMs,
  });
  return (await findMeasurement(tx, fleetId, input.measurementId)) as MeasurementWithWord;
}
