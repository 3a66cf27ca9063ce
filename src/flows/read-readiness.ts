import {
  type FunctionReadiness,
  fittedFunctions,
  type ReadinessAnswer,
  type ReadinessInput,
  readinessOf,
} from '../domain/shop/readiness.ts';
import type {
  ReadinessDeferral,
  ReadinessFinding,
  ReadinessStop,
  ReadinessTask,
} from '../domain/shop/readiness-reason.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import { addDays, localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import { lastEventNumber } from '../store/event.ts';
import {
  type Place,
  type PressingTask,
  type ReadinessAsset,
  type ReadinessUnit,
  type RunningDeferral,
  readinessAssets,
  readinessDeferrals,
  readinessFindings,
  readinessStops,
  readinessTasks,
  readinessUnits,
  useSinceGraded,
} from '../store/readiness.ts';
import type { Tx } from '../store/tx.ts';
import { metersHeard } from './meter-sources-now.ts';
import { absent } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';

/** What a unit may be sent to do now, and what that rests on. */
export interface UnitReadiness {
  unit: ReadinessUnit;
  functions: FunctionReadiness[];
}

/** Readiness of a page of units. */
export interface ReadinessPage {
  /** The last event that all of it knows of; it may know of later ones too. */
  event: number;
  units: UnitReadiness[];
}

interface Fitted extends ReadinessAsset {
  pattern: LiftPattern | null;
}

/** Everything about some units, each row with the unit that it belongs to now. */
interface Rows {
  assets: Map<string, Fitted[]>;
  stops: Map<string, ReadinessStop[]>;
  findings: Map<string, ReadinessFinding[]>;
  tasks: Map<string, PressingTask[]>;
  deferrals: Map<string, RunningDeferral[]>;
}

function byUnit<T>(rows: readonly T[], unitOf: (row: T) => string | undefined): Map<string, T[]> {
  const found = new Map<string, T[]>();
  for (const row of rows) {
    const unitId = unitOf(row);
    if (unitId === undefined) continue;
    const list = found.get(unitId);
    if (list) list.push(row);
    else found.set(unitId, [row]);
  }
  return found;
}

/** With the use since each was graded, where it is to be mended after so much of it. */
async function withUse(
  tx: Tx,
  fleetId: number,
  findings: readonly (ReadinessFinding & Place)[],
  nowMs: number,
): Promise<(ReadinessFinding & Place)[]> {
  const counted = findings.filter((each) => Object.keys(each.mendByUse).length > 0);
  const assetIds = [...new Set(counted.flatMap((each) => each.assetId ?? []))];
  const ids = counted.map((each) => each.findingId);
  const used = await useSinceGraded(tx, fleetId, ids);
  const heard = await metersHeard(tx, fleetId, assetIds, nowMs);
  return findings.map((each) => {
    const known = heard.get(each.assetId ?? '');
    const silentMeters = Object.keys(each.mendByUse).filter((meter) => !known?.has(meter));
    return { ...each, usedSince: used.get(each.findingId) ?? {}, silentMeters };
  });
}

async function readRows(
  tx: Tx,
  fleetId: number,
  units: readonly ReadinessUnit[],
  nowMs: number,
): Promise<Rows> {
  const unitIds = units.map((unit) => unit.unitId);
  const fitted: Fitted[] = [];
  for (const asset of await readinessAssets(tx, fleetId, unitIds, nowMs)) {
    fitted.push({ ...asset, pattern: await patternOf(tx, fleetId, asset) });
  }
  const assetIds = fitted.map((asset) => asset.assetId);
  const unitOfAsset = new Map(fitted.map((asset) => [asset.assetId, asset.unitId]));
  const ofAsset = ({ assetId }: { assetId: string }) => unitOfAsset.get(assetId);
  const ofPlace = ({ unitId, assetId }: Place) =>
    assetId === null ? unitId : unitOfAsset.get(assetId);
  const stops = await readinessStops(tx, fleetId, unitIds, assetIds);
  const findings = await readinessFindings(tx, fleetId, unitIds, assetIds);
  return {
    assets: byUnit(fitted, (asset) => asset.unitId),
    stops: byUnit(stops, ofPlace),
    findings: byUnit(await withUse(tx, fleetId, findings, nowMs), ofPlace),
    tasks: byUnit(await readinessTasks(tx, fleetId, assetIds), ofAsset),
    deferrals: byUnit(await readinessDeferrals(tx, fleetId, assetIds), ofAsset),
  };
}

const ruleOf = (assets: readonly Fitted[], assetId: string, key: string) =>
  assets
    .find((asset) => asset.assetId === assetId)
    ?.pattern?.tasks.find((task) => task.key === key);

/** What of an assessment says that the task may be past its limit; null when nothing does. */
function wordsOf(task: PressingTask): string | null {
  if (task.status === 'overrun') return task.reasons[0]?.text ?? 'It is past its limit.';
  const telling = task.reasons.find(
    ({ code, could }) => code === 'never_done' || could === 'beyond_limit',
  );
  return telling?.text ?? null;
}

function toTask(
  task: PressingTask,
  assets: readonly Fitted[],
  unit: ReadinessUnit,
): ReadinessTask[] {
  const rule = ruleOf(assets, task.assetId, task.taskKey);
  const words = wordsOf(task);
  if (!rule || words === null) return [];
  const { overrunSince } = task;
  return [
    {
      assetId: task.assetId,
      taskKey: task.taskKey,
      name: rule.name,
      status: task.status,
      effect: rule.overrunEffect,
      functions: rule.functions,
      words,
      sinceMs: overrunSince === null ? null : startOfLocalDay(overrunSince, unit.timeZone),
      silentSinceMs: task.status === 'unknown' ? task.silentSinceMs : null,
      neverDone: task.reasons.some(({ code }) => code === 'never_done'),
      mayExtend: rule.mayExtend,
      knownAtMs: unit.heardAtMs ?? task.assessedAtMs,
    },
  ];
}

/** Those that hold: nobody ended them, their day has not passed, their use is not over. */
function toDeferral(
  row: RunningDeferral,
  assets: readonly Fitted[],
  unit: ReadinessUnit,
  today: string,
): ReadinessDeferral[] {
  if (row.untilDay < today || (row.state !== null && row.state !== 'active')) return [];
  const name = ruleOf(assets, row.assetId, row.taskKey)?.name ?? row.taskKey;
  const untilMs = startOfLocalDay(addDays(row.untilDay, 1), unit.timeZone);
  return [{ ...row, name, untilMs }];
}

const takesAway = (effect: string) => effect === 'limited' || effect === 'no';

/** The functions that upkeep nobody has looked at yet could take away. */
function unassessed(assets: readonly Fitted[]): ReadinessInput['unassessed'] {
  return assets.flatMap(({ assetId, assessed, pattern }) => {
    if (assessed || !pattern) return [];
    const telling = pattern.tasks.filter((task) => takesAway(task.overrunEffect));
    const functions = [...new Set(telling.flatMap((task) => task.functions))];
    return functions.length > 0 ? [{ assetId, functions }] : [];
  });
}

const serves = new WeakMap<LiftPattern, UnitFunction[]>();

/** What the points of a pattern serve; a pattern that is read never changes. */
function servedBy(pattern: LiftPattern | null): UnitFunction[] {
  if (pattern === null) return [];
  const known = serves.get(pattern);
  if (known) return known;
  const found = [...new Set(pattern.servicePoints.flatMap((point) => point.serves))];
  serves.set(pattern, found);
  return found;
}

function toInput(unit: ReadinessUnit, rows: Rows, nowMs: number): ReadinessInput {
  const { unitId } = unit;
  const today = localDay(nowMs, unit.timeZone);
  const assets = rows.assets.get(unitId) ?? [];
  const tasks = rows.tasks.get(unitId) ?? [];
  const deferrals = rows.deferrals.get(unitId) ?? [];
  return {
    nowMs,
    today,
    fitted: fittedFunctions(
      assets.map(({ kind, pattern }) => ({ kind, serves: servedBy(pattern) })),
    ),
    stops: rows.stops.get(unitId) ?? [],
    findings: rows.findings.get(unitId) ?? [],
    tasks: tasks.flatMap((task) => toTask(task, assets, unit)),
    deferrals: deferrals.flatMap((row) => toDeferral(row, assets, unit, today)),
    notices: [],
    unassessed: unassessed(assets),
    needs: assets.flatMap(({ assetId, pattern }) =>
      (pattern?.functionNeeds ?? []).map((need) => ({ ...need, assetId })),
    ),
  };
}

/** Readiness of units by number, from the truth as it stands; a bounded number of statements. */
export async function readReadiness(
  tx: Tx,
  fleetId: number,
  filter: { unitId: string | null; yardId: string | null },
  page: { after: string | null; limit: number },
  nowMs: number,
): Promise<ReadinessPage> {
  // Read first: whatever is read after it knows of this event, and may know of later ones.
  const event = await lastEventNumber(tx, fleetId);
  const where = { ...filter, atMs: nowMs };
  const units = await readinessUnits(tx, fleetId, where, page.after, page.limit);
  const rows = await readRows(tx, fleetId, units, nowMs);
  return {
    event,
    units: units.map((unit) => ({ unit, functions: readinessOf(toInput(unit, rows, nowMs)) })),
  };
}

/** Readiness of one unit. @throws Problem not_found */
export async function readUnitReadiness(
  tx: Tx,
  fleetId: number,
  unitId: string,
  nowMs: number,
): Promise<UnitReadiness & { event: number }> {
  const filter = { unitId, yardId: null };
  const page = { after: null, limit: 1 };
  const { event, units } = await readReadiness(tx, fleetId, filter, page, nowMs);
  const found = units[0];
  if (!found) throw absent('unit');
  return { event, ...found };
}

const unitsAtOnce = 500;

/**
 * Units by number with one of the answers, for a function or for any; `more`: there are further
 * ones. Units are looked through in large steps until the page is full.
 */
export async function seekReadiness(
  tx: Tx,
  fleetId: number,
  wanted: {
    function: UnitFunction | null;
    yardId: string | null;
    answers: readonly ReadinessAnswer[] | null;
  },
  page: { after: string | null; limit: number },
  nowMs: number,
): Promise<ReadinessPage & { more: boolean }> {
  const { answers, yardId } = wanted;
  const fits = ({ functions }: UnitReadiness) =>
    answers === null ||
    functions.some(
      (each) =>
        (wanted.function === null || each.function === wanted.function) &&
        answers.includes(each.answer),
    );
  const step = answers === null ? page.limit + 1 : unitsAtOnce;
  const found: UnitReadiness[] = [];
  let after = page.after;
  let event: number | null = null;
  for (;;) {
    const at = { after, limit: step };
    const read = await readReadiness(tx, fleetId, { unitId: null, yardId }, at, nowMs);
    event ??= read.event;
    found.push(...read.units.filter(fits));
    if (found.length > page.limit || read.units.length < step) break;
    after = read.units.at(-1)?.unit.number ?? null;
  }
  return { event, units: found.slice(0, page.limit), more: found.length > page.limit };
}
