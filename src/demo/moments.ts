/** When a yard's gateways post: before and after the day's work. Pure. */
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import { localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import { type DemoYard, yards } from './company.ts';

export type Slot = 'dawn' | 'evening';

export interface Moment {
  readonly atMs: number;
  readonly yard: DemoYard;
  readonly slot: Slot;
  /** Day of the history, from 0. */
  readonly dayIndex: number;
  readonly day: string;
}

export interface HistoryWindow {
  readonly firstDay: string;
  readonly days: number;
  /** Before the first local midnight of any yard. */
  readonly startMs: number;
  readonly endMs: number;
}

const hourMs = 3_600_000;
/** At dawn every unit is parked, no call goes over it: what changes in the story changes then. */
const slots: readonly (readonly [Slot, number])[] = [
  ['dawn', 5 * hourMs],
  ['evening', 19 * hourMs],
];

/** The history that ends at an instant, after so many local days. */
export function windowBefore(endMs: number, days: number): HistoryWindow {
  const lastDay = localDay(endMs, yards[0]!.timeZone);
  const firstDay = dayOf(ordinalOf(lastDay) - days);
  const starts = yards.map(({ timeZone }) => startOfLocalDay(firstDay, timeZone));
  return { firstDay, days, startMs: Math.min(...starts) - hourMs, endMs };
}

/** All moments of a history before its end, in order. */
export function momentsOf({ firstDay, days, endMs }: HistoryWindow): Moment[] {
  const moments: Moment[] = [];
  for (let dayIndex = 0; dayIndex <= days + 1; dayIndex += 1) {
    const day = dayOf(ordinalOf(firstDay) + dayIndex);
    for (const yard of yards) {
      const midnightMs = startOfLocalDay(day, yard.timeZone);
      for (const [slot, sinceMs] of slots) {
        moments.push({ atMs: midnightMs + sinceMs, yard, slot, dayIndex, day });
      }
    }
  }
  return moments.filter(({ atMs }) => atMs < endMs).sort((a, b) => a.atMs - b.atMs);
}
