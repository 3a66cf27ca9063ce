import { v7 as uuid } from 'uuid';
import type { SignedAct } from '../domain/shop/card-signing.ts';
import { afterEvent, type CardEvent, type CardState } from '../domain/shop/job-card.ts';
import { Problem } from '../errors.ts';
import { type CardSignatureRow, insertSignatures } from '../store/card-record.ts';
import { type JobCardRow, lockJobCard } from '../store/job-card.ts';
import { absent } from './must-find.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

/** A card, kept from others until the transaction ends. @throws Problem not_found */
export async function mustLockCard(work: Work, cardId: string): Promise<JobCardRow> {
  const row = await lockJobCard(work.tx, work.fleetId, cardId);
  if (!row) throw absent('job card');
  return row;
}

const stateWords: Record<CardState, string> = {
  written_up: 'is written up and nobody has begun it',
  hands_on: 'has somebody at work on it',
  set_down: 'is set down',
  to_sign: 'waits to be signed',
  signed_off: 'is signed off',
  withdrawn: 'is withdrawn',
};

/** The state that an event leads to. @throws Problem card_state */
export function mustLead(row: JobCardRow, event: CardEvent): CardState {
  const next = afterEvent(row.state, event);
  if (next === null) throw new Problem('card_state', `The card ${stateWords[row.state]}.`);
  return next;
}

/** A card in the yard is the driver's too. @throws Problem competence_missing */
export function mustMayWork(row: JobCardRow, by: Signer): void {
  const may = by.competences.includes('lift_work');
  const driver = row.kind === 'yard' && by.competences.includes('driving');
  if (!may && !driver) {
    throw new Problem('competence_missing', 'Who works on a lift must be one who may.');
  }
}

/** @throws Problem competence_missing */
export function mustBeLead(by: Signer): void {
  if (!by.competences.includes('lead')) {
    throw new Problem('competence_missing', 'It wants the signature of a lead.');
  }
}

export interface SignatureOn {
  act: SignedAct;
  stepId?: string;
  covers?: readonly string[];
  togetherAndSafe?: boolean;
  words?: string | null;
  atMs?: number;
}

/** What a person puts a name to, as a row. */
export function signatureRow(
  work: Work,
  by: Signer,
  cardId: string,
  on: SignatureOn,
): CardSignatureRow {
  return {
    fleetId: work.fleetId,
    signatureId: uuid(),
    cardId,
    stepId: on.stepId ?? null,
    act: on.act,
    personId: by.personId,
    personName: by.name,
    via: by.via,
    covers: [...(on.covers ?? [])],
    togetherSafe: on.togetherAndSafe ?? null,
    words: on.words ?? null,
    atMs: Math.min(on.atMs ?? work.nowMs, work.nowMs),
    keyId: by.keyId,
    recordedAtMs: work.nowMs,
  };
}

/** Puts a name to an act on the whole card, and tells it. */
export async function signAct(
  work: Work,
  by: Signer,
  row: JobCardRow,
  on: SignatureOn,
  data: Record<string, unknown> = {},
): Promise<void> {
  await insertSignatures(work.tx, [signatureRow(work, by, row.cardId, on)]);
  work.record({
    type: `job_card.${eventOf[on.act]}`,
    subject: `unit/${row.unitId}`,
    data: { cardId: row.cardId, personId: by.personId, ...data },
    personal: { by: by.name, words: on.words ?? null },
    occurredAtMs: Math.min(on.atMs ?? work.nowMs, work.nowMs),
  });
  work.changed('job_cards');
}

const eventOf: Record<SignedAct, string> = {
  begin: 'begun',
  leave: 'left',
  set_down: 'set_down',
  end_work: 'work_ended',
  send_back: 'sent_back',
  check: 'checked',
  self_check: 'checked',
  countersign: 'countersigned',
  sign_off: 'signed_off',
  withdraw: 'withdrawn',
};
