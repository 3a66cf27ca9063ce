/**
 * Local days: ISO dates ('2026-03-08') in an IANA zone, safe on the days that lose or gain an hour.
 */
import { Temporal } from 'temporal-polyfill';

/** One local day as a stretch of time, from `startMs` up to but not including `endMs`. */
export interface DayWindow {
  readonly day: string;
  readonly startMs: number;
  readonly endMs: number;
}

const utcDayMs = 86_400_000;
/** Bounds of the cache: about twenty years of days for each of a few hundred zones. */
const maxDaysPerZone = 8_192;
const maxZones = 512;

/**
 * Zone, then UTC day, to the local days that touch it: the calendar is asked once, not once a
 * reading.
 */
const windowsByZone = new Map<string, Map<number, DayWindow[]>>();

/**
 * Whether the name is one that the calendar knows ('America/Chicago'); offsets such as '+02:00' are
 * not.
 */
export function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z][A-Za-z0-9_+\-/]*$/.test(name) || name.length > 64) return false;
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(name);
    return true;
  } catch {
    return false;
  }
}

/** The local day that an instant falls on, with its ends; RangeError for an unknown zone. */
export function dayWindow(atMs: number, timeZone: string): DayWindow {
  const utcDay = Math.floor(atMs / utcDayMs);
  let days = windowsByZone.get(timeZone);
  if (days === undefined) {
    if (windowsByZone.size >= maxZones) windowsByZone.clear();
    days = new Map();
    windowsByZone.set(timeZone, days);
  }
  const known = days.get(utcDay);
  for (const window of known ?? []) {
    if (atMs >= window.startMs && atMs < window.endMs) return window;
  }
  const window = askCalendar(atMs, timeZone);
  if (known !== undefined) {
    known.push(window);
  } else {
    if (days.size >= maxDaysPerZone) days.clear();
    days.set(utcDay, [window]);
  }
  return window;
}

function askCalendar(atMs: number, timeZone: string): DayWindow {
  const local = Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(timeZone);
  const start = local.startOfDay();
  // A zone that moved across the date line skipped a whole day: the next day is the next one that
  // exists.
  const end = start.add({ days: 1 }).startOfDay();
  return {
    day: local.toPlainDate().toString(),
    startMs: start.epochMilliseconds,
    endMs: end.epochMilliseconds,
  };
}

/** The local date of an instant. */
export function localDay(atMs: number, timeZone: string): string {
  return dayWindow(atMs, timeZone).day;
}

/**
 * The first instant of a local day, which is not always midnight; RangeError for what is not a
 * date.
 */
export function startOfLocalDay(day: string, timeZone: string): number {
  return Temporal.PlainDate.from(day).toZonedDateTime(timeZone).epochMilliseconds;
}

export function addDays(day: string, days: number): string {
  return Temporal.PlainDate.from(day).add({ days }).toString();
}

/**
 * The same day of a later month; the last day of that month where it is shorter (31 January → 28
 * February).
 */
export function addMonths(day: string, months: number): string {
  return Temporal.PlainDate.from(day).add({ months }, { overflow: 'constrain' }).toString();
}

/** Days from `from` to `to`; negative when `to` comes first. */
export function daysBetween(from: string, to: string): number {
  return Temporal.PlainDate.from(from).until(Temporal.PlainDate.from(to), { largestUnit: 'day' })
    .days;
}

/** The latest day that is today somewhere on Earth: a bound that leaves out no yard's own today. */
export const latestLocalDay = (atMs: number): string => localDay(atMs, 'Etc/GMT-14');

/** The time on the wall at an instant, such as '14:02'. */
export const localTime = (atMs: number, timeZone: string): string =>
  Temporal.Instant.fromEpochMilliseconds(atMs)
    .toZonedDateTimeISO(timeZone)
    .toPlainTime()
    .toString({ smallestUnit: 'minute' });
