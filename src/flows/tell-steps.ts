import { createHash } from 'node:crypto';
import { afterEvent, type CardState, fateOfCommand } from '../domain/shop/job-card.ts';
import { countedAtMs } from '../domain/shop/merge-steps.ts';
import {
  commandText,
  misfit,
  readStepCommand,
  type SaidOfStep,
} from '../domain/shop/step-command.ts';
import { POINT_TAPS } from '../domain/upkeep/point-tap.ts';
import { type FieldFault, Problem } from '../errors.ts';
import { commandsOfCard, insertStepCommand, type StepCommandRow } from '../store/card-record.ts';
import {
  type CardStepRow,
  type JobCardRow,
  stepsOfCard,
  updateJobCard,
} from '../store/job-card.ts';
import { peopleById } from '../store/person.ts';
import { apart } from './apart.ts';
import { mustLockCard, mustMayWork } from './card-acts.ts';
import { measureStep } from './measure-step.ts';
import { recordFinding } from './record-finding.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

/** Most commands in one post, and on one card. */
export const MAX_COMMANDS = 100;
export const MAX_CARD_COMMANDS = 5_000;

export const stepVerdicts = [
  'taken',
  'duplicate',
  'conflict',
  'kept_for_review',
  'refused',
] as const;

/** What became of one command of a post. */
export interface StepVerdict {
  /** As far as it could be read. */
  clientId: string | null;
  verdict: (typeof stepVerdicts)[number];
  detail: string | null;
  errors: FieldFault[];
  findingId: string | null;
  stopId: string | null;
}

const verdict = (
  clientId: string | null,
  word: StepVerdict['verdict'],
  more: Partial<StepVerdict> = {},
): StepVerdict => ({
  ...{ clientId, verdict: word, detail: null, errors: [], findingId: null, stopId: null },
  ...more,
});

const refused = (clientId: string | null, detail: string, errors: FieldFault[] = []) =>
  verdict(clientId, 'refused', { detail, errors });

interface Telling {
  by: Signer;
  row: JobCardRow;
  steps: ReadonlyMap<string, CardStepRow>;
  /** By client id: what is known of the card already. */
  known: Map<string, Pick<StepCommandRow, 'digest'>>;
  /** People who may stand at the controls: those who are named and have not left. */
  people: ReadonlySet<string>;
}

/** What was found where a step is not right, and the stop that follows. */
async function findOf(work: Work, { by, row }: Telling, said: SaidOfStep, step: CardStepRow) {
  if (said.find === null) return null;
  const { grade, mendByDay, pointKey } = said.find;
  const tapped = said.tap === null ? '' : POINT_TAPS[said.tap].words;
  return recordFinding(work, by, {
    unitId: row.unitId,
    assetId: step.assetId,
    pointKey: step.pointKey ?? pointKey,
    part: null,
    grade,
    words: [tapped, said.words ?? ''].filter((each) => each !== '').join(' '),
    mendByDay,
    mendByUse: null,
    source: { kind: 'step', id: step.stepId },
  });
}

/** A first look that finds it unfit ends the card: nobody works on below it. */
async function endUnfit(work: Work, row: JobCardRow, findingId: string): Promise<JobCardRow> {
  const state = afterEvent(row.state, 'found_unfit');
  if (state === null || row.endedBy !== null) return row;
  const set = {
    state,
    endedBy: findingId,
    workEndedAtMs: row.workEndedAtMs ?? work.nowMs,
    restReason: row.restReason ?? 'A first look found it unfit.',
  };
  await updateJobCard(work.tx, work.fleetId, row.cardId, set);
  work.record({
    type: 'job_card.ended_unfit',
    subject: `unit/${row.unitId}`,
    data: { cardId: row.cardId, findingId },
    occurredAtMs: work.nowMs,
  });
  return { ...row, ...set };
}

async function keep(
  work: Work,
  telling: Telling,
  said: SaidOfStep,
  digest: Buffer,
): Promise<{ verdict: StepVerdict; row: JobCardRow }> {
  const { by, row } = telling;
  const step = telling.steps.get(said.stepId) as CardStepRow;
  const found = await findOf(work, telling, said, step);
  const findingId = found?.finding.findingId ?? null;
  const measured = await measureStep(work, by, row, step, said);
  const late = fateOfCommand(row.state) === 'review';
  await insertStepCommand(work.tx, {
    fleetId: work.fleetId,
    cardId: row.cardId,
    clientId: said.clientId,
    stepId: said.stepId,
    result: said.result,
    tap: said.tap,
    reason: said.reason,
    words: said.words,
    find: said.find,
    measurement: said.measurement,
    saidAtMs: said.atMs,
    countedAtMs: countedAtMs(said.atMs, row.writtenUpAtMs, work.nowMs),
    personId: by.personId,
    personName: by.name,
    trainee: by.trainee,
    atControls: said.atControls,
    replaces: said.replaces,
    late,
    keyId: by.keyId,
    receivedAtMs: work.nowMs,
    digest,
    findingId,
  });
  const ends = step.step.endsCardIfUnfit && said.find?.grade === 'unfit' && findingId !== null;
  return {
    verdict: verdict(said.clientId, late ? 'kept_for_review' : 'taken', {
      detail: measured.why,
      findingId: findingId ?? measured.findingId,
      stopId: found?.stop?.stopId ?? null,
    }),
    row: ends ? await endUnfit(work, row, findingId) : row,
  };
}

/** Why a command that could be read is not taken; null when it is. */
function refusal({ row, steps, known, people }: Telling, said: SaidOfStep): string | null {
  const step = steps.get(said.stepId);
  if (!step) return 'This card has no such step.';
  if (fateOfCommand(row.state) === 'not_begun') return 'Begin the card first, then send it again.';
  if (known.size >= MAX_CARD_COMMANDS) return 'Nothing more can be said of this card.';
  if (said.atControls !== null && !people.has(said.atControls)) {
    return 'atControls names nobody who works here.';
  }
  return misfit(said, step.step);
}

async function tellOne(work: Work, telling: Telling, value: unknown): Promise<StepVerdict> {
  const read = readStepCommand(value);
  if (!read.ok) {
    const { clientId } = (value ?? {}) as { clientId?: unknown };
    const named = typeof clientId === 'string' ? clientId.slice(0, 36) : null;
    return refused(named, 'It is not as the contract says.', read.problems.slice(0, 20));
  }
  const { said } = read;
  const { clientId } = said;
  const digest = createHash('sha256').update(commandText(said, telling.by.personId)).digest();
  const earlier = telling.known.get(clientId);
  if (earlier?.digest.equals(digest)) return verdict(clientId, 'duplicate');
  if (earlier) {
    return verdict(clientId, 'conflict', { detail: 'The first one with this client id stands.' });
  }
  const why = refusal(telling, said);
  if (why !== null) return refused(clientId, why);
  const kept = await apart(work, (own) => keep(own, telling, said, digest));
  if (kept instanceof Problem) return refused(clientId, kept.detail);
  telling.known.set(clientId, { digest });
  telling.row = kept.row;
  return kept.verdict;
}

/** The people whom readable commands name, as far as they work here. */
async function namedPeople(work: Work, values: readonly unknown[]): Promise<Set<string>> {
  const ids = values.flatMap((value) => {
    const read = readStepCommand(value);
    return read.ok && read.said.atControls !== null ? [read.said.atControls] : [];
  });
  const found = await peopleById(work.tx, work.fleetId, [...new Set(ids)]);
  return new Set([...found.values()].filter((p) => p.leftAtMs === null).map((p) => p.personId));
}

/**
 * Takes what a phone says of the steps of a card: each command is judged and answered on its own,
 * in the order of the post, and one that is refused harms no other. The same command again changes
 * nothing. What is not right makes a finding at once, also when the card is closed by now: the
 * command itself is then kept for review.
 *
 * @throws Problem not_found, competence_missing
 */
export async function tellSteps(
  work: Work,
  by: Signer,
  cardId: string,
  values: readonly unknown[],
): Promise<{ state: CardState; verdicts: StepVerdict[] }> {
  const { tx, fleetId } = work;
  const row = await mustLockCard(work, cardId);
  mustMayWork(row, by);
  const steps = await stepsOfCard(tx, fleetId, cardId);
  const telling: Telling = {
    by,
    row,
    steps: new Map(steps.map((step) => [step.stepId, step])),
    known: new Map((await commandsOfCard(tx, fleetId, cardId)).map((c) => [c.clientId, c])),
    people: await namedPeople(work, values),
  };
  const verdicts: StepVerdict[] = [];
  for (const value of values) verdicts.push(await tellOne(work, telling, value));
  const kept = verdicts.filter(({ verdict: word }) => ['taken', 'kept_for_review'].includes(word));
  if (kept.length > 0) {
    work.record({
      type: 'job_card.steps_told',
      subject: `unit/${row.unitId}`,
      data: {
        cardId,
        personId: by.personId,
        commands: kept.map(({ clientId }) => clientId),
        late: kept.filter(({ verdict: word }) => word === 'kept_for_review').length,
      },
      personal: { by: by.name },
      occurredAtMs: work.nowMs,
    });
    work.changed('job_cards');
  }
  return { state: telling.row.state, verdicts };
}
