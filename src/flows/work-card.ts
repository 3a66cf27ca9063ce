import { mergeSteps, told } from '../domain/shop/merge-steps.ts';
import { ALL_FUNCTIONS } from '../domain/shop/stop.ts';
import { Problem } from '../errors.ts';
import { commandsOfCard } from '../store/card-record.ts';
import { type JobCardRow, stepsOfCard, updateJobCard } from '../store/job-card.ts';
import { type StopRow, stopsOfCause } from '../store/stop.ts';
import { mustBeLead, mustLead, mustLockCard, mustMayWork, signAct } from './card-acts.ts';
import { clearStopRow } from './clear-stop.ts';
import { closeByCard } from './close-trouble.ts';
import { setStop } from './set-stop.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

export const causeOfCard = (cardId: string) => ({ kind: 'job_card', id: cardId });

/** The stops that a card has set and that stand: locks of people, and what is not safe. */
export const stopsOfCard = (work: Work, cardId: string): Promise<StopRow[]> =>
  stopsOfCause(work.tx, work.fleetId, causeOfCard(cardId), true);

const within = (row: JobCardRow, atMs: number | null, nowMs: number) =>
  Math.min(Math.max(atMs ?? nowMs, row.writtenUpAtMs), nowMs);

async function save(work: Work, row: JobCardRow, set: Partial<JobCardRow>): Promise<JobCardRow> {
  await updateJobCard(work.tx, work.fleetId, row.cardId, set);
  return { ...row, ...set };
}

/**
 * A person puts hands on: from now on the unit is locked by that person, who alone lifts the lock.
 * Others may join; each has a lock of his own.
 *
 * @throws Problem not_found, card_state, competence_missing
 */
export async function beginCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: { atMs: number | null },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustMayWork(row, by);
  const state = mustLead(row, 'begin');
  const atMs = within(row, input.atMs, work.nowMs);
  const locks = await stopsOfCard(work, cardId);
  const mine = locks.some(
    (stop) => stop.kind === 'work_lock' && stop.placedByPerson === by.personId,
  );
  if (!mine) {
    await setStop(work, by, {
      unitId: row.unitId,
      assetId: null,
      kind: 'work_lock',
      functions: ALL_FUNCTIONS,
      effect: 'no',
      limits: {},
      effective: 'at_once',
      reason: 'Somebody is at work on it.',
      cause: causeOfCard(cardId),
      untilMs: null,
      findingId: null,
    });
  }
  await signAct(work, by, row, { act: 'begin', atMs });
  return save(work, row, { state, begunAtMs: row.begunAtMs ?? atMs });
}

/** Not together or not safe: nobody takes the unit until it is. One such stop a card. */
async function stopUnsafe(work: Work, by: Signer, row: JobCardRow, words: string | null) {
  const standing = await stopsOfCard(work, row.cardId);
  if (standing.some((stop) => stop.kind === 'defect')) return;
  const assets = new Set((await stepsOfCard(work.tx, work.fleetId, row.cardId)).map(assetOf));
  const [only] = assets;
  await setStop(work, by, {
    unitId: row.unitId,
    assetId: assets.size === 1 && only !== undefined ? only : null,
    kind: 'defect',
    functions: ALL_FUNCTIONS,
    effect: 'no',
    limits: {},
    effective: 'at_once',
    reason: words ?? 'It was set down and is not together and safe.',
    cause: causeOfCard(row.cardId),
    untilMs: null,
    findingId: null,
  });
}

const assetOf = (step: { assetId: string }) => step.assetId;

/** Lifts the lock of a person; answers whether others are still in it. */
async function handsOff(work: Work, by: Signer, cardId: string): Promise<{ others: boolean }> {
  const locks = (await stopsOfCard(work, cardId)).filter((stop) => stop.kind === 'work_lock');
  for (const lock of locks) {
    if (lock.placedByPerson !== by.personId) continue;
    await clearStopRow(work, by, lock, { act: 'clear', words: 'Hands off.' });
  }
  return { others: locks.some((lock) => lock.placedByPerson !== by.personId) };
}

export interface HandsOff {
  /** "Together and safe?" */
  togetherAndSafe: boolean;
  words: string | null;
  atMs: number | null;
}

/**
 * A person takes hands off and lifts the own lock. Not together or not safe sets a stop. The card
 * is set down when nobody is in it any more.
 *
 * @throws Problem not_found, card_state, competence_missing
 */
export async function setDownCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: HandsOff,
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustMayWork(row, by);
  const { others } = await handsOff(work, by, cardId);
  const act = others || row.state === 'to_sign' ? 'leave' : 'set_down';
  const state = mustLead(row, act);
  const { togetherAndSafe, words } = input;
  if (!togetherAndSafe) await stopUnsafe(work, by, row, words);
  const atMs = within(row, input.atMs, work.nowMs);
  await signAct(work, by, row, { act, togetherAndSafe, words, atMs }, { togetherAndSafe });
  return save(work, row, { state, togetherSafe: togetherAndSafe });
}

/**
 * Nothing more is to be done on this card. What has no result was not done, and why is said here;
 * commands that are still on a phone are taken until the card is signed off.
 *
 * @throws Problem not_found, card_state, competence_missing, locks_stand
 */
export async function endWork(
  work: Work,
  by: Signer,
  cardId: string,
  input: HandsOff & { restNotDone: string | null },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustMayWork(row, by);
  const state = mustLead(row, 'end_work');
  const { others } = await handsOff(work, by, cardId);
  if (others) throw new Problem('locks_stand', 'Somebody else has hands on it.');
  const { togetherAndSafe, words } = input;
  if (!togetherAndSafe) await stopUnsafe(work, by, row, words);
  const atMs = within(row, input.atMs, work.nowMs);
  await signAct(
    work,
    by,
    row,
    { act: 'end_work', togetherAndSafe, words, atMs },
    {
      togetherAndSafe,
    },
  );
  return save(work, row, {
    state,
    togetherSafe: togetherAndSafe,
    restReason: input.restNotDone ?? row.restReason,
    workEndedAtMs: atMs,
  });
}

/** Who signs wants more work on it. @throws Problem not_found, card_state, competence_missing */
export async function sendBackCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: { words: string },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustBeLead(by);
  const state = mustLead(row, 'send_back');
  await signAct(work, by, row, { act: 'send_back', words: input.words });
  return save(work, row, { state, restReason: null, workEndedAtMs: null });
}

/**
 * Takes back a card on which nothing was done. Work that was done is signed off, with the rest
 * left and said why.
 *
 * @throws Problem not_found, card_state, competence_missing, card_has_work, locks_stand
 */
export async function withdrawCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: { words: string },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustBeLead(by);
  const state = mustLead(row, 'withdraw');
  const said = await commandsOfCard(work.tx, work.fleetId, cardId);
  const merged = mergeSteps(told(said.map((each) => ({ ...each, atMs: each.countedAtMs }))));
  if ([...merged.values()].some(({ result }) => result === 'done')) {
    throw new Problem('card_has_work', 'End the work, and sign it off with the rest not done.');
  }
  if ((await stopsOfCard(work, cardId)).some((stop) => stop.kind === 'work_lock')) {
    throw new Problem('locks_stand', 'Somebody still has hands on it.');
  }
  await signAct(work, by, row, { act: 'withdraw', words: input.words });
  await closeByCard(work, by, { cardId, how: 'withdrawn', words: input.words });
  return save(work, row, { state, closedAtMs: work.nowMs });
}
