import { and, asc, desc, eq, gt, isNotNull, isNull, lt, ne, type SQL, sql } from 'drizzle-orm';
import type { PgColumn, PgTable } from 'drizzle-orm/pg-core';
import {
  cardCorrection,
  cardSignature,
  cardStep,
  finding,
  jobCard,
  personCompetence,
  stepCommand,
  stop,
  visit,
} from '../../db/schema/index.ts';
import type { CardState } from '../domain/shop/job-card.ts';
import type { CompetenceRow } from './competence.ts';
import type { FindingRow } from './finding.ts';
import type { CardStepRow, JobCardRow } from './job-card.ts';
import { firstOfEach } from './of-each.ts';
import type { StopRow } from './stop.ts';
import { builder, type Tx } from './tx.ts';
import type { VisitRow } from './visit.ts';

/** The pages at the ends of the edges of the shop: of many parents in one statement each. */

const at = (ms: number): SQL => sql`to_timestamp(${ms}::float8 / 1000)`;

export function competencesOfPeople(
  tx: Tx,
  fleetId: number,
  personIds: readonly string[],
  after: [competenceId: string] | null,
  limit: number,
): Promise<Map<string, CompetenceRow[]>> {
  return firstOfEach(tx, personCompetence, personIds, {
    where: (parent) =>
      and(
        eq(personCompetence.fleetId, fleetId),
        sql`${personCompetence.personId} = ${parent}`,
        after ? gt(personCompetence.competenceId, after[0]) : undefined,
      ),
    order: [asc(personCompetence.competenceId)],
    limit,
  });
}

/** Visits of units by their beginning, without those that were called off. */
export function visitsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  after: [fromMs: number, visitId: string] | null,
  limit: number,
): Promise<Map<string, VisitRow[]>> {
  const start = sql`lower("visit"."during")`;
  return firstOfEach(tx, visit, unitIds, {
    where: (parent) =>
      and(
        eq(visit.fleetId, fleetId),
        sql`${visit.unitId} = ${parent}`,
        isNull(visit.cancelledAtMs),
        after
          ? sql`(${start}, "visit"."visit_id") > (${at(after[0])}, ${after[1]}::uuid)`
          : undefined,
      ),
    order: [asc(start), asc(visit.visitId)],
    limit,
  });
}

/** Everything that belongs to cards, of all of them: four statements. */
export async function partsOfCards(tx: Tx, fleetId: number, cardIds: readonly string[]) {
  const read = <T extends PgTable & { cardId: PgColumn; fleetId: PgColumn }>(table: T, by: SQL) =>
    builder(tx)
      .select()
      .from(table as PgTable)
      .where(
        and(
          eq(table.fleetId, fleetId),
          sql`${table.cardId} = any (${sql.param([...cardIds])}::uuid[])`,
        ),
      )
      .orderBy(by) as unknown as Promise<T['$inferSelect'][]>;
  return {
    steps: (await read(cardStep, asc(cardStep.stepNo))) as CardStepRow[],
    commands: await read(stepCommand, asc(stepCommand.clientId)),
    signatures: await read(cardSignature, asc(cardSignature.signatureId)),
    corrections: await read(cardCorrection, asc(cardCorrection.correctionId)),
  };
}

export async function cardsByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
): Promise<Map<string, JobCardRow>> {
  const rows = await builder(tx)
    .select()
    .from(jobCard)
    .where(
      and(
        eq(jobCard.fleetId, fleetId),
        sql`${jobCard.cardId} = any (${sql.param([...ids])}::uuid[])`,
      ),
    );
  return new Map(rows.map((row) => [row.cardId, row]));
}

/** The cards of units, the latest written up first. */
export function cardsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  state: CardState | null,
  after: [cardId: string] | null,
  limit: number,
): Promise<Map<string, JobCardRow[]>> {
  return firstOfEach(tx, jobCard, unitIds, {
    where: (parent) =>
      and(
        eq(jobCard.fleetId, fleetId),
        sql`${jobCard.unitId} = ${parent}`,
        state === null ? undefined : eq(jobCard.state, state),
        after ? lt(jobCard.cardId, after[0]) : undefined,
      ),
    order: [desc(jobCard.cardId)],
    limit,
  });
}

/** Of a unit, or of what is on it at an instant. */
export const onUnitAt = (
  table: { unitId: PgColumn; assetId: PgColumn },
  fleetId: number,
  parent: SQL,
  atMs: number,
) =>
  sql`(${table.unitId} = ${parent} or ${table.assetId} in (
    select i.asset_id from liftwright.install i where i.fleet_id = ${fleetId}
      and i.unit_id = ${parent} and i.asset_id is not null and i.during @> ${at(atMs)}))`;

export interface OpenOnUnits {
  atMs: number;
  /** Null: both. */
  open: boolean | null;
}

/** The stops of units and of what is on them now, the last set first. */
export function stopsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  { atMs, open }: OpenOnUnits,
  after: [stopId: string] | null,
  limit: number,
): Promise<Map<string, StopRow[]>> {
  return firstOfEach(tx, stop, unitIds, {
    where: (parent) =>
      and(
        eq(stop.fleetId, fleetId),
        onUnitAt(stop, fleetId, parent, atMs),
        open === null ? undefined : open ? ne(stop.state, 'cleared') : eq(stop.state, 'cleared'),
        after ? lt(stop.stopId, after[0]) : undefined,
      ),
    order: [desc(stop.stopId)],
    limit,
  });
}

/** The findings of units and of what is on them now, the last found first. */
export function findingsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  { atMs, open }: OpenOnUnits,
  after: [findingId: string] | null,
  limit: number,
): Promise<Map<string, FindingRow[]>> {
  const { closedAtMs } = finding;
  return firstOfEach(tx, finding, unitIds, {
    where: (parent) =>
      and(
        eq(finding.fleetId, fleetId),
        onUnitAt(finding, fleetId, parent, atMs),
        open === null ? undefined : open ? isNull(closedAtMs) : isNotNull(closedAtMs),
        after ? lt(finding.findingId, after[0]) : undefined,
      ),
    order: [desc(finding.findingId)],
    limit,
  });
}

export async function findingsByIds(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
): Promise<Map<string, FindingRow>> {
  const wanted = sql`${finding.findingId} = any (${sql.param([...ids])}::uuid[])`;
  const rows = await builder(tx)
    .select()
    .from(finding)
    .where(and(eq(finding.fleetId, fleetId), wanted));
  return new Map(rows.map((row) => [row.findingId, row]));
}
