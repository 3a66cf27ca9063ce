import { crashPoint } from '../crash-points.ts';
import type { Cause } from '../domain/events/cause.ts';
import { shardOf } from '../domain/shard.ts';
import type { TaskAssessment } from '../domain/upkeep/assess-task.ts';
import { rankUnit } from '../domain/upkeep/rank-unit.ts';
import { type Exposure, MAX_EXPOSURES } from '../domain/upkeep/severity.ts';
import { addDays, localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import {
  type Standing,
  saveNextCheck,
  saveStanding,
  takeUnit,
  unitsToAssess,
} from '../store/standing.ts';
import { markUnits, waitsForFold } from '../store/unit-mark.ts';
import { takeUnitWork, type WorkSeverity } from '../store/unit-work.ts';
import { dropUpkeep, holdUpkeep, saveUpkeep, type UpkeepState } from '../store/upkeep.ts';
import { assessAsset } from './assess-asset.ts';
import { Faults } from './faults.ts';
import { meterSourcesNow } from './meter-sources-now.ts';
import { patternOf } from './parsed-pattern.ts';
import { tellStanding, tellTaskChanges } from './tell-status.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

function toExposure(row: WorkSeverity): Exposure {
  const { kind, fromDay, toDay, seasonFrom, seasonTo } = row;
  const season =
    seasonFrom !== null && seasonTo !== null ? { from: seasonFrom, to: seasonTo } : null;
  return { kind, from: fromDay, to: toDay, season };
}

const reasonsShown = 5;

/** The columns that say whether an assessment changed; the moment itself is not one. */
const textOf = (assessment: TaskAssessment): string => {
  const { nextCheckAtMs, nextCheckDay, ...rest } = assessment;
  return JSON.stringify(rest, sortedKeys);
};

function sortedKeys(_key: string, value: unknown): unknown {
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

async function writeStates(
  work: Work,
  unitId: string,
  known: readonly UpkeepState[],
  causes: readonly Cause[],
  assessed: readonly { assetId: string; assessment: TaskAssessment }[],
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const states: UpkeepState[] = assessed.map(({ assetId, assessment }) => ({
    assetId,
    taskKey: assessment.task,
    unitId,
    status: assessment.status,
    fullOn: assessment.full.day,
    assessment,
    assessedAtMs: nowMs,
  }));
  // What stands with another unit was said of that one, and is taken over from it here.
  const before = known.filter((state) => state.unitId === unitId);
  const same = (a: UpkeepState, b: UpkeepState) =>
    a.assetId === b.assetId && a.taskKey === b.taskKey;
  const changed = states.filter((state) => {
    const was = before.find((each) => same(each, state));
    return !was || textOf(was.assessment) !== textOf(state.assessment);
  });
  const elsewhere = known.filter((k) => k.unitId !== unitId && states.some((s) => same(s, k)));
  const away = await holdUpkeep(tx, fleetId, unitId, elsewhere);
  await saveUpkeep(tx, fleetId, changed);
  const left = before.filter((was) => !states.some((state) => same(was, state)));
  const gone = [...(await dropUpkeep(tx, fleetId, unitId, left)), ...away];
  await tellTaskChanges(work, { unitId, before, after: changed, gone, causes });
}

async function writeStanding(
  work: Work,
  was: Standing | null,
  standing: Standing,
  causes: readonly Cause[],
): Promise<void> {
  const { tx, fleetId } = work;
  const { unitId } = standing;
  const key = (s: Standing) =>
    JSON.stringify([s.yardId, s.status, s.rank, s.pressOn, s.reasons], sortedKeys);
  if (was && key(was) === key(standing)) {
    if (was.nextCheckAtMs !== standing.nextCheckAtMs) {
      await saveNextCheck(tx, fleetId, unitId, standing.nextCheckAtMs);
    }
    return;
  }
  await saveStanding(tx, fleetId, standing);
  work.changed('bring-in');
  if (was?.status === standing.status && was.rank === standing.rank) return;
  await tellStanding(work, was, standing, causes);
}

/**
 * Assesses every upkeep task of a unit and its place on the bring-in list; writes only what
 * changed, and when it must be looked at again. False when another worker has the unit, or its use
 * is just being moved by a correction: half of that must not be told.
 */
export async function assessUnit(work: Work, unitId: string): Promise<boolean> {
  const { tx, fleetId, nowMs } = work;
  if (!(await takeUnit(tx, fleetId, unitId))) return false;
  const found = await takeUnitWork(tx, fleetId, unitId, nowMs, MAX_EXPOSURES);
  const { yard, causes } = found;
  if (causes.length > 0 && (await waitsForFold(tx, fleetId, unitId, nowMs))) {
    await markUnits(tx, fleetId, [unitId], nowMs, causes);
    return false;
  }
  if (!yard) return true;
  const moment = { nowMs, zone: yard.timeZone, exposures: found.severities.map(toExposure) };
  const assessed: { assetId: string; assessment: TaskAssessment }[] = [];
  for (const asset of found.assets) {
    const pattern = await patternOf(tx, fleetId, asset);
    if (!pattern) continue;
    const { assetId } = asset;
    const sources = await meterSourcesNow(tx, fleetId, assetId, nowMs);
    const tasks = await assessAsset(tx, { fleetId, assetId, pattern }, sources, moment);
    for (const assessment of tasks) assessed.push({ assetId, assessment });
  }
  await writeStates(work, unitId, found.states, causes, assessed);
  const ranked = rankUnit(
    assessed.map(({ assetId, assessment }) => ({ asset: assetId, assessment })),
    reasonsShown,
  );
  const checks = assessed.flatMap(({ assessment: { nextCheckAtMs } }) =>
    nextCheckAtMs === null ? [] : [nextCheckAtMs],
  );
  // Days in the reasons of a unit that presses go on counting; those of one ahead can wait.
  if (ranked.rank < 6) {
    checks.push(startOfLocalDay(addDays(localDay(nowMs, yard.timeZone), 1), yard.timeZone));
  }
  if (found.nextInstallChangeAtMs !== null) checks.push(found.nextInstallChangeAtMs);
  const standing: Standing = {
    unitId,
    shard: shardOf(fleetId, unitId),
    yardId: yard.yardId,
    status: ranked.status,
    rank: ranked.rank,
    pressOn: ranked.orderDay ?? 'infinity',
    reasons: { reasons: ranked.reasons, more: ranked.moreReasons },
    assessedAtMs: nowMs,
    nextCheckAtMs: checks.length > 0 ? Math.min(...checks) : null,
  };
  await writeStanding(work, found.standing, standing, causes);
  crashPoint('assess.before_commit');
  return true;
}

const unitsAtOnce = 200;

/**
 * Assesses the marked and due units of a shard until none is left; stops early when told to. A unit
 * that fails stays marked and holds up none of the others.
 */
export async function assessShard(
  deps: FlowDeps,
  shard: number,
  signal?: AbortSignal,
): Promise<number> {
  let assessed = 0;
  const seen = new Map<string, number>();
  const faults = new Faults();
  for (;;) {
    const nowMs = deps.clock.nowMs();
    const units = await unitsToAssess(deps.pools.scheduler, shard, nowMs, unitsAtOnce);
    let progress = 0;
    for (const { fleetId, unitId } of units) {
      if (signal?.aborted) return assessed;
      // A unit that asks to be looked at again and again must not hold up the shard.
      const key = `${fleetId}/${unitId}`;
      const times = seen.get(key) ?? 0;
      if (times >= 3 || faults.has(key)) continue;
      seen.set(key, times + 1);
      const assess = () => withWork(deps, fleetId, (work) => assessUnit(work, unitId));
      if (!(await faults.pass(key, assess))) continue;
      progress += 1;
      crashPoint('assess.after_commit');
    }
    assessed += progress;
    if (progress === 0) break;
  }
  faults.tell();
  return assessed;
}
