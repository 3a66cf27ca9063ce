import { v7 as uuid } from 'uuid';
import { taskOutcomes } from '../domain/shop/card-outcome.ts';
import { isClosed } from '../domain/shop/job-card.ts';
import { Problem } from '../errors.ts';
import {
  type CardCorrectionRow,
  findStepCommand,
  insertCardCorrection,
  type StepCommandRow,
} from '../store/card-record.ts';
import type { JobCardRow } from '../store/job-card.ts';
import { donesOfCard, voidDone } from '../store/upkeep.ts';
import { mustBeLead, mustLockCard } from './card-acts.ts';
import { reassess, writeDone } from './record-upkeep.ts';
import { readWhole } from './show-job-card.ts';
import type { Signer } from './sign.ts';
import { chainOf, workedCard } from './sign-card.ts';
import type { Work } from './work.ts';

interface TaskOnCard {
  assetId: string;
  task: string;
}

function mustBeClosed(row: JobCardRow): void {
  if (isClosed(row.state)) return;
  throw new Problem('card_state', 'The card is open: say it on the card itself.');
}

async function keepCorrection(
  work: Work,
  by: Signer,
  row: JobCardRow,
  said: Pick<CardCorrectionRow, 'stepId' | 'clientId' | 'decision' | 'words' | 'tasks'>,
): Promise<CardCorrectionRow> {
  const correction: CardCorrectionRow = {
    fleetId: work.fleetId,
    correctionId: uuid(),
    cardId: row.cardId,
    ...said,
    personId: by.personId,
    personName: by.name,
    keyId: by.keyId,
    recordedAtMs: work.nowMs,
  };
  await insertCardCorrection(work.tx, correction);
  work.record({
    type: said.decision === null ? 'job_card.corrected' : 'job_card.late_settled',
    subject: `unit/${row.unitId}`,
    data: {
      cardId: row.cardId,
      correctionId: correction.correctionId,
      stepId: said.stepId,
      clientId: said.clientId,
      decision: said.decision,
      tasks: said.tasks,
      personId: by.personId,
    },
    personal: { by: by.name, words: said.words },
    occurredAtMs: work.nowMs,
  });
  work.changed('job_cards');
  return correction;
}

/**
 * Says of a closed card what is otherwise than it stands there. The card stays as it was signed;
 * tasks that were not done after all count no more as done, and are due again.
 *
 * @throws Problem not_found, card_state, competence_missing, reference_unknown
 */
export async function correctCard(
  work: Work,
  by: Signer,
  cardId: string,
  input: { stepId: string | null; words: string; notDone: readonly TaskOnCard[] },
): Promise<JobCardRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await mustLockCard(work, cardId);
  mustBeLead(by);
  mustBeClosed(row);
  const card = await readWhole(tx, row);
  if (input.stepId !== null && !card.steps.some(({ stepId }) => stepId === input.stepId)) {
    throw new Problem('reference_unknown', 'This card has no such step.');
  }
  const dones = await donesOfCard(tx, fleetId, cardId);
  for (const { assetId, task } of input.notDone) {
    const done = dones.find((each) => each.assetId === assetId && each.taskKey === task);
    if (!done || done.voidedAtMs !== null) {
      throw new Problem('reference_unknown', 'No such task counts as done on this card.');
    }
    const voiding = {
      voidReason: input.words,
      voidedBy: `person/${by.personId}`,
      voidedAtMs: nowMs,
    };
    await voidDone(tx, fleetId, done.doneId, voiding);
    work.record({
      type: 'task.done_voided',
      subject: `unit/${row.unitId}`,
      data: { doneId: done.doneId, assetId, task, cardId },
      personal: { by: by.name, reason: input.words },
      occurredAtMs: nowMs,
    });
  }
  if (input.notDone.length > 0) await reassess(work, row.unitId);
  const { stepId, words, notDone } = input;
  const tasks = [...notDone];
  await keepCorrection(work, by, row, { stepId, clientId: null, decision: null, words, tasks });
  return row;
}

/**
 * What a person says of a command that came when the card was closed: it counts, or not. Tasks that
 * are complete with it count as done since, when the work was done.
 *
 * @throws Problem not_found, competence_missing, nothing_to_decide
 */
export async function settleLate(
  work: Work,
  by: Signer,
  cardId: string,
  input: { clientId: string; decision: 'counts' | 'does_not_count'; words: string },
): Promise<JobCardRow> {
  const { tx, fleetId } = work;
  const row = await mustLockCard(work, cardId);
  mustBeLead(by);
  const command: StepCommandRow | null = await findStepCommand(tx, fleetId, cardId, input.clientId);
  if (!command?.late) throw new Problem('not_found', 'No such command waits for a word.');
  const card = await readWhole(tx, row);
  if (card.corrections.some(({ clientId }) => clientId === input.clientId)) {
    throw new Problem('nothing_to_decide', 'It was decided before.');
  }
  const { clientId, decision, words } = input;
  const tasks = decision === 'counts' ? await completeTasks(work, by, row, clientId) : [];
  const { stepId } = command;
  await keepCorrection(work, by, row, { stepId, clientId, decision, words, tasks });
  return row;
}

/** The tasks that are complete when a late command counts, and were not before; recorded so. */
async function completeTasks(
  work: Work,
  by: Signer,
  row: JobCardRow,
  clientId: string,
): Promise<TaskOnCard[]> {
  // What was withdrawn is no work of ours: the person may record it as done by hand.
  if (row.state !== 'signed_off') return [];
  const card = await readWhole(work.tx, row);
  const before = await donesOfCard(work.tx, work.fleetId, row.cardId);
  const counts = { clientId, decision: 'counts' } as CardCorrectionRow;
  const chain = await chainOf(work, { ...card, corrections: [...card.corrections, counts] });
  const complete: TaskOnCard[] = [];
  for (const { assetId, taskKey, doneAtMs } of taskOutcomes(chain.map(workedCard))) {
    const known = before.some((each) => each.assetId === assetId && each.taskKey === taskKey);
    if (doneAtMs === null || known) continue;
    const { unitId, cardId } = row;
    const how = { unitId, assetId, taskKey, atMs: doneAtMs, estimated: false, note: null, cardId };
    await writeDone(work, by, how);
    complete.push({ assetId, task: taskKey });
  }
  return complete;
}
