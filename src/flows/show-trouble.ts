import { instantText } from '../domain/instant.ts';
import { adviseAfterIncident, adviseDriver } from '../domain/shop/driver-advice.ts';
import { type Incident, incidentWords } from '../domain/shop/incident.ts';
import { type Symptom, usualSymptoms } from '../domain/shop/symptom.ts';
import { isOver, outcomeText, saidText } from '../domain/shop/trouble.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import { type LikelyCause, symptomRuleOf } from '../domain/upkeep/symptom-rule.ts';
import { findAsset } from '../store/asset.ts';
import { findIncident, type IncidentRow } from '../store/incident.ts';
import type { StopRow } from '../store/stop.ts';
import { stopsOfCause } from '../store/stop.ts';
import {
  cameBackAs,
  findSymptom,
  reportsOfSymptom,
  type SymptomReportRow,
  type SymptomRow,
} from '../store/symptom.ts';
import { openCallsOfCause } from '../store/task-call.ts';
import type { Tx } from '../store/tx.ts';
import { absent } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import type { SymptomContext } from './tell-symptom.ts';

interface Ended {
  state: SymptomRow['state'];
  closedAtMs: number | null;
  closedWords: string | null;
  closedByPerson: string | null;
  closedByName: string | null;
}

const showClosed = (row: Ended) =>
  row.closedAtMs === null
    ? null
    : {
        how: row.state === 'mended' ? ('mended' as const) : ('unnecessary' as const),
        words: row.closedWords ?? '',
        by: { personId: row.closedByPerson as string, name: row.closedByName ?? '' },
        at: instantText(row.closedAtMs),
      };

const showTeller = (row: { byPerson: string | null; byName: string }) => ({
  personId: row.byPerson,
  name: row.byName,
});

/** A symptom as lists show it. */
export const showSymptom = (row: SymptomRow) => ({
  symptomId: row.symptomId,
  unitId: row.unitId,
  assetId: row.assetId,
  symptom: row.symptom as Symptom,
  means: usualSymptoms[row.symptom as Symptom].words,
  words: row.words,
  loadOnHook: row.loadOnHook,
  reports: row.reports,
  state: row.state,
  outcome: outcomeText(row.state, row.cardId !== null),
  cardId: row.cardId,
  cameBackOf: row.cameBackOf,
  noticedAt: instantText(row.noticedAtMs),
  toldAt: instantText(row.toldAtMs),
  lastToldAt: instantText(row.lastToldAtMs),
  closed: showClosed(row),
});

const showReport = (row: SymptomReportRow) => ({
  words: row.words,
  loadOnHook: row.loadOnHook,
  noticedAt: instantText(row.noticedAtMs),
  toldAt: instantText(row.recordedAtMs),
  by: showTeller(row),
});

const showStop = (row: StopRow) => ({
  stopId: row.stopId,
  functions: row.functions,
  state: row.state,
  reason: row.reason,
});

/** Where to look for a likely cause, as the pattern names it. */
function showCause({ words, points }: LikelyCause, pattern: LiftPattern | null) {
  const named = pattern?.servicePoints.filter(({ key }) => points.includes(key)) ?? [];
  return {
    words,
    points: named.map(({ key, name, side, place }) => ({ point: key, name, side, place })),
  };
}

export const reportsShown = 50;

async function whole(tx: Tx, row: SymptomRow, { pattern, rule }: SymptomContext) {
  const { fleetId, symptomId, loadOnHook } = row;
  const over = isOver(row.state);
  const stops = await stopsOfCause(tx, fleetId, { kind: 'symptom', id: symptomId });
  const reports = await reportsOfSymptom(tx, fleetId, symptomId, reportsShown);
  return {
    ...showSymptom(row),
    said: saidText(row.reports, row.cameBackOf !== null),
    doNow: over ? null : adviseDriver(row.symptom as Symptom, { ...rule, loadOnHook }),
    likelyCauses: rule.askFor.map((cause) => showCause(cause, pattern)),
    stops: stops.map(showStop),
    calledDue: (await openCallsOfCause(tx, fleetId, symptomId)).map(({ taskKey }) => taskKey),
    told: reports.map(showReport),
    cameBackAs: await cameBackAs(tx, fleetId, symptomId),
  };
}

/** What to do now, what is likely, and what came of it; of one that was just told. */
export const showTold = (tx: Tx, told: SymptomContext & { row: SymptomRow }) =>
  whole(tx, told.row, told);

/** The same, read later, of the unit or of what is on it now. @throws Problem not_found */
export async function readSymptom(
  tx: Tx,
  fleetId: number,
  { unitId, symptomId }: { unitId: string; symptomId: string },
  nowMs: number,
) {
  const row = await findSymptom(tx, fleetId, symptomId);
  const asset = row?.assetId == null ? null : await findAsset(tx, fleetId, row.assetId, nowMs);
  if (!row || (row.unitId !== unitId && asset?.unitId !== unitId)) throw absent('symptom');
  const pattern = asset ? await patternOf(tx, fleetId, asset) : null;
  const rule = symptomRuleOf(pattern?.symptomRules ?? [], row.symptom as Symptom);
  return whole(tx, row, { assetId: row.assetId, pattern, rule });
}

/** An incident as lists show it. */
export const showIncident = (row: IncidentRow) => ({
  incidentId: row.incidentId,
  unitId: row.unitId,
  kind: row.kind,
  means: incidentWords[row.kind as Incident],
  words: row.words,
  loadOnHook: row.loadOnHook,
  happenedAt: instantText(row.happenedAtMs),
  toldAt: instantText(row.toldAtMs),
  by: showTeller(row),
  state: row.state,
  outcome: outcomeText(row.state, row.cardId !== null),
  cardId: row.cardId,
  closed: showClosed(row),
});

/** What to do now, what is stopped and what the full inspection still lacks. */
async function showWholeIncident(tx: Tx, row: IncidentRow) {
  const { fleetId, incidentId } = row;
  const stops = await stopsOfCause(tx, fleetId, { kind: 'incident', id: incidentId });
  return {
    ...showIncident(row),
    doNow: isOver(row.state) ? null : adviseAfterIncident(row.loadOnHook),
    stops: stops.map(showStop),
    calledDue: (await openCallsOfCause(tx, fleetId, incidentId)).map(({ taskKey }) => taskKey),
  };
}

/** @throws Problem not_found */
export async function readIncident(tx: Tx, fleetId: number, unitId: string, incidentId: string) {
  const row = await findIncident(tx, fleetId, incidentId);
  if (row?.unitId !== unitId) throw absent('incident');
  return showWholeIncident(tx, row);
}
