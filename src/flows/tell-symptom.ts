import { v7 as uuid } from 'uuid';
import { adviseDriver, type DriverAdvice } from '../domain/shop/driver-advice.ts';
import { type Symptom, usualSymptoms } from '../domain/shop/symptom.ts';
import { cameBack } from '../domain/shop/trouble.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import { type SymptomRule, symptomRuleOf } from '../domain/upkeep/symptom-rule.ts';
import { Problem } from '../errors.ts';
import { assetsOnUnit, type InstalledAsset } from '../store/install.ts';
import { lockFaults, type StopRow, stopsOfCause } from '../store/stop.ts';
import {
  insertSymptom,
  insertSymptomReport,
  lastMendedAt,
  openSymptomAt,
  type SymptomRow,
  updateSymptom,
} from '../store/symptom.ts';
import { openCallsOfCause } from '../store/task-call.ts';
import type { Tx } from '../store/tx.ts';
import { endWaiting } from './act-on-stop.ts';
import type { Actor } from './actor.ts';
import { callTasks } from './call-task.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindUnit } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import { setStop } from './set-stop.ts';
import type { Work } from './work.ts';

export interface NewSymptom {
  unitId: string;
  /** Null: found out from the word and what is on the unit. */
  assetId: string | null;
  symptom: Symptom;
  loadOnHook: boolean;
  words: string;
  noticedAtMs: number;
}

/** What a symptom is of, and what its pattern says of it. */
export interface SymptomContext {
  assetId: string | null;
  pattern: LiftPattern | null;
  rule: SymptomRule;
}

export interface ToldSymptom extends SymptomContext {
  row: SymptomRow;
  joined: boolean;
  advice: DriverAdvice;
  /** What it stops, now standing or waiting for the drop. */
  stops: StopRow[];
}

interface OnUnit extends InstalledAsset {
  pattern: LiftPattern | null;
}

/**
 * Which asset a word is about: the one whose pattern has a rule for it, else a winch for what takes
 * the winch alone, else the lift. Null: the unit itself.
 */
function meant(symptom: Symptom, assets: readonly OnUnit[]): OnUnit | null {
  const ruled = assets.find((each) =>
    each.pattern?.symptomRules.some((rule) => rule.symptom === symptom),
  );
  if (ruled) return ruled;
  const { functions } = usualSymptoms[symptom];
  const ofWinch = functions.length > 0 && functions.every((each) => each === 'winch');
  return assets.find(({ kind }) => kind === (ofWinch ? 'winch' : 'lift')) ?? null;
}

/** @throws Problem reference_unknown */
export async function symptomContext(
  tx: Tx,
  fleetId: number,
  place: { unitId: string; assetId: string | null; symptom: Symptom },
  nowMs: number,
): Promise<SymptomContext> {
  const assets: OnUnit[] = [];
  for (const asset of await assetsOnUnit(tx, fleetId, place.unitId, nowMs)) {
    assets.push({ ...asset, pattern: await patternOf(tx, fleetId, asset) });
  }
  const named = assets.find(({ assetId }) => assetId === place.assetId);
  if (place.assetId !== null && !named) {
    throw new Problem('reference_unknown', 'assetId names nothing that is on this unit.');
  }
  const asset = named ?? meant(place.symptom, assets);
  const pattern = asset?.pattern ?? null;
  const rule = symptomRuleOf(pattern?.symptomRules ?? [], place.symptom);
  return { assetId: asset?.assetId ?? null, pattern, rule };
}

async function begin(work: Work, input: NewSymptom, assetId: string | null): Promise<SymptomRow> {
  const { tx, fleetId, nowMs } = work;
  const before = await lastMendedAt(tx, fleetId, { ...input, assetId });
  const again = before?.closedAtMs != null && cameBack(before.closedAtMs, nowMs);
  const row: SymptomRow = {
    fleetId,
    symptomId: uuid(),
    unitId: input.unitId,
    assetId,
    symptom: input.symptom,
    words: input.words,
    loadOnHook: input.loadOnHook,
    reports: 1,
    state: 'told',
    cardId: null,
    cameBackOf: again ? before.symptomId : null,
    noticedAtMs: input.noticedAtMs,
    toldAtMs: nowMs,
    lastToldAtMs: nowMs,
    closedAtMs: null,
    closedWords: null,
    closedByPerson: null,
    closedByKey: null,
    closedByName: null,
  };
  await insertSymptom(tx, row);
  return row;
}

async function join(work: Work, open: SymptomRow, loadOnHook: boolean): Promise<SymptomRow> {
  const change = { reports: open.reports + 1, loadOnHook, lastToldAtMs: work.nowMs };
  await updateSymptom(work.tx, work.fleetId, open.symptomId, change);
  return { ...open, ...change };
}

/** Told with nothing on the lift: what waited for the drop waits no more. */
async function dropped(
  work: Work,
  by: Actor,
  { unitId }: SymptomRow,
  stops: readonly StopRow[],
): Promise<StopRow[]> {
  const after: StopRow[] = [];
  for (const stop of stops) {
    const { stopId, state } = stop;
    const act = {
      unitId,
      stopId,
      act: 'dropped',
      words: 'Told with nothing on the lift.',
    } as const;
    after.push(state === 'waits_for_drop' ? await endWaiting(work, by, act) : stop);
  }
  return after;
}

/** What it takes away, unless a stop of it stands already. */
async function stopFor(
  work: Work,
  by: Actor,
  row: SymptomRow,
  rule: SymptomRule,
): Promise<StopRow[]> {
  const cause = { kind: 'symptom', id: row.symptomId };
  const standing = await stopsOfCause(work.tx, work.fleetId, cause, true);
  if (standing.length > 0) return row.loadOnHook ? standing : dropped(work, by, row, standing);
  if (rule.stop === null) return [];
  const stop = await setStop(work, by, {
    unitId: row.unitId,
    assetId: row.assetId,
    kind: 'defect',
    functions: rule.functions,
    effect: 'no',
    limits: {},
    // With nothing on the lift there is no drop to wait for.
    effective: row.loadOnHook ? rule.stop : 'at_once',
    reason: `Told by a driver: ${usualSymptoms[row.symptom as Symptom].words}`,
    cause,
    untilMs: null,
    findingId: null,
  });
  return [stop];
}

/** Calls what its pattern makes due, where this symptom has no call of it open already. */
async function callFor(work: Work, by: Actor, row: SymptomRow, context: SymptomContext) {
  const { assetId, pattern, rule } = context;
  if (assetId === null || pattern === null) return;
  const open = await openCallsOfCause(work.tx, work.fleetId, row.symptomId);
  const tasks = rule.makesDue
    .filter((key) => pattern.tasks.some((task) => task.key === key))
    .filter((key) => !open.some(({ taskKey }) => taskKey === key))
    .map((taskKey) => ({ assetId, taskKey }));
  const cause = { kind: 'symptom', id: row.symptomId } as const;
  await callTasks(work, by, {
    unitId: row.unitId,
    tasks,
    cause,
    what: row.symptom,
    words: null,
  });
}

/**
 * A symptom is told, by a driver or whoever heard of it: stops what its rule says, calls tasks due,
 * and answers what to do now. The same word of the same asset, still open, is told again and joins.
 *
 * @throws Problem not_found, reference_unknown, time_invalid
 */
export async function tellSymptom(work: Work, by: Actor, input: NewSymptom): Promise<ToldSymptom> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, input.unitId, nowMs);
  if (input.noticedAtMs < earliestMs || input.noticedAtMs > nowMs + 120_000) {
    throw new Problem('time_invalid', '`noticedAt` must be a time that has been.');
  }
  const context = await symptomContext(tx, fleetId, input, nowMs);
  const { assetId, rule } = context;
  await lockFaults(tx, fleetId, input.unitId);
  const place = { ...input, assetId };
  const open = input.symptom === 'other' ? null : await openSymptomAt(tx, fleetId, place);
  const row = open ? await join(work, open, input.loadOnHook) : await begin(work, input, assetId);
  await insertSymptomReport(tx, {
    fleetId,
    reportId: uuid(),
    symptomId: row.symptomId,
    unitId: input.unitId,
    loadOnHook: input.loadOnHook,
    words: input.words,
    noticedAtMs: Math.min(input.noticedAtMs, nowMs),
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    recordedAtMs: nowMs,
  });
  const { loadOnHook } = input;
  const advice = adviseDriver(input.symptom, { ...rule, loadOnHook });
  work.record({
    type: open ? 'symptom.told_again' : row.cameBackOf ? 'symptom.came_back' : 'symptom.told',
    subject: `unit/${input.unitId}`,
    data: {
      symptomId: row.symptomId,
      assetId,
      symptom: row.symptom,
      loadOnHook,
      reports: row.reports,
      cameBackOf: row.cameBackOf,
      doNow: advice.act,
      personId: by.personId,
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: nowMs,
  });
  const stops = await stopFor(work, by, { ...row, unitId: input.unitId }, rule);
  await callFor(work, by, { ...row, unitId: input.unitId }, context);
  return { ...context, row, joined: open !== null, advice, stops };
}
