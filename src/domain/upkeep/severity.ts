import { type Day, dayOf, monthLength, ordinalOf, ordinalOfDate } from './calendar.ts';

/** What makes use count for more. */
export type SeverityKind = 'salt' | 'dust' | 'heavy_use';
export const SEVERITY_KINDS: readonly SeverityKind[] = ['salt', 'dust', 'heavy_use'];

/** Factors of one task in thousandths: 1500 makes a day, and its use, count one and a half. */
export type SeverityFactors = Readonly<Partial<Record<SeverityKind, number>>>;

/** A month and day, 'MM-DD'. */
export type MonthDay = string;

/**
 * A unit works under a severity from `from` to `to` (both inclusive; null: until further notice),
 * the whole time or only in a yearly season, which may run over the new year.
 */
export interface Exposure {
  kind: SeverityKind;
  from: Day;
  to: Day | null;
  season: { from: MonthDay; to: MonthDay } | null;
}

/** Days `from`..`to` (ordinals, inclusive) that each count `factor` thousandths of a day. */
export interface Span {
  from: number;
  to: number;
  factor: number;
}

export const MAX_EXPOSURES = 100;
const PLAIN = 1000;

/**
 * The days `from`..`to` cut into spans of equal factor, in order and without gaps. Where several
 * severities hold on a day the largest factor counts; they are not multiplied, because a shop that
 * says "salt halves it" and "dust halves it" has not said what both do. Throws RangeError for more
 * than `MAX_EXPOSURES` exposures or a malformed day.
 */
export function severitySpans(
  factors: SeverityFactors,
  exposures: readonly Exposure[],
  from: number,
  to: number,
): Span[] {
  if (exposures.length > MAX_EXPOSURES) {
    throw new RangeError(`more than ${MAX_EXPOSURES} severity exposures`);
  }
  const pieces: Span[] = [];
  for (const exposure of exposures) {
    const factor = factors[exposure.kind] ?? PLAIN;
    if (factor > PLAIN) pieces.push(...exposedDays(exposure, factor, from, to));
  }
  if (pieces.length === 0) return [{ from, to, factor: PLAIN }];
  const starts = new Set([from]);
  for (const piece of pieces) {
    starts.add(piece.from);
    if (piece.to < to) starts.add(piece.to + 1);
  }
  const spans: Span[] = [];
  const ordered = [...starts].sort((a, b) => a - b);
  ordered.forEach((start, i) => {
    const end = (ordered[i + 1] ?? to + 1) - 1;
    let factor = PLAIN;
    for (const p of pieces) {
      if (p.from <= start && start <= p.to && p.factor > factor) factor = p.factor;
    }
    const last = spans.at(-1);
    if (last && last.factor === factor) last.to = end;
    else spans.push({ from: start, to: end, factor });
  });
  return spans;
}

function exposedDays(exposure: Exposure, factor: number, from: number, to: number): Span[] {
  const first = Math.max(from, ordinalOf(exposure.from));
  const last = exposure.to === null ? to : Math.min(to, ordinalOf(exposure.to));
  if (first > last) return [];
  const { season } = exposure;
  if (!season) return [{ from: first, to: last, factor }];
  const pieces: Span[] = [];
  const lastYear = Number(dayOf(last).slice(0, 4));
  const wraps = season.from > season.to;
  for (let year = Number(dayOf(first).slice(0, 4)) - 1; year <= lastYear; year += 1) {
    const start = Math.max(first, seasonEdge(year, season.from, 'start'));
    const end = Math.min(last, seasonEdge(wraps ? year + 1 : year, season.to, 'end'));
    if (start <= end) pieces.push({ from: start, to: end, factor });
  }
  return pieces;
}

/** In a year without 29 February a season starts after, or ends before, the missing day. */
function seasonEdge(year: number, at: MonthDay, edge: 'start' | 'end'): number {
  const month = Number(at.slice(0, 2));
  const date = Number(at.slice(3));
  const length = month >= 1 && month <= 12 ? monthLength(year, month) : 0;
  if (at.length !== 5 || !(date >= 1) || (date > length && at !== '02-29')) {
    throw new RangeError(`not a month and day (MM-DD): ${at.slice(0, 40)}`);
  }
  if (date <= length) return ordinalOfDate(year, month, date);
  return ordinalOfDate(year, 2, 28) + (edge === 'start' ? 1 : 0);
}

/** The factor of one day. Days outside the spans take the nearest span's. */
export function factorOn(spans: readonly Span[], day: number): number {
  for (const span of spans) if (day <= span.to) return span.factor;
  return spans.at(-1)?.factor ?? PLAIN;
}

/** Thousandths of a day that the days after `after` up to and including `through` count. */
export function weighDays(spans: readonly Span[], after: number, through: number): number {
  let weight = 0;
  for (const span of spans) {
    const days = Math.min(span.to, through) - Math.max(span.from, after + 1) + 1;
    if (days > 0) weight += days * span.factor;
  }
  return weight;
}

/** The first day from `start` on at which the days after `start` count `weight` or more. */
export function firstDayReaching(
  spans: readonly Span[],
  start: number,
  weight: number,
): number | null {
  if (weight <= 0) return start;
  let left = weight;
  for (const span of spans) {
    const before = Math.max(span.from, start + 1) - 1;
    const days = span.to - before;
    if (days <= 0) continue;
    if (days * span.factor >= left) return before + ceilDiv(left, span.factor);
    left -= days * span.factor;
  }
  return null;
}

/**
 * The last day on which the days after `start` count no more than `weight`; `start - 1` when
 * `weight` is negative; null when that lies beyond the spans.
 */
export function lastDayWithin(
  spans: readonly Span[],
  start: number,
  weight: number,
): number | null {
  if (weight < 0) return start - 1;
  const beyond = firstDayReaching(spans, start, weight + 1);
  return beyond === null ? null : beyond - 1;
}

/** ceil(a / b) for integers a >= 0, b > 0, without a rounded quotient. */
export function ceilDiv(a: number, b: number): number {
  const rest = a % b;
  return (a - rest) / b + (rest > 0 ? 1 : 0);
}

/** floor(a / b) for integers a >= 0, b > 0, without a rounded quotient. */
export function floorDiv(a: number, b: number): number {
  return (a - (a % b)) / b;
}
