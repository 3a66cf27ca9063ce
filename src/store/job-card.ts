import { and, asc, desc, eq, inArray, isNull, lt } from 'drizzle-orm';
import { cardStep, jobCard } from '../../db/schema/index.ts';
import type { CardStep } from '../domain/shop/card-steps.ts';
import type { CardKind, CardState } from '../domain/shop/job-card.ts';
import type { StepWork } from '../domain/shop/step-work.ts';
import { builder, type Tx } from './tx.ts';

export type JobCardRow = typeof jobCard.$inferSelect;
export type CardStepRow = Omit<typeof cardStep.$inferSelect, 'step' | 'work'> & {
  step: CardStep;
  work: StepWork;
};

export async function insertJobCard(
  tx: Tx,
  row: JobCardRow,
  steps: readonly CardStepRow[],
): Promise<void> {
  await builder(tx).insert(jobCard).values(row);
  // Ten columns a row: far from what one statement may hold.
  if (steps.length > 0) {
    await builder(tx)
      .insert(cardStep)
      .values([...steps]);
  }
}

export async function findJobCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<JobCardRow | null> {
  const rows = await builder(tx)
    .select()
    .from(jobCard)
    .where(and(eq(jobCard.fleetId, fleetId), eq(jobCard.cardId, cardId)));
  return rows[0] ?? null;
}

/** Keeps others from working on a card until the transaction ends. */
export async function lockJobCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<JobCardRow | null> {
  const rows = await builder(tx)
    .select()
    .from(jobCard)
    .where(and(eq(jobCard.fleetId, fleetId), eq(jobCard.cardId, cardId)))
    .for('no key update');
  return rows[0] ?? null;
}

export async function updateJobCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
  set: Partial<JobCardRow>,
): Promise<void> {
  await builder(tx)
    .update(jobCard)
    .set(set)
    .where(and(eq(jobCard.fleetId, fleetId), eq(jobCard.cardId, cardId)));
}

/** The cards of a fleet or a unit, the latest written up first. */
export async function listJobCards(
  tx: Tx,
  fleetId: number,
  filter: {
    unitId?: string | undefined;
    state?: CardState | undefined;
    kind?: CardKind | undefined;
  },
  after: [cardId: string] | null,
  limit: number,
): Promise<JobCardRow[]> {
  return builder(tx)
    .select()
    .from(jobCard)
    .where(
      and(
        eq(jobCard.fleetId, fleetId),
        filter.unitId === undefined ? undefined : eq(jobCard.unitId, filter.unitId),
        filter.state === undefined ? undefined : eq(jobCard.state, filter.state),
        filter.kind === undefined ? undefined : eq(jobCard.kind, filter.kind),
        after ? lt(jobCard.cardId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(jobCard.cardId))
    .limit(limit);
}

/** The cards of a unit that are neither signed off nor withdrawn. */
export async function openCardsOfUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
): Promise<JobCardRow[]> {
  return builder(tx)
    .select()
    .from(jobCard)
    .where(
      and(
        eq(jobCard.fleetId, fleetId),
        eq(jobCard.unitId, unitId),
        inArray(jobCard.state, ['written_up', 'hands_on', 'set_down', 'to_sign']),
      ),
    )
    .orderBy(asc(jobCard.cardId))
    .limit(200);
}

/** The steps of a card in their order. */
export async function stepsOfCard(tx: Tx, fleetId: number, cardId: string): Promise<CardStepRow[]> {
  const rows = await builder(tx)
    .select()
    .from(cardStep)
    .where(and(eq(cardStep.fleetId, fleetId), eq(cardStep.cardId, cardId)))
    .orderBy(asc(cardStep.stepNo));
  // Written by us alone, as `cardSteps` made it, and never changed.
  return rows as CardStepRow[];
}

/** The open card that goes on with what another left; null when there is none. */
export async function openFollower(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<string | null> {
  const rows = await builder(tx)
    .select({ cardId: jobCard.cardId })
    .from(jobCard)
    .where(
      and(eq(jobCard.fleetId, fleetId), eq(jobCard.follows, cardId), isNull(jobCard.closedAtMs)),
    )
    .orderBy(jobCard.cardId)
    .limit(1);
  return rows[0]?.cardId ?? null;
}
