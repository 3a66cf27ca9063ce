import { v7 as uuid } from 'uuid';
import { whoClearsStop } from '../domain/shop/readiness-reason.ts';
import { mayActOnStop, nextStopState, type StopAct } from '../domain/shop/stop.ts';
import { Problem } from '../errors.ts';
import { findAsset } from '../store/asset.ts';
import { lockFinding } from '../store/finding.ts';
import { insertStopAct, lockStop, type StopRow, updateStop } from '../store/stop.ts';
import type { Actor, SignedActor } from './actor.ts';
import { type ClearingAct, clearStopRow } from './clear-stop.ts';
import { absent, mustFindUnit } from './must-find.ts';
import type { Work } from './work.ts';

/** A stop of a unit, or of what is on it now; kept from others. @throws Problem not_found */
async function mustLockStop(
  work: Work,
  { unitId, stopId }: { unitId: string; stopId: string },
): Promise<StopRow> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const row = await lockStop(tx, fleetId, stopId);
  if (!row) throw absent('stop');
  if (row.unitId === unitId) return row;
  const asset = row.assetId === null ? null : await findAsset(tx, fleetId, row.assetId, nowMs);
  if (asset?.unitId !== unitId) throw absent('stop');
  return row;
}

function mustMay(row: StopRow, act: StopAct, signed: SignedActor | null): void {
  if (mayActOnStop(row, act, signed)) return;
  throw new Problem('stop_not_yours', `It is for: ${whoClearsStop(row)}.`);
}

/** Moves a stop and keeps who did so; `change` is what else the move says. */
async function move(
  work: Work,
  by: Actor,
  row: StopRow,
  act: Exclude<StopAct, ClearingAct>,
  input: { words: string; change: Partial<Pick<StopRow, 'untilAtMs' | 'droppedAtMs'>> },
): Promise<StopRow> {
  const { tx, fleetId, nowMs } = work;
  const state = nextStopState(row.state, act);
  if (state === null) {
    if (row.state === 'cleared') throw new Problem('stop_cleared', 'It was cleared before.');
    throw new Problem('stop_not_waiting', 'It counts in full already.');
  }
  const after = { ...row, ...input.change, state };
  await updateStop(tx, fleetId, row.stopId, { ...input.change, state });
  await insertStopAct(tx, {
    fleetId,
    actId: uuid(),
    stopId: row.stopId,
    act,
    untilAtMs: after.untilAtMs,
    words: input.words,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    recordedAtMs: nowMs,
  });
  const told = { dropped: 'stop.dropped', hasten: 'stop.hastened', extend: 'stop.extended' };
  work.record({
    type: told[act],
    subject: `unit/${row.unitId}`,
    data: {
      stopId: row.stopId,
      assetId: row.assetId,
      kind: row.kind,
      functions: row.functions,
      state,
      until: after.untilAtMs,
      personId: by.personId,
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: nowMs,
  });
  work.changed('readiness');
  return after;
}

type Named = { unitId: string; stopId: string };

/**
 * The load is off, or the stop will not wait for that: from now on it counts in full.
 *
 * @throws Problem not_found, stop_cleared, stop_not_waiting, stop_not_yours
 */
export async function endWaiting(
  work: Work,
  by: Actor,
  input: Named & { act: 'dropped' | 'hasten'; words: string },
): Promise<StopRow> {
  const row = await mustLockStop(work, input);
  mustMay(row, input.act, null);
  const change = input.act === 'dropped' ? { droppedAtMs: work.nowMs } : {};
  return move(work, by, row, input.act, { words: input.words, change });
}

/**
 * Says anew until when it is to stand; null: nobody can say.
 *
 * @throws Problem not_found, stop_cleared, stop_not_yours, time_invalid
 */
export async function extendStop(
  work: Work,
  by: SignedActor,
  input: Named & { untilMs: number | null; words: string },
): Promise<StopRow> {
  const row = await mustLockStop(work, input);
  mustMay(row, 'extend', by);
  if (input.untilMs !== null && input.untilMs <= work.nowMs) {
    throw new Problem('time_invalid', '`until` must lie ahead; clear it when it is over.');
  }
  const change = { untilAtMs: input.untilMs };
  return move(work, by, row, 'extend', { words: input.words, change });
}

export interface Clearing extends Named {
  words: string;
  /** How a lead made sure that nobody is in it: for another person's work lock. */
  procedure: string | null;
  /** What was repaired, as certified: for what an inspector ordered. */
  certification: { report: string; repairs: string } | null;
}

/** Which act it is that clears it, and what is kept as its words. */
function clearingOf(row: StopRow, by: SignedActor, input: Clearing): [ClearingAct, string] {
  const { words, procedure, certification } = input;
  if (row.kind === 'officer') {
    if (certification === null) {
      throw new Problem('stop_impossible', 'Send in `certification` what was repaired.');
    }
    const { report, repairs } = certification;
    return ['clear_by_repair', `${words}\nReport: ${report}\nRepairs: ${repairs}`];
  }
  const others = row.kind === 'work_lock' && row.placedByPerson !== by.personId;
  if (others && procedure !== null) {
    return ['clear_by_procedure', `${words}\nProcedure: ${procedure}`];
  }
  return ['clear', words];
}

/** Nobody lifts a stop while what it was set for is open. */
async function mustBeMended(work: Work, row: StopRow): Promise<void> {
  if (row.findingId === null) return;
  const found = await lockFinding(work.tx, work.fleetId, row.findingId);
  if (found && found.closedAtMs === null) {
    throw new Problem('finding_open', 'Close the finding when it is mended; that clears the stop.');
  }
}

/**
 * Clears a stop. Whose it is says who may: a work lock its placer, or by the written procedure a
 * lead who did not place it; a defect a lead, when its finding is closed; an order of an inspector
 * a lead, with the repairs certified; a restriction dispatch.
 *
 * @throws Problem not_found, stop_cleared, stop_not_yours, stop_impossible, finding_open
 */
export async function clearStop(work: Work, by: SignedActor, input: Clearing): Promise<StopRow> {
  const row = await mustLockStop(work, input);
  if (row.state === 'cleared') throw new Problem('stop_cleared', 'It was cleared before.');
  const officers = row.kind === 'officer';
  if (officers) mustMay(row, 'clear_by_repair', by);
  const [act, words] = clearingOf(row, by, input);
  mustMay(row, act, by);
  await mustBeMended(work, row);
  return clearStopRow(work, by, row, { act, words });
}
