import { assessTask, type TaskAssessment } from '../domain/upkeep/assess-task.ts';
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import type { Deferral } from '../domain/upkeep/deferral.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import type { DonePoint, MeterUse } from '../domain/upkeep/measure-task.ts';
import { type DoneRecord, replayDone } from '../domain/upkeep/next-grid.ts';
import type { MeanRate } from '../domain/upkeep/project-task.ts';
import type { Exposure } from '../domain/upkeep/severity.ts';
import type { MeterSource } from '../domain/upkeep/silence.ts';
import { openCalls } from '../domain/upkeep/task-call.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { builtInMeters } from '../domain/usage/meter.ts';
import type { Tx } from '../store/tx.ts';
import {
  type AssetDeferral,
  type AssetDone,
  assetWork,
  type MeterStartValue,
} from '../store/unit-work.ts';
import { UseLookup } from './look-up-use.ts';
import { type DayUse, openBook, useSince } from './use-book.ts';

export interface AssessedAsset {
  fleetId: number;
  assetId: string;
  pattern: LiftPattern;
}

export interface Moment {
  nowMs: number;
  zone: string;
  exposures: readonly Exposure[];
}

/** Replayed at most; an asset with more is not a truck. */
const donesMax = 5_000;
const meanDays = 28;

/** Mean daily use over the last 28 days that are over, or over as many as the asset has. */
function meanRate(days: DayUse, today: string, knownFromDay: string | null): MeanRate | null {
  const end = ordinalOf(today) - 1;
  const known = knownFromDay === null ? end + 1 : ordinalOf(knownFromDay);
  const start = Math.max(end - meanDays + 1, known);
  if (start > end) return null;
  const [from, to] = [dayOf(start), dayOf(end)];
  const grains = days
    .filter((each) => each.day >= from && each.day <= to)
    .reduce((sum, each) => sum + each.grains, 0);
  return { grains, days: end - start + 1 };
}

/** Use by meter from a done to another moment, or until now. */
type Between = (
  from: DonePoint,
  to: { day: string; atMs: number } | null,
) => Record<string, MeterUse>;

function toDeferral(row: AssetDeferral, done: DonePoint, between: Between, zone: string): Deferral {
  const from = { day: localDay(row.fromAtMs, zone), atMs: row.fromAtMs };
  const usedBefore: Record<string, number> = {};
  const used = from.atMs > done.atMs ? between(done, from) : {};
  for (const [meter, use] of Object.entries(used)) {
    usedBefore[meter] = use.days.reduce((sum, each) => sum + each.grains, use.afterDone);
  }
  return {
    fromAtMs: row.fromAtMs,
    untilDay: row.untilDay,
    untilUse: row.untilUse,
    usedBefore,
    approver: row.approver,
    restriction: row.restriction === '' ? null : row.restriction,
  };
}

function toDone(row: AssetDone, zone: string): DoneRecord {
  return {
    id: row.doneId,
    day: localDay(row.doneAtMs, zone),
    atMs: row.doneAtMs,
    estimated: row.estimated,
    voided: false,
  };
}

/** Why a meter without a counter is known up to some time: somebody wrote down what it stood at. */
const startingValue = 'only_a_starting_value';

/** A starting value is a sign of life: nothing before it is unknown. */
function withStarts(
  sources: Readonly<Record<string, MeterSource>>,
  starts: readonly MeterStartValue[],
): Record<string, MeterSource> {
  const known = { ...sources };
  for (const { meter, atMs } of starts) {
    const source = sources[meter];
    if (!source || source.kind === 'none') {
      const staleReason = startingValue;
      known[meter] = { kind: 'counting', knownUntilMs: atMs, staleAtMs: atMs, staleReason };
    } else if (source.knownUntilMs < atMs) {
      const staleAtMs = Math.max(source.staleAtMs, atMs);
      known[meter] = { ...source, knownUntilMs: atMs, staleAtMs };
    }
  }
  return known;
}

/** Assesses every upkeep task of one asset at one moment. */
export async function assessAsset(
  tx: Tx,
  asset: AssessedAsset,
  meterSources: Readonly<Record<string, MeterSource>>,
  moment: Moment,
): Promise<TaskAssessment[]> {
  const { fleetId, assetId, pattern } = asset;
  const { nowMs, zone, exposures } = moment;
  const today = localDay(nowMs, zone);
  const { dones, deferrals, calls, sources, uses, starts } = await assetWork(
    tx,
    fleetId,
    assetId,
    donesMax,
  );
  const lookup = new UseLookup(tx, { fleetId, assetId, zone }, sources, uses);
  const history = new Map(
    pattern.tasks.map((rule) => [
      rule.key,
      dones.filter((d) => d.taskKey === rule.key).map((d) => toDone(d, zone)),
    ]),
  );
  const instants = pattern.tasks.flatMap((rule) => {
    const meters = rule.meters.map((each) => each.meter);
    const deferred = deferrals.filter((d) => d.taskKey === rule.key).map((d) => d.fromAtMs);
    const done = history.get(rule.key)!.map((d) => d.atMs);
    return [...done, ...deferred].map((atMs) => ({ meters, atMs }));
  });
  for (const { meter, atMs } of starts) instants.push({ meters: [meter], atMs });
  const values = new Map(dones.map((done) => [done.doneId, done.meterValues ?? {}]));
  const written = { values, starts };
  const rateFrom = dayOf(ordinalOf(today) - meanDays);
  const firstDay = [...history.values()].flat().reduce((a, d) => (d.day < a ? d.day : a), rateFrom);
  const book = await openBook(lookup, tx, asset, firstDay, instants);
  const knownFrom = (meter: string) => {
    const first = sources.find((source) => source.meter === meter);
    return first ? localDay(first.fromMs, zone) : null;
  };
  const rates = Object.fromEntries(
    builtInMeters.map(({ name }) => [
      name,
      meanRate(book.days.get(name) ?? [], today, knownFrom(name)),
    ]),
  );
  return pattern.tasks.map((rule) => {
    const between: Between = (from, to) =>
      Object.fromEntries(
        rule.meters.map(({ meter }) => [meter, useSince(book, meter, from, to, written, zone)]),
      );
    const { grid } = replayDone(history.get(rule.key)!, () => rule, between, exposures);
    const deferral = deferrals.filter((d) => d.taskKey === rule.key).at(-1);
    return assessTask({
      rule,
      meters: builtInMeters,
      grid,
      use: grid ? between(grid.done, null) : {},
      sources: withStarts(meterSources, starts),
      rates,
      exposures,
      deferral: deferral && grid ? toDeferral(deferral, grid.done, between, zone) : null,
      called: openCalls(
        calls.filter((call) => call.taskKey === rule.key),
        history.get(rule.key)!,
      ),
      today,
      nowMs,
      zone,
    });
  });
}
