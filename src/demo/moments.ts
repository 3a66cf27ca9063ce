/** When a yard's gateways post: before and after the day's work. Pure. */
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import { localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import { type DemoYard, yards } from './company.ts';

export type Slot = 'dawn' | 'evening';

export interface Moment {
  readonly atMs: number;
  readonly slot: Slot;
  /** Whose units post; at one moment in the evening all do, each dawn is a yard's own. */
  readonly yards: readonly DemoYard[];
  /** Day of the history, from 0. */
  readonly dayIndex: number;
  /** The local day, the same in every zone of the company. */
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
/** Every unit is parked then, no call goes over it: what changes in the story changes then. */
const dawnMs = 5 * hourMs;
/** After the day's work, by the clock of the first yard. */
const eveningMs = 20 * hourMs;

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
    const midnights = yards.map(({ timeZone }) => startOfLocalDay(day, timeZone));
    for (const [i, yard] of yards.entries()) {
      const atMs = midnights[i]! + dawnMs;
      moments.push({ atMs, slot: 'dawn', yards: [yard], dayIndex, day });
    }
    moments.push({ atMs: midnights[0]! + eveningMs, slot: 'evening', yards, dayIndex, day });
  }
  return moments.filter(({ atMs }) => atMs < endMs).sort((a, b) => a.atMs - b.atMs);
}
