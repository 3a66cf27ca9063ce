import { nextTroubleState, type TroubleEvent } from '../domain/shop/trouble.ts';
import { Problem } from '../errors.ts';
import {
  lockTrouble,
  lockTroublesOfCard,
  stopsOfCause,
  type Trouble,
  type TroubleKind,
  updateTrouble,
} from '../store/trouble.ts';
import type { Actor, SignedActor } from './actor.ts';
import { withdrawCallsOf } from './call-task.ts';
import { clearStopRow } from './clear-stop.ts';
import { absent } from './must-find.ts';
import type { Work } from './work.ts';

/** @throws Problem not_found */
export async function mustLockTrouble(
  work: Work,
  kind: TroubleKind,
  unitId: string,
  id: string,
): Promise<Trouble> {
  const trouble = await lockTrouble(work.tx, work.fleetId, kind, id);
  if (trouble?.unitId !== unitId) throw absent(kind);
  return trouble;
}

/** @throws Problem trouble_closed */
export function mustMove(trouble: Trouble, event: TroubleEvent): Trouble['state'] {
  const state = nextTroubleState(trouble.state, event);
  if (state === null) throw new Problem('trouble_closed', `It is ${trouble.state} already.`);
  return state;
}

function tell(
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
  tell(work, by, trouble, told);
}

/**
 * A lead looked, and nothing needs mending: what it stopped is cleared, what it called due is not
 * due any more. Who signs was checked by the caller.
 *
 * @throws Problem not_found, trouble_closed
 */
export async function findUnnecessary(
  work: Work,
  by: SignedActor,
  input: { kind: TroubleKind; unitId: string; id: string; words: string },
): Promise<void> {
  const trouble = await mustLockTrouble(work, input.kind, input.unitId, input.id);
  mustMove(trouble, 'find_unnecessary');
  const { cardId } = trouble;
  await end(work, by, trouble, { state: 'unnecessary', cardId, words: input.words });
}

/** What became of the card that looked into it; `left`: something was undone or not right. */
export type CardEnd = 'signed_off' | 'left' | 'withdrawn';

const cardEvents: Record<CardEnd, TroubleEvent> = {
  signed_off: 'card_signed_off',
  left: 'card_left',
  withdrawn: 'card_withdrawn',
};

/**
 * A job card ended: what rested on it is mended, or told again to the shop where the card left
 * something. What was left goes on with the card that follows, where there is one.
 */
export async function closeByCard(
  work: Work,
  by: SignedActor,
  input: { cardId: string; how: CardEnd; followedBy: string | null; words: string },
): Promise<void> {
  const { tx, fleetId } = work;
  const { cardId, how, followedBy, words } = input;
  for (const trouble of await lockTroublesOfCard(tx, fleetId, cardId)) {
    if (how === 'signed_off') {
      await end(work, by, trouble, { state: 'mended', cardId, words });
      continue;
    }
    const state = followedBy === null ? mustMove(trouble, cardEvents[how]) : 'on_card';
    await updateTrouble(tx, fleetId, trouble, { state, cardId: followedBy });
    tell(work, by, trouble, { state, cardId: followedBy, words });
  }
}
