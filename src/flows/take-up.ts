import { v7 as uuid } from 'uuid';
import { usualError } from '../domain/wear/measurement.ts';
import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import {
  findTakeUp,
  insertTakeUp,
  type TakeUpRow,
  turnsBetween,
  voidTakeUpRow,
} from '../store/measurement.ts';
import { livesAtPlace } from '../store/part-life.ts';
import type { Actor } from './actor.ts';
import { findWear } from './find-wear.ts';
import { absent } from './must-find.ts';
import { MetersAt } from './use-at.ts';
import { mustFindPlace, pastInstant, type WearPlace } from './wear-place.ts';
import type { Work } from './work.ts';

export interface NewTakeUp {
  assetId: string;
  /** Where it was turned. */
  pointKey: string;
  /** The wear part whose gap it takes up. */
  part: string | null;
  atMs: number;
  /** Thousandths of a turn; negative when let out. */
  turns: number;
  /** Thousandths of the unit. */
  gapBefore: number | null;
  gapAfter: number | null;
  unit: 'mm' | 'in' | null;
  error: number | null;
  note: string | null;
  doneBy: { personId: string | null; name: string };
}

/** The place, and the wear part where the pattern says that it is taken up there. */
async function placeOf(work: Work, input: NewTakeUp): Promise<WearPlace> {
  const { assetId, pointKey, part } = input;
  const place = await mustFindPlace(work, { assetId, pointKey, part: null });
  if (part === null || place.pattern === null) return place;
  const wearPart = place.pattern.wearParts.find((each) => each.key === part);
  const turned = [...(wearPart?.takeUp?.points ?? []), ...(wearPart?.points ?? [])];
  if (!wearPart || !turned.includes(pointKey)) {
    throw new Problem('reference_unknown', 'part names no wear part that is taken up there.');
  }
  return { ...place, wearPart, meters: wearPart.meters };
}

/** Whether more was taken up since the part was new than it bears. */
async function usedUp(work: Work, row: TakeUpRow, { wearPart }: WearPlace): Promise<boolean> {
  const most = wearPart?.takeUp?.mostTurnsThousandths;
  if (most === undefined || row.part === null) return false;
  const { tx, fleetId } = work;
  const { assetId, part, pointKey } = row;
  const points = wearPart?.points ?? [];
  let sinceMs = 0;
  for (const point of points) {
    const [last] = await livesAtPlace(tx, fleetId, { assetId, part, pointKey: point });
    if (last && last.entry.fittedAtMs <= row.atMs) {
      sinceMs = Math.max(sinceMs, last.entry.fittedAtMs);
    }
  }
  const place = { assetId, pointKey };
  return (await turnsBetween(tx, fleetId, place, sinceMs, row.atMs)) + row.turns > most;
}

/**
 * Records tension that was taken up. It changes the gap without a new part, so that what is
 * measured before and after it is never held to be a part that grew. More turns than the part bears
 * since it was new make a finding.
 *
 * @throws Problem not_found, reference_unknown, time_invalid
 */
export async function recordTakeUp(work: Work, by: Actor, input: NewTakeUp): Promise<TakeUpRow> {
  const { tx, fleetId, nowMs } = work;
  const place = await placeOf(work, input);
  const atMs = pastInstant(work, input.atMs);
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const use = await new MetersAt(tx, fleetId, input.assetId).at(place.meters, atMs);
  const row: TakeUpRow = {
    fleetId,
    takeUpId: uuid(),
    assetId: input.assetId,
    pointKey: input.pointKey,
    part: input.part,
    atMs,
    turns: input.turns,
    gapBefore: input.gapBefore,
    gapAfter: input.gapAfter,
    unit: input.unit,
    error: input.unit === null ? null : (input.error ?? usualError[input.unit]),
    useThen: use.grains,
    note: input.note,
    personId: input.doneBy.personId,
    name: input.doneBy.name,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
  };
  const worn = await usedUp(work, row, place);
  await insertTakeUp(tx, row);
  const findingId = await findWear(work, by, place, {
    grade: worn ? { grade: 'mend_by', withinDays: 14 } : null,
    pointKey: row.pointKey,
    part: row.part,
    words: `${place.wearPart?.name ?? row.pointKey}: taken up further than it bears.`,
    sourceId: row.takeUpId,
  });
  work.record({
    type: 'tension.taken_up',
    subject: `asset/${row.assetId}`,
    data: {
      takeUpId: row.takeUpId,
      unitId: place.asset.unitId,
      point: row.pointKey,
      part: row.part,
      turns: row.turns,
      gapBefore: row.gapBefore,
      gapAfter: row.gapAfter,
      unit: row.unit,
      findingId,
      personId: row.personId,
    },
    personal: { doneBy: row.name, note: row.note, by: by.name },
    occurredAtMs: atMs,
  });
  return row;
}

/** Declares a take-up wrong; it is kept and counts no more. @throws Problem */
export async function voidTakeUp(
  work: Work,
  by: Actor,
  input: { assetId: string; takeUpId: string; name: string; reason: string },
): Promise<TakeUpRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await findTakeUp(tx, fleetId, input.takeUpId);
  if (row?.assetId !== input.assetId) throw absent('take-up');
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It counts no more already.');
  const voiding = { voidReason: input.reason, voidedBy: input.name, voidedAtMs: nowMs };
  await voidTakeUpRow(tx, fleetId, row.takeUpId, voiding);
  work.record({
    type: 'tension.voided',
    subject: `asset/${row.assetId}`,
    data: { takeUpId: row.takeUpId, personId: by.personId },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  return { ...row, ...voiding };
}
