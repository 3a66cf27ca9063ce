import type { Wanted, WantedWork } from '../domain/shop/card-steps.ts';
import type { StepWork } from '../domain/shop/step-work.ts';
import { Problem } from '../errors.ts';
import { findJobCard, type JobCardRow } from '../store/job-card.ts';
import type { Actor } from './actor.ts';
import { goOnWith } from './card-for-trouble.ts';
import { absent } from './must-find.ts';
import { countedMerge, readWhole } from './show-job-card.ts';
import type { Work } from './work.ts';
import { writeUpJobCard } from './write-up-job-card.ts';

/** What a step would be asked for as; steps over a whole asset come by themselves. */
const workOfStep: Partial<Record<StepWork, WantedWork>> = {
  look: 'look',
  look_last: 'look',
  clean: 'clean',
  measure: 'measure',
  mend: 'mend',
  fasten: 'fasten',
  grease: 'grease',
  fill: 'fill',
  replace: 'replace',
  test: 'test',
};

/**
 * Writes up the card that goes on with what one has left, such as while it waits for parts. It
 * takes the steps that are named, or all that were not done.
 *
 * @throws Problem not_found, card_state, reference_unknown, card_empty
 */
export async function followCard(
  work: Work,
  by: Actor,
  cardId: string,
  input: { stepIds: readonly string[] | null; reasons: readonly string[]; visitId: string | null },
): Promise<JobCardRow> {
  const row = await findJobCard(work.tx, work.fleetId, cardId);
  if (!row) throw absent('job card');
  if (row.state === 'written_up' || row.state === 'hands_on') {
    throw new Problem('card_state', 'Set the card down first: it may still be worked on.');
  }
  const card = await readWhole(work.tx, row);
  const merged = countedMerge(card);
  const asked = input.stepIds;
  const unknown = asked?.some((id) => !card.steps.some(({ stepId }) => stepId === id));
  if (unknown) throw new Problem('reference_unknown', 'This card has no such step.');
  const rest = card.steps
    .filter(({ stepId }) => asked === null || asked.includes(stepId))
    .filter(({ stepId }) => merged.get(stepId)?.result !== 'done')
    .flatMap(({ step, assetId, pointKey, taskKeys }): (Wanted & { assetId: string })[] => {
      const wanted = workOfStep[step.work];
      if (wanted === undefined || (pointKey === null && step.points.length > 0)) return [];
      const { findingId, liftCritical } = step;
      const words = step.how[0] ?? '';
      const finding = findingId === null ? null : { findingId, words, unfit: liftCritical };
      const same = { assetId, pointKey, work: wanted, finding };
      if (taskKeys.length === 0) return pointKey || finding ? [{ ...same, taskKey: null }] : [];
      return taskKeys.map((taskKey) => ({ ...same, taskKey }));
    });
  const next = await writeUpJobCard(work, by, {
    unitId: row.unitId,
    kind: 'follow_on',
    tasks: [],
    points: [],
    findings: [],
    rest,
    reasons: input.reasons,
    cause: { kind: 'job_card', id: cardId },
    visitId: input.visitId,
    follows: cardId,
  });
  await goOnWith(work, by, { from: cardId, to: next.cardId });
  return next;
}
