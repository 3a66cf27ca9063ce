import { instantText, instantTextOrNull } from '../domain/instant.ts';
import {
  isChecked,
  isCountersigned,
  lacking,
  needsCheck,
  needsCountersign,
} from '../domain/shop/card-signing.ts';
import { type MergedStep, mergeSteps, told } from '../domain/shop/merge-steps.ts';
import {
  type CardCorrectionRow,
  type CardSignatureRow,
  commandsOfCard,
  correctionsOfCard,
  type LateCommandRow,
  type StepCommandRow,
  signaturesOfCard,
} from '../store/card-record.ts';
import { type CardStepRow, findJobCard, type JobCardRow, stepsOfCard } from '../store/job-card.ts';
import { partsOfCards } from '../store/shop-edges.ts';
import type { Tx } from '../store/tx.ts';
import { absent } from './must-find.ts';
import { sealOf } from './seal-card.ts';

/** A command as the rules look at it: its time is the one that counts. */
export type CommandOnStep = StepCommandRow & { atMs: number };

/** A card with everything that belongs to it. */
export interface WholeCard {
  row: JobCardRow;
  steps: CardStepRow[];
  /** All commands, those that came late too. */
  commands: CommandOnStep[];
  /** By step, of the commands that came while the card was open. */
  merged: Map<string, MergedStep<CommandOnStep>>;
  signatures: CardSignatureRow[];
  corrections: CardCorrectionRow[];
}

/** Everything of a card that was found. */
export async function readWhole(tx: Tx, row: JobCardRow): Promise<WholeCard> {
  const { fleetId, cardId } = row;
  const said = await commandsOfCard(tx, fleetId, cardId);
  const commands = said.map((each) => ({ ...each, atMs: each.countedAtMs }));
  return {
    row,
    steps: await stepsOfCard(tx, fleetId, cardId),
    commands,
    merged: mergeSteps(told(commands.filter(({ late }) => !late))),
    signatures: await signaturesOfCard(tx, fleetId, cardId),
    corrections: await correctionsOfCard(tx, fleetId, cardId),
  };
}

/** Everything of many cards, in four statements. */
export async function readWholes(
  tx: Tx,
  fleetId: number,
  rows: readonly JobCardRow[],
): Promise<Map<string, WholeCard>> {
  const parts = await partsOfCards(
    tx,
    fleetId,
    rows.map((row) => row.cardId),
  );
  const ofCard = <T extends { cardId: string }>(all: readonly T[], { cardId }: JobCardRow) =>
    all.filter((each) => each.cardId === cardId);
  return new Map(
    rows.map((row) => {
      const said = ofCard(parts.commands, row);
      const commands = said.map((each) => ({ ...each, atMs: each.countedAtMs }));
      const whole: WholeCard = {
        row,
        steps: ofCard(parts.steps, row),
        commands,
        merged: mergeSteps(told(commands.filter(({ late }) => !late))),
        signatures: ofCard(parts.signatures, row),
        corrections: ofCard(parts.corrections, row),
      };
      return [row.cardId, whole];
    }),
  );
}

/** What came of the steps, with what came late and was said to count. */
export function countedMerge(card: WholeCard): Map<string, MergedStep<CommandOnStep>> {
  const counts = new Set(
    card.corrections.filter((each) => each.decision === 'counts').map((each) => each.clientId),
  );
  return mergeSteps(told(card.commands.filter((c) => !c.late || counts.has(c.clientId))));
}

/** @throws Problem not_found */
export async function readJobCard(tx: Tx, fleetId: number, cardId: string): Promise<WholeCard> {
  const row = await findJobCard(tx, fleetId, cardId);
  if (!row) throw absent('job card');
  return readWhole(tx, row);
}

/** What a list shows of a card. */
export function showCardRow(row: JobCardRow) {
  return {
    cardId: row.cardId,
    unitId: row.unitId,
    kind: row.kind,
    state: row.state,
    reasons: row.reasons,
    tasks: row.tasks,
    cause:
      row.causeKind === null || row.causeId === null
        ? null
        : { kind: row.causeKind, id: row.causeId },
    visitId: row.visitId,
    follows: row.follows,
    writtenUpAt: instantText(row.writtenUpAtMs),
    writtenUpBy: row.writtenUpBy,
    begunAt: instantTextOrNull(row.begunAtMs),
    togetherAndSafe: row.togetherSafe,
    restNotDone: row.restReason,
    workEndedAt: instantTextOrNull(row.workEndedAtMs),
    endedByFinding: row.endedBy,
    closedAt: instantTextOrNull(row.closedAtMs),
    seal: row.seal?.toString('hex') ?? null,
  };
}

const person = (row: { personId: string; personName: string }) => ({
  personId: row.personId,
  name: row.personName,
});

function showCommand(row: CommandOnStep, corrections: readonly CardCorrectionRow[]) {
  const decided = corrections.find((each) => each.clientId === row.clientId);
  return {
    clientId: row.clientId,
    stepId: row.stepId,
    result: row.result,
    tap: row.tap,
    reason: row.reason,
    words: row.words,
    measurement: row.measurement as Record<string, unknown> | null,
    findingId: row.findingId,
    at: instantText(row.countedAtMs),
    saidAt: instantText(row.saidAtMs),
    receivedAt: instantText(row.receivedAtMs),
    by: person(row),
    trainee: row.trainee,
    atControls: row.atControls,
    replaces: row.replaces,
    late: row.late,
    review: row.late ? (decided?.decision ?? ('waits' as const)) : null,
  };
}

/** A command that waits for a word, as the list of them shows it. */
export const showLate = (row: LateCommandRow) => ({
  ...showCommand({ ...row, atMs: row.countedAtMs }, []),
  cardId: row.cardId,
  unitId: row.unitId,
});

const showSignature = (row: CardSignatureRow) => ({
  signatureId: row.signatureId,
  act: row.act,
  stepId: row.stepId,
  by: person(row),
  via: row.via,
  togetherAndSafe: row.togetherSafe,
  words: row.words,
  at: instantText(row.atMs),
  recordedAt: instantText(row.recordedAtMs),
});

const showCorrection = (row: CardCorrectionRow) => ({
  correctionId: row.correctionId,
  stepId: row.stepId,
  clientId: row.clientId,
  decision: row.decision,
  words: row.words,
  tasks: row.tasks,
  by: person(row),
  recordedAt: instantText(row.recordedAtMs),
});

const inUnits = (thousandths: number | null) => (thousandths === null ? null : thousandths / 1000);

function showStep(card: WholeCard, row: CardStepRow) {
  const { step, stepId } = row;
  const merged = card.merged.get(stepId);
  const signed = card.signatures.filter((each) => each.stepId === stepId);
  const { torque, quantity, limits, wearParts, lastReadings, ...rest } = step;
  return {
    ...rest,
    stepId,
    stepNo: row.stepNo,
    torque: torque && { nm: torque.milliNm / 1000, thread: torque.thread },
    quantity: quantity && { amount: quantity.thousandths / 1000, unit: quantity.unit },
    limits: limits.map(({ leastThousandths, mostThousandths, ...limit }) => ({
      ...limit,
      least: inUnits(leastThousandths ?? null),
      most: inUnits(mostThousandths ?? null),
    })),
    wearParts: wearParts.map(({ nominalThousandths, limitThousandths, ...part }) => ({
      ...part,
      nominal: inUnits(nominalThousandths),
      limit: inUnits(limitThousandths),
    })),
    lastReadings: lastReadings.map(({ thousandths, atMs, ...reading }) => ({
      ...reading,
      value: inUnits(thousandths),
      at: instantText(atMs),
    })),
    result: merged?.result ?? null,
    disputed: merged?.disputed ?? false,
    doneAt: instantTextOrNull(merged?.doneAtMs ?? null),
    needsCheck: needsCheck(row, merged),
    checked: merged ? isChecked(merged, signed) : null,
    needsCountersign: needsCountersign(merged),
    countersigned: merged ? isCountersigned(merged, signed) : false,
    said: card.commands
      .filter((each) => each.stepId === stepId)
      .map((each) => showCommand(each, card.corrections)),
  };
}

/** A card with its steps, what was said of them, what is lacking, and who signed. */
export function showJobCard(card: WholeCard) {
  const { row, steps, merged, signatures } = card;
  const open = row.closedAtMs === null;
  return {
    ...showCardRow(row),
    sealHolds: row.seal === null ? null : sealOf(card).equals(row.seal),
    steps: steps.map((step) => showStep(card, step)),
    lacking: open ? lacking({ steps, merged, signed: signatures, restReason: row.restReason }) : [],
    signatures: signatures.map(showSignature),
    corrections: card.corrections.map(showCorrection),
  };
}
