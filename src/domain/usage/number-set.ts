/**
 * Sets of sequence numbers as sorted, disjoint, closed ranges that do not touch: `[[1, 4], [7,
 * 7]]`. They are what a stream row keeps as a PostgreSQL `int8multirange`.
 */

/** Both ends belong to the range. */
export type NumberRange = readonly [from: number, to: number];
export type NumberSet = readonly NumberRange[];

export const emptySet: NumberSet = [];

/** Index of the first range that ends at or after `value`; the length when there is none. */
function firstEndingFrom(set: NumberSet, value: number): number {
  let low = 0;
  let high = set.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (set[middle]![1] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

export function hasNumber(set: NumberSet, value: number): boolean {
  const range = set[firstEndingFrom(set, value)];
  return range !== undefined && range[0] <= value;
}

/**
 * The set with every number from `from` to `to`; RangeError when they are out of order or not
 * whole.
 */
export function addRange(set: NumberSet, from: number, to: number): NumberSet {
  checkRange(from, to);
  const start = firstEndingFrom(set, from - 1);
  let end = start;
  let low = from;
  let high = to;
  while (end < set.length && set[end]![0] <= to + 1) {
    low = Math.min(low, set[end]![0]);
    high = Math.max(high, set[end]![1]);
    end += 1;
  }
  return [...set.slice(0, start), [low, high], ...set.slice(end)];
}

export function union(one: NumberSet, other: NumberSet): NumberSet {
  let result = one;
  for (const [from, to] of other) result = addRange(result, from, to);
  return result;
}

/** The numbers of the set that lie in `from`–`to`. */
export function overlap(set: NumberSet, from: number, to: number): NumberSet {
  checkRange(from, to);
  const result: NumberRange[] = [];
  for (let i = firstEndingFrom(set, from); i < set.length && set[i]![0] <= to; i += 1) {
    result.push([Math.max(from, set[i]![0]), Math.min(to, set[i]![1])]);
  }
  return result;
}

/** The numbers of `from`–`to` that are not in the set: what is new in a post. */
export function absent(set: NumberSet, from: number, to: number): NumberSet {
  const result: NumberRange[] = [];
  let next = from;
  for (const [low, high] of overlap(set, from, to)) {
    if (low > next) result.push([next, low - 1]);
    next = high + 1;
  }
  if (next <= to) result.push([next, to]);
  return result;
}

/** The set without every number of `from`–`to`. */
export function subtractRange(set: NumberSet, from: number, to: number): NumberSet {
  checkRange(from, to);
  const result: NumberRange[] = [];
  for (const range of set) {
    if (range[1] < from || range[0] > to) {
      result.push(range);
      continue;
    }
    if (range[0] < from) result.push([range[0], from - 1]);
    if (range[1] > to) result.push([to + 1, range[1]]);
  }
  return result;
}

/** The first `limit` gaps between the lowest and the highest number. */
export function missing(set: NumberSet, limit: number): NumberSet {
  const result: NumberRange[] = [];
  for (let i = 1; i < set.length && result.length < limit; i += 1) {
    result.push([set[i - 1]![1] + 1, set[i]![0] - 1]);
  }
  return result;
}

/**
 * The highest number up to which nothing is missing from the lowest one on; null for an empty set.
 */
export function contiguous(set: NumberSet): number | null {
  return set[0]?.[1] ?? null;
}

export function highest(set: NumberSet): number | null {
  return set.at(-1)?.[1] ?? null;
}

export function countNumbers(set: NumberSet): number {
  let total = 0;
  for (const [from, to] of set) total += to - from + 1;
  return total;
}

/** PostgreSQL's own form, `{[1,5),[7,8)}`: the upper end is open. */
export function printMultirange(set: NumberSet): string {
  return `{${set.map(([from, to]) => `[${from},${to + 1})`).join(',')}}`;
}

const rangePattern = /^([[(])"?(-?\d+)"?,"?(-?\d+)"?([\])])$/;

/**
 * Reads the text of an `int8multirange`: either kind of bracket, any order, `empty` members.
 * RangeError for anything else, for open-ended ranges, and for numbers that JavaScript cannot hold
 * exactly.
 */
export function parseMultirange(text: string): NumberSet {
  const body = /^\s*\{(.*)\}\s*$/s.exec(text)?.[1];
  if (body === undefined) throw new RangeError('not a multirange: braces are missing');
  const compact = body.replaceAll(/\s/g, '');
  if (compact === '') return emptySet;
  // PostgreSQL prints its sets in order and disjoint: those are read in one pass.
  const ordered: NumberRange[] = [];
  let result: NumberSet | null = null;
  for (const part of compact.split(/(?<=[\])]|empty),/)) {
    if (part === 'empty') continue;
    const match = rangePattern.exec(part);
    if (match === null) throw new RangeError('not a multirange of whole numbers with both ends');
    const from = Number(match[2]) + (match[1] === '(' ? 1 : 0);
    const to = Number(match[3]) - (match[4] === ')' ? 1 : 0);
    if (from > to) continue;
    checkRange(from, to);
    const last = ordered.at(-1);
    if (result === null && (last === undefined || from > last[1] + 1)) ordered.push([from, to]);
    else result = addRange(result ?? [...ordered], from, to);
  }
  return result ?? ordered;
}

function checkRange(from: number, to: number): void {
  if (!Number.isSafeInteger(from) || !Number.isSafeInteger(to) || from > to) {
    throw new RangeError('a range needs two whole numbers, the lower one first');
  }
}
