import { and, desc, eq, isNotNull, isNull, lt, sql } from 'drizzle-orm';
import { incident, symptom, walkRound } from '../../db/schema/index.ts';
import type { IncidentRow } from './incident.ts';
import { firstOfEach } from './of-each.ts';
import { type OpenOnUnits, onUnitAt } from './shop-edges.ts';
import type { SymptomRow } from './symptom.ts';
import type { Tx } from './tx.ts';
import type { WalkRoundRow } from './walk-round.ts';

/** The pages of what drivers tell: of many units in one statement each, the last told first. */

export function symptomsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  { atMs, open }: OpenOnUnits,
  after: [symptomId: string] | null,
  limit: number,
): Promise<Map<string, SymptomRow[]>> {
  const { closedAtMs } = symptom;
  return firstOfEach(tx, symptom, unitIds, {
    where: (parent) =>
      and(
        eq(symptom.fleetId, fleetId),
        onUnitAt(symptom, fleetId, parent, atMs),
        open === null ? undefined : open ? isNull(closedAtMs) : isNotNull(closedAtMs),
        after ? lt(symptom.symptomId, after[0]) : undefined,
      ),
    order: [desc(symptom.symptomId)],
    limit,
  });
}

export function incidentsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  open: boolean | null,
  after: [incidentId: string] | null,
  limit: number,
): Promise<Map<string, IncidentRow[]>> {
  const { closedAtMs } = incident;
  return firstOfEach(tx, incident, unitIds, {
    where: (parent) =>
      and(
        eq(incident.fleetId, fleetId),
        sql`${incident.unitId} = ${parent}`,
        open === null ? undefined : open ? isNull(closedAtMs) : isNotNull(closedAtMs),
        after ? lt(incident.incidentId, after[0]) : undefined,
      ),
    order: [desc(incident.incidentId)],
    limit,
  });
}

export function walkRoundsOfUnits(
  tx: Tx,
  fleetId: number,
  unitIds: readonly string[],
  after: [walkRoundId: string] | null,
  limit: number,
): Promise<Map<string, WalkRoundRow[]>> {
  return firstOfEach(tx, walkRound, unitIds, {
    where: (parent) =>
      and(
        eq(walkRound.fleetId, fleetId),
        sql`${walkRound.unitId} = ${parent}`,
        after ? lt(walkRound.walkRoundId, after[0]) : undefined,
      ),
    order: [desc(walkRound.walkRoundId)],
    limit,
  });
}
