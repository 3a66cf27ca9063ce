import { and, asc, eq } from 'drizzle-orm';
import { cardCorrection, cardSignature, stepCommand } from '../../db/schema/index.ts';
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
