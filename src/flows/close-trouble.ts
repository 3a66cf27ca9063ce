import { nextTroubleState, type TroubleEvent } from '../domain/shop/trouble.ts';
import { Problem } from '../errors.ts';
import { findAsset } from '../store/asset.ts';
import { findJobCard, type JobCardRow } from '../store/job-card.ts';
import { stopsOfCause } from '../store/stop.ts';
import {
  lockTrouble,
  lockTroublesOfCard,
  type Trouble,
  type TroubleKind,
  updateTrouble,
} from '../store/trouble.ts';
import type { Actor, SignedActor } from './actor.ts';
import { withdrawCallsOf } from './call-task.ts';
import { clearStopRow } from './clear-stop.ts';
import { absent } from './must-find.ts';
import type { Work } from './work.ts';

/** One of a unit, or of what is on it now. @throws Problem not_found */
export async function mustLockTrouble(
  work: Work,
  kind: TroubleKind,
  unitId: string,
  id: string,
): Promise<Trouble> {
  const { tx, fleetId, nowMs } = work;
  const trouble = await lockTrouble(tx, fleetId, kind, id);
  if (!trouble) throw absent(kind);
  if (trouble.unitId === unitId) return trouble;
  const { assetId } = trouble;
  const asset = assetId === null ? null : await findAsset(tx, fleetId, assetId, nowMs);
  if (asset?.unitId !== unitId) throw absent(kind);
  return trouble;
}

/** @throws Problem trouble_closed */
export function mustMove(trouble: Trouble, event: TroubleEvent): Trouble['state'] {
  const state = nextTroubleState(trouble.state, event);
  if (state === null) throw new Problem('trouble_closed', `It is ${trouble.state} already.`);
  return state;
}

export function tellTrouble(
  work: Work,
  by: Actor,
  { kind, id, unitId }: Trouble,
  told: { state: Trouble['state']; cardId: string | null; words: string },
): void {
  work.record({
    type: `${kind}.${told.state}`,
    subject: `unit/${unitId}`,
    data: { [`${kind}Id`]: id, cardId: told.cardId, personId: by.personId },
    personal: { by: by.name, words: told.words },
    occurredAtMs: work.nowMs,
  });
}

async function end(
  work: Work,
  by: SignedActor,
  trouble: Trouble,
  told: { state: 'mended' | 'unnecessary'; cardId: string | null; words: string },
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const { kind, id, unitId } = trouble;
  await updateTrouble(tx, fleetId, trouble, {
    state: told.state,
    cardId: told.cardId,
    closedAtMs: nowMs,
    closedWords: told.words,
    closedByPerson: by.personId,
    closedByKey: by.keyId,
    closedByName: by.name,
  });
  for (const stop of await stopsOfCause(tx, fleetId, { kind, id }, true)) {
    const act = told.state === 'mended' ? 'clear_by_repair' : 'clear';
    await clearStopRow(work, by, stop, { act, words: told.words });
  }
  if (told.state === 'unnecessary') {
    await withdrawCallsOf(work, by, { unitId, causeId: id, reason: told.words });
  }
  tellTrouble(work, by, trouble, told);
}

/** A card of the unit. @throws Problem reference_unknown */
export async function mustBeCardOf(
  work: Work,
  unitId: string,
  cardId: string,
): Promise<JobCardRow> {
  const card = await findJobCard(work.tx, work.fleetId, cardId);
  if (card?.unitId !== unitId) {
    throw new Problem('reference_unknown', 'cardId names no job card of this unit.');
  }
  return card;
}

/**
 * A lead says which signed-off card mended it; or, with no card, that nothing needs mending: what
 * it called due is not due any more. What it stopped is cleared. Who signs was checked.
 *
 * @throws Problem not_found, trouble_closed, reference_unknown, card_state
 */
export async function closeTrouble(
  work: Work,
  by: SignedActor,
  input: { kind: TroubleKind; unitId: string; id: string; cardId: string | null; words: string },
): Promise<void> {
  const { kind, unitId, id, cardId, words } = input;
  const trouble = await mustLockTrouble(work, kind, unitId, id);
  if (cardId === null) {
    mustMove(trouble, 'find_unnecessary');
    await end(work, by, trouble, { state: 'unnecessary', cardId: trouble.cardId, words });
    return;
  }
  mustMove(trouble, 'mend');
  const card = await mustBeCardOf(work, unitId, cardId);
  if (card.state !== 'signed_off') {
    throw new Problem('card_state', 'The card that mended it is not signed off yet.');
  }
  await end(work, by, trouble, { state: 'mended', cardId, words });
}

/** What became of the card that looked into it; `left`: something was undone or not right. */
export type CardEnd = 'signed_off' | 'left' | 'withdrawn';

const cardEvents: Record<Exclude<CardEnd, 'signed_off'>, TroubleEvent> = {
  left: 'card_left',
  withdrawn: 'card_withdrawn',
};

/**
 * A job card ended: what rested on it is mended, or open again where the card left something. Only
 * a lead's signature mends.
 */
export async function closeByCard(
  work: Work,
  by: SignedActor,
  input: { cardId: string; how: CardEnd; words: string },
): Promise<void> {
  const { tx, fleetId } = work;
  const { cardId, how, words } = input;
  for (const trouble of await lockTroublesOfCard(tx, fleetId, cardId, 'on_card')) {
    if (how === 'signed_off') {
      await end(work, by, trouble, { state: 'mended', cardId, words });
      continue;
    }
    const state = mustMove(trouble, cardEvents[how]);
    await updateTrouble(tx, fleetId, trouble, { state });
    tellTrouble(work, by, trouble, { state, cardId, words });
  }
}
