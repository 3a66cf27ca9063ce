import { v7 as uuid } from 'uuid';
import { adviseAfterIncident, type DriverAdvice } from '../domain/shop/driver-advice.ts';
import {
  type Incident,
  incidentWords,
  inspectedKinds,
  inspectionTasks,
} from '../domain/shop/incident.ts';
import { ALL_FUNCTIONS } from '../domain/shop/stop.ts';
import { Problem } from '../errors.ts';
import { type IncidentRow, insertIncident } from '../store/incident.ts';
import { assetsOnUnit } from '../store/install.ts';
import { lockFaults, type StopRow } from '../store/stop.ts';
import type { Actor } from './actor.ts';
import { callTasks } from './call-task.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindUnit } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import { setStop } from './set-stop.ts';
import type { Work } from './work.ts';

export interface NewIncident {
  unitId: string;
  kind: Incident;
  words: string;
  loadOnHook: boolean;
  happenedAtMs: number;
}

export interface ToldIncident {
  row: IncidentRow;
  advice: DriverAdvice;
  stop: StopRow;
  /** What the full inspection is made of. */
  called: { assetId: string; taskKey: string }[];
}

/** Everything that looks, measures, tightens or tries anything of what bore the load. */
async function fullInspection(work: Work, unitId: string, kind: Incident) {
  const { tx, fleetId, nowMs } = work;
  const tasks: { assetId: string; taskKey: string }[] = [];
  const kinds = inspectedKinds(kind);
  for (const asset of await assetsOnUnit(tx, fleetId, unitId, nowMs)) {
    if (!kinds.includes(asset.kind)) continue;
    const pattern = await patternOf(tx, fleetId, asset);
    const keys = pattern ? inspectionTasks(pattern) : [];
    tasks.push(...keys.map((taskKey) => ({ assetId: asset.assetId, taskKey })));
  }
  return tasks;
}

/**
 * Something happened to a unit: it stops at once, load or not, and a full inspection is called due.
 *
 * @throws Problem not_found, time_invalid
 */
export async function tellIncident(
  work: Work,
  by: Actor,
  input: NewIncident,
): Promise<ToldIncident> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, kind, words, loadOnHook } = input;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  if (input.happenedAtMs < earliestMs || input.happenedAtMs > nowMs + 120_000) {
    throw new Problem('time_invalid', '`happenedAt` must be a time that has been.');
  }
  await lockFaults(tx, fleetId, unitId);
  const row: IncidentRow = {
    fleetId,
    incidentId: uuid(),
    unitId,
    kind,
    words,
    loadOnHook,
    happenedAtMs: Math.min(input.happenedAtMs, nowMs),
    toldAtMs: nowMs,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    state: 'told',
    cardId: null,
    closedAtMs: null,
    closedWords: null,
    closedByPerson: null,
    closedByKey: null,
    closedByName: null,
  };
  await insertIncident(tx, row);
  const called = await fullInspection(work, unitId, kind);
  work.record({
    type: 'incident.told',
    subject: `unit/${unitId}`,
    data: {
      incidentId: row.incidentId,
      kind,
      loadOnHook,
      happenedAt: row.happenedAtMs,
      inspection: called.map(({ assetId, taskKey }) => ({ assetId, task: taskKey })),
      personId: by.personId,
    },
    personal: { by: by.name, words },
    occurredAtMs: row.happenedAtMs,
  });
  const cause = { kind: 'incident', id: row.incidentId } as const;
  const stop = await setStop(work, by, {
    unitId,
    assetId: null,
    kind: 'defect',
    functions: ALL_FUNCTIONS,
    effect: 'no',
    limits: {},
    effective: 'at_once',
    reason: `After an incident, until a full inspection: ${incidentWords[kind]}`,
    cause,
    untilMs: null,
    findingId: null,
  });
  await callTasks(work, by, { unitId, tasks: called, cause, what: kind, words: null });
  return { row, advice: adviseAfterIncident(loadOnHook), stop, called };
}
