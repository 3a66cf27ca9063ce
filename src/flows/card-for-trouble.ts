import { incidentWords } from '../domain/shop/incident.ts';
import { isClosed } from '../domain/shop/job-card.ts';
import { type Symptom, usualSymptoms } from '../domain/shop/symptom.ts';
import { Problem } from '../errors.ts';
import { findIncident } from '../store/incident.ts';
import type { JobCardRow } from '../store/job-card.ts';
import { findSymptom } from '../store/symptom.ts';
import { openCallsOfCause } from '../store/task-call.ts';
import {
  lockTroublesOfCard,
  type Trouble,
  type TroubleKind,
  updateTrouble,
} from '../store/trouble.ts';
import type { Actor } from './actor.ts';
import { mustBeCardOf, mustLockTrouble, mustMove, tellTrouble } from './close-trouble.ts';
import { symptomContext } from './tell-symptom.ts';
import type { Work } from './work.ts';
import { writeUpJobCard } from './write-up-job-card.ts';

/** What is to be done, and why: what was called due, and where the likely causes are. */
async function wantedOf(work: Work, unitId: string, { kind, id, assetId }: Trouble) {
  const { tx, fleetId, nowMs } = work;
  const tasks = await openCallsOfCause(tx, fleetId, id);
  if (kind === 'incident') {
    const row = (await findIncident(tx, fleetId, id))!;
    const reasons = [`Full inspection after an incident. ${incidentWords[row.kind]}`];
    return { tasks, points: [], reasons: row.words === '' ? reasons : [...reasons, row.words] };
  }
  const row = (await findSymptom(tx, fleetId, id))!;
  const symptom = row.symptom as Symptom;
  const { pattern, rule } = await symptomContext(tx, fleetId, { unitId, assetId, symptom }, nowMs);
  const known = new Set(pattern?.servicePoints.map((point) => point.key));
  const keys = new Set(rule.askFor.flatMap((cause) => cause.points));
  const points = [...keys].filter((key) => known.has(key));
  const reasons = [
    `A symptom was told, ×${row.reports}. ${usualSymptoms[symptom].words}`,
    ...(row.words === '' ? [] : [row.words.slice(0, 1000)]),
    ...rule.askFor.map((cause, i) => `Likely cause ${i + 1}: ${cause.words}`),
  ];
  return {
    tasks,
    points: points.map((pointKey) => ({ assetId: assetId as string, pointKey })),
    reasons: reasons.slice(0, 20),
  };
}

async function putOn(work: Work, by: Actor, trouble: Trouble, cardId: string): Promise<void> {
  const state = mustMove(trouble, 'write_up');
  await updateTrouble(work.tx, work.fleetId, trouble, { state, cardId });
  tellTrouble(work, by, trouble, { state, cardId, words: '' });
}

/**
 * Writes up the card that looks into a symptom or an incident; or puts it on a card of the unit
 * that is open already.
 *
 * @throws Problem not_found, trouble_closed, trouble_on_card, reference_unknown, card_state,
 * card_empty, card_too_long
 */
export async function cardForTrouble(
  work: Work,
  by: Actor,
  input: {
    kind: TroubleKind;
    unitId: string;
    id: string;
    cardId: string | null;
    visitId: string | null;
  },
): Promise<string> {
  const { kind, unitId, id, visitId } = input;
  const trouble = await mustLockTrouble(work, kind, unitId, id);
  if (trouble.state === 'on_card') {
    throw new Problem('trouble_on_card', 'It is on a job card already.');
  }
  mustMove(trouble, 'write_up');
  const card = await (input.cardId === null
    ? writeUp(work, by, trouble, { unitId, visitId })
    : mustBeOpen(work, unitId, input.cardId));
  await putOn(work, by, trouble, card.cardId);
  return card.cardId;
}

async function mustBeOpen(work: Work, unitId: string, cardId: string): Promise<JobCardRow> {
  const card = await mustBeCardOf(work, unitId, cardId);
  if (isClosed(card.state) || card.kind === 'yard') {
    throw new Problem('card_state', 'Name an open card of the shop, or let one be written up.');
  }
  return card;
}

async function writeUp(
  work: Work,
  by: Actor,
  trouble: Trouble,
  { unitId, visitId }: { unitId: string; visitId: string | null },
): Promise<JobCardRow> {
  const { kind, id } = trouble;
  return writeUpJobCard(work, by, {
    ...(await wantedOf(work, unitId, trouble)),
    unitId,
    kind,
    cause: { kind, id },
    visitId,
    follows: null,
  });
}

/**
 * The card of a full inspection, as soon as an incident is told. The unit is stopped whether or not
 * there can be one: null when nothing is known on the unit, or there is too much for one card.
 */
export async function cardForIncident(
  work: Work,
  by: Actor,
  { unitId, incidentId }: { unitId: string; incidentId: string },
): Promise<string | null> {
  const what = { kind: 'incident', unitId, id: incidentId, cardId: null, visitId: null } as const;
  try {
    return await cardForTrouble(work, by, what);
  } catch (error) {
    const none = error instanceof Problem && /^card_(empty|too_long)$/.test(error.code);
    if (none) return null;
    throw error;
  }
}

/** What a card left goes on with the card that follows it. */
export async function goOnWith(
  work: Work,
  by: Actor,
  { from, to }: { from: string; to: string },
): Promise<void> {
  for (const trouble of await lockTroublesOfCard(work.tx, work.fleetId, from, 'told')) {
    await putOn(work, by, trouble, to);
  }
}
