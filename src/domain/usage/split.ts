/**
 * Whose use it was, and on which local day: an increment is split by time over the days of the yard
 * and over the assets that the counter counted for.
 */
import { type DayWindow, dayWindow } from './local-day.ts';

/**
 * From `fromMs` on the yard keeps this zone's days. A list of these is sorted, and its first holds
 * before it too.
 */
export interface CalendarPeriod {
  readonly fromMs: number;
  readonly timeZone: string;
}
export type YardCalendar = readonly CalendarPeriod[];

/**
 * The counter counts for this asset's meter from `fromMs` up to `toMs` (null: still). Sorted,
 * disjoint.
 */
export interface MeterSource {
  readonly fromMs: number;
  readonly toMs: number | null;
  readonly assetId: string;
  readonly calendar: YardCalendar;
}

/** Receives one part of an increment. */
export type AddShare = (assetId: string, day: string, grains: number) => void;

/**
 * Splits an increment made between two instants and hands on its parts; grains of no asset are
 * dropped.
 */
export type Attribute = (fromMs: number, toMs: number, grains: number, add: AddShare) => void;

interface Piece extends DayWindow {
  /** Null while the counter counts for nobody. */
  readonly assetId: string | null;
}

/**
 * Days told apart in one increment, some thirteen years. A longer one is the work of a false clock;
 * what is beyond goes to its last day, so that bad data costs bounded work and still stops nothing.
 */
export const maxPieces = 5_000;

/**
 * Parts of `grains`, whole numbers in proportion to `weights` (whole, not all zero), by largest
 * remainder; of equal remainders the earliest wins. They always sum to `grains`.
 */
export function largestRemainder(grains: number, weights: readonly number[]): number[] {
  const total = weights.reduce((sum, weight) => sum + BigInt(weight), 0n);
  const parts: number[] = [];
  const remainders: bigint[] = [];
  let left = grains;
  for (const weight of weights) {
    // Grains times milliseconds outgrows 2^53 after a few weeks, so the division is exact.
    const product = BigInt(grains) * BigInt(weight);
    const part = Number(product / total);
    parts.push(part);
    remainders.push(product % total);
    left -= part;
  }
  const order = parts.map((_, index) => index);
  order.sort((a, b) => {
    const difference = remainders[b]! - remainders[a]!;
    return difference > 0n ? 1 : difference < 0n ? -1 : a - b;
  });
  for (const index of order.slice(0, left)) parts[index]! += 1;
  return parts;
}

/**
 * The splitter for one counter. Time counts as (from, to]: an increment that ends at midnight
 * belongs to the day before. An increment that took no time belongs to the day and asset of its
 * instant.
 */
export function attributeBy(sources: readonly MeterSource[]): Attribute {
  let last: Piece | null = null;
  return (fromMs, toMs, grains, add) => {
    if (last === null || fromMs < last.startMs || fromMs >= last.endMs) {
      last = pieceAt(sources, fromMs);
    }
    if (toMs <= last.endMs) {
      if (last.assetId !== null) add(last.assetId, last.day, grains);
      return;
    }
    const pieces: Piece[] = [];
    const weights: number[] = [];
    for (let at = fromMs; at < toMs; ) {
      const isFull = pieces.length === maxPieces - 1;
      last = pieceAt(sources, isFull ? toMs - 1 : at);
      const end = isFull ? toMs : Math.min(last.endMs, toMs);
      pieces.push(last);
      weights.push(end - at);
      at = end;
    }
    const parts = largestRemainder(grains, weights);
    for (const [index, piece] of pieces.entries()) {
      const part = parts[index]!;
      if (part > 0 && piece.assetId !== null) add(piece.assetId, piece.day, part);
    }
  };
}

/**
 * The longest stretch around an instant that is one local day of one yard calendar and one asset.
 */
function pieceAt(sources: readonly MeterSource[], atMs: number): Piece {
  let startMs = -Infinity;
  let endMs = Infinity;
  for (const source of sources) {
    if (atMs < source.fromMs) {
      endMs = source.fromMs;
      break;
    }
    const sourceEnd = source.toMs ?? Infinity;
    if (atMs < sourceEnd) {
      const day = calendarDayAt(source.calendar, atMs);
      return {
        assetId: source.assetId,
        day: day.day,
        startMs: Math.max(source.fromMs, day.startMs),
        endMs: Math.min(sourceEnd, day.endMs),
      };
    }
    startMs = sourceEnd;
  }
  return { assetId: null, day: '', startMs, endMs };
}

/** The local day of a dated calendar that an instant falls on, cut where the calendar changes. */
export function calendarDayAt(calendar: YardCalendar, atMs: number): DayWindow {
  let period = calendar[0];
  if (period === undefined) throw new RangeError('a yard calendar needs a time zone');
  let periodEndMs = Infinity;
  for (const next of calendar.slice(1)) {
    if (next.fromMs > atMs) {
      periodEndMs = next.fromMs;
      break;
    }
    period = next;
  }
  const periodStartMs = period === calendar[0] ? -Infinity : period.fromMs;
  const window = dayWindow(atMs, period.timeZone);
  if (window.startMs >= periodStartMs && window.endMs <= periodEndMs) return window;
  return {
    day: window.day,
    startMs: Math.max(window.startMs, periodStartMs),
    endMs: Math.min(window.endMs, periodEndMs),
  };
}
