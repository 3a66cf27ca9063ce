import type { DonePoint, MeterUse } from '../domain/upkeep/measure-task.ts';
import { localDay } from '../domain/usage/local-day.ts';
import type { Tx } from '../store/tx.ts';
import type { MeterStartValue } from '../store/unit-work.ts';
import { usageDays } from '../store/usage.ts';
import type { UseLookup } from './look-up-use.ts';

const daysMax = 60_000;

export type DayUse = { day: string; grains: number }[];

/** Use of the asset by meter and day, and what of a day lies before an instant. */
export interface UseBook {
  days: Map<string, DayUse>;
  until: Map<string, number>;
}

const untilKey = (meter: string, atMs: number) => `${meter} ${atMs}`;

/** The use from one instant to another, as the grid wants it. */
export function useBetween(
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
  if (to && upTo !== null && upTo !== 0) later.push({ day: to.day, grains: upTo });
  return { afterDone: onDay - before, days: later };
}

/** What was written down of the meters at each done, and when the asset was brought in. */
export interface WrittenDown {
  values: ReadonlyMap<string, Readonly<Record<string, number>>>;
  starts: readonly MeterStartValue[];
}

/**
 * The use since a done. Where it lies before the asset was brought in and both meter values are
 * written down, their difference is what was used until then, whatever was counted meanwhile;
 * nobody knows the days, so it counts on the day on which it became known.
 */
export function useSince(
  book: UseBook,
  meter: string,
  from: DonePoint,
  to: { day: string; atMs: number } | null,
  known: WrittenDown,
  zone: string,
): MeterUse {
  const start = known.starts.find((each) => each.meter === meter);
  const value = known.values.get(from.id)?.[meter];
  const counts = start && from.atMs < start.atMs && (!to || to.atMs > start.atMs);
  if (!counts || value === undefined || value > start.grains) {
    return useBetween(book, meter, from, to);
  }
  const since = { day: localDay(start.atMs, zone), atMs: start.atMs };
  const later = useBetween(book, meter, since, to);
  const onDay = start.grains - value + later.afterDone;
  if (since.day === from.day) return { afterDone: onDay, days: later.days };
  return { afterDone: 0, days: [{ day: since.day, grains: onDay }, ...later.days] };
}

export async function openBook(
  lookup: UseLookup,
  tx: Tx,
  asset: { fleetId: number; assetId: string },
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
