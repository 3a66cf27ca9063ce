import { v7 as uuid } from 'uuid';
import { nextStopState, type StopAct } from '../domain/shop/stop.ts';
import { Problem } from '../errors.ts';
import { insertStopAct, type StopRow, updateStop } from '../store/stop.ts';
import type { Actor } from './actor.ts';
import type { Work } from './work.ts';

export type ClearingAct = Extract<StopAct, 'clear' | 'clear_by_procedure' | 'clear_by_repair'>;

/** Clears a stop that was locked; who may do so was checked. @throws Problem stop_cleared */
export async function clearStopRow(
  work: Work,
  by: Actor,
  row: StopRow,
  input: { act: ClearingAct; words: string },
): Promise<StopRow> {
  const { tx, fleetId, nowMs } = work;
  const state = nextStopState(row.state, input.act);
  if (state === null) throw new Problem('stop_cleared', 'It was cleared before.');
  const change = { state, clearedAtMs: nowMs };
  await updateStop(tx, fleetId, row.stopId, change);
  await insertStopAct(tx, {
    fleetId,
    actId: uuid(),
    stopId: row.stopId,
    act: input.act,
    untilAtMs: row.untilAtMs,
    words: input.words,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    recordedAtMs: nowMs,
  });
  work.record({
    type: 'stop.cleared',
    subject: `unit/${row.unitId}`,
    data: {
      stopId: row.stopId,
      assetId: row.assetId,
      kind: row.kind,
      functions: row.functions,
      how: input.act,
      personId: by.personId,
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: nowMs,
  });
  work.changed('readiness');
  return { ...row, ...change };
}
