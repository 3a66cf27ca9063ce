import { and, asc, eq, sql } from 'drizzle-orm';
import { cardCorrection, cardSignature, jobCard, stepCommand } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type StepCommandRow = typeof stepCommand.$inferSelect;
export type CardSignatureRow = typeof cardSignature.$inferSelect;
export type CardCorrectionRow = typeof cardCorrection.$inferSelect;

/** What was said of the steps of a card, in no order that means anything. */
export async function commandsOfCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<StepCommandRow[]> {
  return builder(tx)
    .select()
    .from(stepCommand)
    .where(and(eq(stepCommand.fleetId, fleetId), eq(stepCommand.cardId, cardId)))
    .orderBy(asc(stepCommand.clientId));
}

export async function insertStepCommand(tx: Tx, row: StepCommandRow): Promise<void> {
  await builder(tx).insert(stepCommand).values(row);
}

export async function findStepCommand(
  tx: Tx,
  fleetId: number,
  cardId: string,
  clientId: string,
): Promise<StepCommandRow | null> {
  const rows = await builder(tx)
    .select()
    .from(stepCommand)
    .where(
      and(
        eq(stepCommand.fleetId, fleetId),
        eq(stepCommand.cardId, cardId),
        eq(stepCommand.clientId, clientId),
      ),
    );
  return rows[0] ?? null;
}

export interface LateCommandRow extends StepCommandRow {
  unitId: string;
}

/** What came when its card was closed, and waits for a person's word. */
export async function listLateCommands(
  tx: Tx,
  fleetId: number,
  cardId: string | undefined,
  after: [cardId: string, clientId: string] | null,
  limit: number,
): Promise<LateCommandRow[]> {
  const rows = await builder(tx)
    .select({ command: stepCommand, unitId: jobCard.unitId })
    .from(stepCommand)
    .innerJoin(
      jobCard,
      and(eq(jobCard.fleetId, stepCommand.fleetId), eq(jobCard.cardId, stepCommand.cardId)),
    )
    .where(
      and(
        eq(stepCommand.fleetId, fleetId),
        stepCommand.late,
        cardId === undefined ? undefined : eq(stepCommand.cardId, cardId),
        after
          ? sql`(${stepCommand.cardId}, ${stepCommand.clientId}) >
              (${after[0]}::uuid, ${after[1]}::uuid)`
          : undefined,
        sql`not exists (select from liftwright.card_correction c
          where c.fleet_id = ${stepCommand.fleetId} and c.card_id = ${stepCommand.cardId}
            and c.client_id = ${stepCommand.clientId})`,
      ),
    )
    .orderBy(asc(stepCommand.cardId), asc(stepCommand.clientId))
    .limit(limit);
  return rows.map(({ command, unitId }) => ({ ...command, unitId }));
}

export async function insertSignatures(tx: Tx, rows: readonly CardSignatureRow[]): Promise<void> {
  if (rows.length > 0) {
    await builder(tx)
      .insert(cardSignature)
      .values([...rows]);
  }
}

/** Who put a name to what, the first first. */
export async function signaturesOfCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<CardSignatureRow[]> {
  return builder(tx)
    .select()
    .from(cardSignature)
    .where(and(eq(cardSignature.fleetId, fleetId), eq(cardSignature.cardId, cardId)))
    .orderBy(asc(cardSignature.signatureId));
}

export async function insertCardCorrection(tx: Tx, row: CardCorrectionRow): Promise<void> {
  await builder(tx).insert(cardCorrection).values(row);
}

/** What was said of a closed card, the first first. */
export async function correctionsOfCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
): Promise<CardCorrectionRow[]> {
  return builder(tx)
    .select()
    .from(cardCorrection)
    .where(and(eq(cardCorrection.fleetId, fleetId), eq(cardCorrection.cardId, cardId)))
    .orderBy(asc(cardCorrection.correctionId));
}
