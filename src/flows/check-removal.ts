import { v7 as uuid } from 'uuid';
import { type ChainLook, judgeChain } from '../domain/wear/chain.ts';
import { type HookLook, judgeHook } from '../domain/wear/hook.ts';
import { type HoseLook, judgeHose } from '../domain/wear/hose.ts';
import { gradeOfRemoval } from '../domain/wear/measurement.ts';
import type { Removal } from '../domain/wear/removal.ts';
import { judgeRope, type RopeLook } from '../domain/wear/rope.ts';
import {
  type FibreRopeLook,
  judgeFibreRope,
  judgeSling,
  type SlingLook,
} from '../domain/wear/sling.ts';
import { Problem } from '../errors.ts';
import {
  findRemovalCheck,
  insertRemovalCheck,
  type RemovalCheckRow,
  voidRemovalCheckRow,
} from '../store/measurement.ts';
import type { Actor } from './actor.ts';
import { findWear } from './find-wear.ts';
import { absent } from './must-find.ts';
import { MetersAt } from './use-at.ts';
import { mustFindPlace, pastInstant } from './wear-place.ts';
import type { Work } from './work.ts';

/** What was looked at, and what was seen of it. */
export type RemovalLook =
  | { subject: 'rope'; look: RopeLook }
  | { subject: 'fibre_rope'; look: FibreRopeLook }
  | { subject: 'chain'; look: ChainLook }
  | { subject: 'hook'; look: HookLook }
  | { subject: 'sling'; look: SlingLook }
  | { subject: 'hose'; look: HoseLook };

function judge(looked: RemovalLook): Removal {
  switch (looked.subject) {
    case 'rope':
      return judgeRope(looked.look);
    case 'fibre_rope':
      return judgeFibreRope(looked.look);
    case 'chain':
      return judgeChain(looked.look);
    case 'hook':
      return judgeHook(looked.look);
    case 'sling':
      return judgeSling(looked.look);
    case 'hose':
      return judgeHose(looked.look);
  }
}

export interface NewRemovalCheck {
  assetId: string;
  pointKey: string;
  atMs: number;
  looked: RemovalLook;
  note: string | null;
  checkedBy: { personId: string | null; name: string };
  stepId: string | null;
}

/**
 * Holds a rope, chain, hook, sling or hose against published removal benchmarks. What needs a
 * competent person or a new part is unfit until somebody says otherwise.
 *
 * @throws Problem not_found, reference_unknown, time_invalid
 */
export async function checkRemoval(
  work: Work,
  by: Actor,
  input: NewRemovalCheck,
): Promise<RemovalCheckRow> {
  const { tx, fleetId, nowMs } = work;
  const place = await mustFindPlace(work, { ...input, part: null });
  const atMs = pastInstant(work, input.atMs);
  const removal = judge(input.looked);
  const use = await new MetersAt(tx, fleetId, input.assetId).at(place.meters, atMs);
  const checkId = uuid();
  const name = place.point?.name ?? input.pointKey;
  const findingId = await findWear(work, by, place, {
    grade: gradeOfRemoval(removal.decision),
    pointKey: input.pointKey,
    part: null,
    words: `${name}: ${removal.fired.map((each) => each.words).join(' ')}`.slice(0, 2000),
    sourceId: checkId,
  });
  const row: RemovalCheckRow = {
    fleetId,
    checkId,
    assetId: input.assetId,
    pointKey: input.pointKey,
    atMs,
    subject: input.looked.subject,
    look: input.looked.look,
    decision: removal.decision,
    fired: removal.fired,
    cutOffMayCure: removal.cutOffMayCure,
    useThen: use.grains,
    findingId,
    stepId: input.stepId,
    note: input.note,
    personId: input.checkedBy.personId,
    name: input.checkedBy.name,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
  };
  await insertRemovalCheck(tx, row);
  work.record({
    type: 'removal.checked',
    subject: `asset/${row.assetId}`,
    data: {
      checkId,
      unitId: place.asset.unitId,
      point: row.pointKey,
      what: row.subject,
      decision: row.decision,
      rules: removal.fired.map((each) => each.rule),
      findingId,
      personId: row.personId,
    },
    personal: { checkedBy: row.name, note: row.note, by: by.name },
    occurredAtMs: atMs,
  });
  return row;
}

/** Declares a check wrong; it is kept. A finding that it made stays for a lead. @throws Problem */
export async function voidRemovalCheck(
  work: Work,
  by: Actor,
  input: { assetId: string; checkId: string; name: string; reason: string },
): Promise<RemovalCheckRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await findRemovalCheck(tx, fleetId, input.checkId);
  if (row?.assetId !== input.assetId) throw absent('removal check');
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It was voided before.');
  const voiding = { voidReason: input.reason, voidedBy: input.name, voidedAtMs: nowMs };
  await voidRemovalCheckRow(tx, fleetId, row.checkId, voiding);
  work.record({
    type: 'removal.voided',
    subject: `asset/${row.assetId}`,
    data: { checkId: row.checkId, personId: by.personId },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  return { ...row, ...voiding };
}
