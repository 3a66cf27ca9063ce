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
import { type Unreviewed, unreviewedOf } from '../store/walk-round.ts';
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
  unreviewed: ReadonlyMap<string, Unreviewed>;
  /** Whether what only warns is wanted too. */
  warnings: boolean;
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

/** Whether any task of a pattern says what being overrun does. */
const says = (pattern: LiftPattern | null, warnings: boolean): boolean =>
  pattern?.tasks.some((task) => tells(task.overrunEffect, warnings)) ?? false;

const tells = (effect: string, warnings: boolean): boolean =>
  takesAway(effect) || (warnings && effect === 'warn');

async function readRows(
  tx: Tx,
  fleetId: number,
  units: readonly ReadinessUnit[],
  nowMs: number,
  warnings: boolean,
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
  const told = fitted.filter(({ pattern }) => says(pattern, warnings)).map((a) => a.assetId);
  const stops = await readinessStops(tx, fleetId, unitIds, assetIds);
  const findings = await readinessFindings(tx, fleetId, unitIds, assetIds);
  return {
    assets: byUnit(fitted, (asset) => asset.unitId),
    stops: byUnit(stops, ofPlace),
    findings: byUnit(await withUse(tx, fleetId, findings, nowMs), ofPlace),
    tasks: byUnit(await readinessTasks(tx, fleetId, told), ofAsset),
    unreviewed: warnings ? await unreviewedOf(tx, fleetId, unitIds) : new Map(),
    warnings,
    deferrals: byUnit(await readinessDeferrals(tx, fleetId, assetIds), ofAsset),
  };
}

const ruleOf = (assets: readonly Fitted[], assetId: string, key: string) =>
  assets
    .find((asset) => asset.assetId === assetId)
    ?.pattern?.tasks.find((task) => task.key === key);

/** Days begin at the same moment for all units of a zone: the calendar is asked once. */
const dayStarts = new Map<string, number>();
const dayStartsMax = 20_000;

function startOfDay(day: string, zone: string): number {
  const key = `${day} ${zone}`;
  const known = dayStarts.get(key);
  if (known !== undefined) return known;
  if (dayStarts.size >= dayStartsMax) dayStarts.clear();
  const start = startOfLocalDay(day, zone);
  dayStarts.set(key, start);
  return start;
}

function toTask(
  task: PressingTask,
  assets: readonly Fitted[],
  unit: ReadinessUnit,
  warnings: boolean,
): ReadinessTask[] {
  const rule = ruleOf(assets, task.assetId, task.taskKey);
  if (!rule || !tells(rule.overrunEffect, warnings)) return [];
  const { since } = task;
  return [
    {
      assetId: task.assetId,
      taskKey: task.taskKey,
      name: rule.name,
      status: task.status,
      effect: rule.overrunEffect,
      functions: rule.functions,
      words: task.words,
      sinceMs: since === null ? null : startOfDay(since, unit.timeZone),
      silentSinceMs: task.silent,
      neverDone: task.neverDone,
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
  const untilMs = startOfDay(addDays(row.untilDay, 1), unit.timeZone);
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

/** A walk-round with defects, which the next driver has not reviewed. */
const toNotices = (unreviewed: Unreviewed | undefined): ReadinessInput['notices'] =>
  unreviewed
    ? [
        {
          id: unreviewed.walkRoundId,
          functions: ['road'],
          text: 'The last walk-round found defects: the next driver reviews it and signs first.',
          sinceMs: unreviewed.atMs,
          whoCanClear: 'the next driver, by reviewing the walk-round',
        },
      ]
    : [];

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
    tasks: tasks.flatMap((task) => toTask(task, assets, unit, rows.warnings)),
    deferrals: deferrals.flatMap((row) => toDeferral(row, assets, unit, today)),
    notices: toNotices(rows.unreviewed.get(unitId)),
    unassessed: unassessed(assets),
    needs: assets.flatMap(({ assetId, pattern }) =>
      (pattern?.functionNeeds ?? []).map((need) => ({ ...need, assetId })),
    ),
  };
}

/** Which units, and whether what only warns is wanted too. */
interface Wanted {
  unitIds: readonly string[] | null;
  yardId: string | null;
  warnings: boolean;
}

/** Readiness of units by number, from the truth as it stands; a bounded number of statements. */
export async function readReadiness(
  tx: Tx,
  fleetId: number,
  { unitIds, yardId, warnings }: Wanted,
  page: { after: string | null; limit: number },
  nowMs: number,
): Promise<ReadinessPage> {
  // Read first: whatever is read after it knows of this event, and may know of later ones.
  const event = await lastEventNumber(tx, fleetId);
  const where = { unitIds, yardId, atMs: nowMs, heard: warnings };
  const units = await readinessUnits(tx, fleetId, where, page.after, page.limit);
  const rows = await readRows(tx, fleetId, units, nowMs, warnings);
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
  const filter = { unitIds: [unitId], yardId: null, warnings: true };
  const page = { after: null, limit: 1 };
  const { event, units } = await readReadiness(tx, fleetId, filter, page, nowMs);
  const found = units[0];
  if (!found) throw absent('unit');
  return { event, ...found };
}

const unitsAtOnce = 1_000;

/** Which units are looked for: with one of the answers, for a function or for any. */
export interface SoughtReadiness {
  function: UnitFunction | null;
  yardId: string | null;
  answers: readonly ReadinessAnswer[] | null;
}

const fits = ({ function: only, answers }: SoughtReadiness, { functions }: UnitReadiness) =>
  answers === null ||
  functions.some(
    (each) => (only === null || each.function === only) && answers.includes(each.answer),
  );

/** The units with these answers, one more than the page has; looked through in large steps. */
async function seekUnits(
  tx: Tx,
  fleetId: number,
  sought: SoughtReadiness,
  page: { after: string | null; limit: number },
  nowMs: number,
): Promise<ReadinessUnit[]> {
  const found: ReadinessUnit[] = [];
  const wanted = { unitIds: null, yardId: sought.yardId, warnings: false };
  let { after } = page;
  for (;;) {
    const step = { after, limit: unitsAtOnce };
    const { units } = await readReadiness(tx, fleetId, wanted, step, nowMs);
    found.push(...units.filter((each) => fits(sought, each)).map((each) => each.unit));
    if (found.length > page.limit || units.length < unitsAtOnce) return found;
    after = units.at(-1)?.unit.number ?? null;
  }
}

/**
 * A page of units by number, with one of the answers where some are named; `next` is the number
 * after which the further ones come, null when there are none.
 */
export async function seekReadiness(
  tx: Tx,
  fleetId: number,
  sought: SoughtReadiness,
  page: { after: string | null; limit: number },
  nowMs: number,
): Promise<ReadinessPage & { next: string | null }> {
  const { answers, yardId } = sought;
  const found = answers && (await seekUnits(tx, fleetId, sought, page, nowMs));
  const unitIds = found === null ? null : found.slice(0, page.limit + 1).map((each) => each.unitId);
  const wanted = { unitIds, yardId, warnings: true };
  const step = { after: page.after, limit: page.limit + 1 };
  const { event, units } = await readReadiness(tx, fleetId, wanted, step, nowMs);
  const shown = units.slice(0, page.limit).filter((each) => fits(sought, each));
  const last = units.length > page.limit ? units[page.limit - 1] : undefined;
  return { event, units: shown, next: last?.unit.number ?? null };
}
