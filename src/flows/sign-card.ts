import { taskOutcomes, type WorkedCard } from '../domain/shop/card-outcome.ts';
import { type Lack, lacking } from '../domain/shop/card-signing.ts';
import type { MergedStep } from '../domain/shop/merge-steps.ts';
import { Problem } from '../errors.ts';
import { insertSignatures } from '../store/card-record.ts';
import { lockFinding } from '../store/finding.ts';
import { findJobCard, type JobCardRow, openFollower, updateJobCard } from '../store/job-card.ts';
import type { StopRow } from '../store/stop.ts';
import {
  mustBeLead,
  mustLead,
  mustLockCard,
  mustMayWork,
  signAct,
  signatureRow,
} from './card-acts.ts';
import { goOnWith } from './card-for-trouble.ts';
import { clearStopRow } from './clear-stop.ts';
import { closeByCard } from './close-trouble.ts';
import { countPass } from './give-competence.ts';
import { closeFinding } from './record-finding.ts';
import { writeDone } from './record-upkeep.ts';
import { sealOf } from './seal-card.ts';
import { type CommandOnStep, countedMerge, readWhole, type WholeCard } from './show-job-card.ts';
import type { Signer } from './sign.ts';
import { mustMayCheck, mustMayCountersign } from './who-may.ts';
import type { Work } from './work.ts';
import { stopsOfCard } from './work-card.ts';

/** Earlier cards that one may go back through. */
const MAX_CHAIN = 20;

const ofStep = (card: WholeCard, stepId: string): MergedStep<CommandOnStep> => {
  if (!card.steps.some((step) => step.stepId === stepId)) {
    throw new Problem('reference_unknown', 'This card has no such step.');
  }
  const merged = card.merged.get(stepId);
  if (merged?.result !== 'done') throw new Problem('nothing_to_check', 'The step is not done.');
  return merged;
};

const openStates = ['hands_on', 'set_down', 'to_sign'];

function mustBeOpen(row: JobCardRow): void {
  if (!openStates.includes(row.state)) mustLead(row, 'end_work');
}

/**
 * A second person looks at what was done, or in a one-man fleet the doer declares it, which is
 * shown as such. It speaks of what holds now: what is said of the step afterwards wants another.
 *
 * @throws Problem not_found, card_state, competence_missing, reference_unknown, nothing_to_check,
 * second_person_needed
 */
export async function checkSteps(
  work: Work,
  by: Signer,
  cardId: string,
  input: { stepIds: readonly string[]; words: string | null },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustBeOpen(row);
  const card = await readWhole(work.tx, row);
  const rows = [];
  for (const stepId of new Set(input.stepIds)) {
    const merged = ofStep(card, stepId);
    const as = await mustMayCheck(work, by, merged.people);
    rows.push(
      signatureRow(work, by, cardId, {
        act: as === 'second_person' ? 'check' : 'self_check',
        stepId,
        covers: merged.holding.map(({ clientId }) => clientId),
        words: input.words,
      }),
    );
  }
  await insertSignatures(work.tx, rows);
  work.record({
    type: 'job_card.checked',
    subject: `unit/${row.unitId}`,
    data: {
      cardId,
      personId: by.personId,
      steps: rows.map(({ stepId, act }) => ({ stepId, act })),
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: work.nowMs,
  });
  work.changed('job_cards');
  return row;
}

/**
 * Somebody who may do the work alone vouches for what a trainee did; it counts as a supervised pass
 * of each, once a card.
 *
 * @throws Problem not_found, card_state, competence_missing, reference_unknown, nothing_to_check,
 * second_person_needed
 */
export async function countersignSteps(
  work: Work,
  by: Signer,
  cardId: string,
  input: { stepIds: readonly string[]; words: string | null },
): Promise<JobCardRow> {
  const row = await mustLockCard(work, cardId);
  mustBeOpen(row);
  const card = await readWhole(work.tx, row);
  const trainees = new Set<string>();
  const rows = [...new Set(input.stepIds)].map((stepId) => {
    const merged = ofStep(card, stepId);
    for (const doer of merged.people) mustMayCountersign(by, doer);
    for (const { trainee, personId } of merged.holding) if (trainee) trainees.add(personId);
    return signatureRow(work, by, cardId, {
      act: 'countersign',
      stepId,
      covers: merged.holding.map(({ clientId }) => clientId),
      words: input.words,
    });
  });
  await insertSignatures(work.tx, rows);
  const cause = { kind: 'job_card', id: cardId };
  for (const personId of [...trainees].sort()) {
    await countPass(work, { personId, supervisorId: by.personId, cause });
  }
  work.record({
    type: 'job_card.countersigned',
    subject: `unit/${row.unitId}`,
    data: {
      cardId,
      personId: by.personId,
      trainees: [...trainees].sort(),
      steps: rows.map(({ stepId }) => stepId),
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: work.nowMs,
  });
  work.changed('job_cards');
  return row;
}

/** A card with those that it follows, the first first. */
export async function chainOf(work: Work, card: WholeCard): Promise<WholeCard[]> {
  const chain = [card];
  let { follows } = card.row;
  while (follows !== null && chain.length < MAX_CHAIN) {
    const row = await findJobCard(work.tx, work.fleetId, follows);
    if (!row) break;
    chain.unshift(await readWhole(work.tx, row));
    follows = row.follows;
  }
  return chain;
}

export const workedCard = (card: WholeCard): WorkedCard => ({
  steps: card.steps.map((step) => ({ ...step, tasks: step.taskKeys })),
  merged: countedMerge(card),
});

const lackWords: Record<Lack['code'], string> = {
  no_result: 'nothing is said of',
  needs_check: 'a second person has not checked',
  needs_countersign: 'nobody has countersigned',
};

function mustLackNothing(card: WholeCard, restReason: string | null): void {
  const { steps, merged, signatures } = card;
  const lacks = lacking({ steps, merged, signed: signatures, restReason });
  if (lacks.length === 0) return;
  const said = lacks.slice(0, 3).map(({ code, stepId }) => {
    const step = steps.find((each) => each.stepId === stepId);
    return `${lackWords[code]} step ${step?.stepNo}`;
  });
  const more = lacks.length > 3 ? `, and ${lacks.length - 3} more` : '';
  throw new Problem('card_lacks', `Of this card ${said.join(', ')}${more}.`);
}

/** What was mended on the card is closed, and with it the stops that it had set. */
async function closeMended(work: Work, by: Signer, card: WholeCard): Promise<string[]> {
  const closed: string[] = [];
  for (const { step, stepId } of card.steps) {
    const { findingId } = step;
    if (findingId === null || card.merged.get(stepId)?.result !== 'done') continue;
    if (closed.includes(findingId)) continue;
    const finding = await lockFinding(work.tx, work.fleetId, findingId);
    if (finding?.closedAtMs !== null) continue;
    const { cardId } = card.row;
    await closeFinding(work, by, { findingId, how: 'mended', cardId, words: 'Mended.' });
    closed.push(findingId);
  }
  return closed;
}

/** What was told and rests on the card is mended when all was done and a lead says so. */
async function answerTroubles(work: Work, by: Signer, card: WholeCard, words: string | null) {
  const { cardId } = card.row;
  const all = card.steps.every(({ stepId }) => card.merged.get(stepId)?.result === 'done');
  const how = all && by.competences.includes('lead') ? 'signed_off' : 'left';
  await closeByCard(work, by, { cardId, how, words: words ?? 'The job card is signed off.' });
  const next = how === 'left' ? await openFollower(work.tx, work.fleetId, cardId) : null;
  if (next !== null) await goOnWith(work, by, { from: cardId, to: next });
}

/** What was set down apart is together and safe by now: its stops are cleared, also of a chain. */
async function clearUnsafe(work: Work, by: Signer, chain: readonly WholeCard[]): Promise<void> {
  for (const { row } of chain) {
    const stops: StopRow[] = await stopsOfCard(work, row.cardId);
    for (const stop of stops) {
      if (stop.kind !== 'defect') continue;
      await clearStopRow(work, by, stop, { act: 'clear_by_repair', words: 'Together and safe.' });
    }
  }
}

function mustMaySignOff(row: JobCardRow, by: Signer): void {
  if (row.kind === 'yard' && !by.competences.includes('lead')) mustMayWork(row, by);
  else mustBeLead(by);
}

/**
 * Signs a card off. Its tasks whose every step was done count as done, when the work was done; what
 * was left stays due. What was mended is closed. From now on the card never changes.
 *
 * @throws Problem not_found, card_state, competence_missing, card_lacks, locks_stand
 */
export async function signOffCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: { words: string | null; restNotDone: string | null },
): Promise<JobCardRow> {
  const { tx, fleetId, nowMs } = work;
  const found = await mustLockCard(work, cardId);
  mustMaySignOff(found, by);
  const state = mustLead(found, 'sign_off');
  if ((await stopsOfCard(work, cardId)).some((stop) => stop.kind === 'work_lock')) {
    throw new Problem('locks_stand', 'Somebody still has hands on it.');
  }
  const restReason = found.restReason ?? input.restNotDone;
  mustLackNothing(await readWhole(tx, found), restReason);
  if (restReason !== found.restReason) await updateJobCard(tx, fleetId, cardId, { restReason });
  const row = { ...found, restReason };
  await signAct(work, by, row, { act: 'sign_off', words: input.words });
  const card = await readWhole(tx, row);
  const chain = await chainOf(work, card);
  const done = [];
  for (const { assetId, taskKey, doneAtMs } of taskOutcomes(chain.map(workedCard))) {
    if (doneAtMs === null) continue;
    const { unitId } = row;
    const how = { unitId, assetId, taskKey, atMs: doneAtMs, estimated: false, note: null, cardId };
    await writeDone(work, by, how);
    done.push({ assetId, task: taskKey });
  }
  const mended = by.competences.includes('lead') ? await closeMended(work, by, card) : [];
  if (row.togetherSafe !== false && by.competences.includes('lead')) {
    await clearUnsafe(work, by, chain);
  }
  const seal = sealOf(card);
  await updateJobCard(tx, fleetId, cardId, { state, closedAtMs: nowMs, seal });
  await answerTroubles(work, by, card, input.words);
  work.record({
    type: 'job_card.sealed',
    subject: `unit/${row.unitId}`,
    data: { cardId, seal: seal.toString('hex'), done, mended, togetherAndSafe: row.togetherSafe },
    occurredAtMs: nowMs,
  });
  return { ...row, state, closedAtMs: nowMs, seal };
}
