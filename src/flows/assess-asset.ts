import { assessTask, type TaskAssessment } from '../domain/upkeep/assess-task.ts';
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import type { Deferral } from '../domain/upkeep/deferral.ts';
import type { LiftPattern } from '../domain/upkeep/lift-pattern.ts';
import type { DonePoint, MeterUse } from '../domain/upkeep/measure-task.ts';
import { type DoneRecord, replayDone } from '../domain/upkeep/next-grid.ts';
import type { MeanRate } from '../domain/upkeep/project-task.ts';
import type { Exposure } from '../domain/upkeep/severity.ts';
import type { MeterSource } from '../domain/upkeep/silence.ts';
import type { TaskRule } from '../domain/upkeep/task-rule.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { builtInMeters } from '../domain/usage/meter.ts';
import type { Tx } from '../store/tx.ts';
import { type AssetDeferral, type AssetDone, assetWork } from '../store/unit-work.ts';
import { usageDays } from '../store/usage.ts';
import { UseLookup } from './look-up-use.ts';

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
const daysMax = 60_000;
const meanDays = 28;

type DayUse = { day: string; grains: number }[];

/** Use of the asset by meter and day, and what of a day lies before an instant. */
interface UseBook {
  days: Map<string, DayUse>;
  until: Map<string, number>;
}

const untilKey = (meter: string, atMs: number) => `${meter} ${atMs}`;

/** The use from one instant to another, as the grid wants it. */
function useBetween(
  book: UseBook,
  meter: string,
  from: { day: string; atMs: number },
  to: { day: string; atMs: number } | null,
): MeterUse {
  const days = book.days.get(meter) ?? [];
  const before = book.until.get(untilKey(meter, from.atMs)) ?? 0;
  const upTo = to ? (book.until.get(untilKey(meter, to.atMs)) ?? 0) : null;
  if (to && to.day === from.day) return { afterDone: (upTo ?? 0) - before, days: [] };
  const onDay = days.find((each) => each.day === from.day)?.grains ?? 0;
  const later = days.filter((each) => each.day > from.day && (!to || each.day < to.day));
  if (to && upTo !== null && upTo > 0) later.push({ day: to.day, grains: upTo });
  return { afterDone: onDay - before, days: later };
}

async function openBook(
  lookup: UseLookup,
  tx: Tx,
  asset: AssessedAsset,
  firstDay: string,
  instants: readonly { meters: readonly string[]; atMs: number }[],
): Promise<UseBook> {
  const { fleetId, assetId } = asset;
  const rows = await usageDays(
    tx,
    fleetId,
    assetId,
    { fromDay: firstDay, toDay: '9999-12-31' },
    daysMax,
  );
  const days = new Map<string, DayUse>();
  for (const { meter, day, grains } of rows) {
    const list = days.get(meter) ?? [];
    list.push({ day, grains });
    days.set(meter, list);
  }
  const until = new Map<string, number>();
  for (const { meters, atMs } of instants) {
    for (const meter of meters) {
      if (!until.has(untilKey(meter, atMs))) {
        until.set(untilKey(meter, atMs), await lookup.until(meter, atMs));
      }
    }
  }
  return { days, until };
}

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

function toDeferral(
  row: AssetDeferral,
  rule: TaskRule,
  done: DonePoint,
  book: UseBook,
  zone: string,
): Deferral {
  const from = { day: localDay(row.fromAtMs, zone), atMs: row.fromAtMs };
  const usedBefore: Record<string, number> = {};
  for (const { meter } of rule.meters) {
    if (from.atMs <= done.atMs) continue;
    const use = useBetween(book, meter, done, from);
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
  const { dones, deferrals, sources, uses } = await assetWork(tx, fleetId, assetId, donesMax);
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
    const between = (from: DonePoint, to: DonePoint | null) =>
      Object.fromEntries(
        rule.meters.map(({ meter }) => [meter, useBetween(book, meter, from, to)]),
      );
    const { grid } = replayDone(history.get(rule.key)!, () => rule, between, exposures);
    const deferral = deferrals.filter((d) => d.taskKey === rule.key).at(-1);
    return assessTask({
      rule,
      meters: builtInMeters,
      grid,
      use: grid ? between(grid.done, null) : {},
      sources: meterSources,
      rates,
      exposures,
      deferral: deferral && grid ? toDeferral(deferral, rule, grid.done, book, zone) : null,
      today,
      nowMs,
      zone,
    });
  });
}
