import { customType, pgSchema } from 'drizzle-orm/pg-core';

export const liftwright = pgSchema('liftwright');

const firstMs = -62135596800000; // 0001-01-01T00:00:00Z
const lastMs = 253402300799999; // 9999-12-31T23:59:59.999Z

const instantText = new RegExp(
  [
    /^(\d{4})-(\d\d)-(\d\d)[ T](\d\d):(\d\d):(\d\d)(?:\.(\d{1,6}))?/.source,
    /(?:Z|([+-])(\d\d)(?::?(\d\d)(?::?(\d\d))?)?)$/.source,
  ].join(''),
);

/**
 * Epoch milliseconds of PostgreSQL's ISO text of a `timestamptz`, in whatever zone the session
 * shows it. Microseconds below a millisecond are dropped (towards the past).
 */
export function instantFromSql(text: string): number {
  const match = instantText.exec(text);
  if (!match) throw new Error(`not an instant between the years 1 and 9999: ${text}`);
  const [, year, month, day, hour, minute, second, fraction, sign, ...offset] = match;
  const ms = Math.floor(Number((fraction ?? '').padEnd(6, '0')) / 1000);
  const [hours = 0, minutes = 0, seconds = 0] = offset.map((part) => Number(part ?? 0));
  const offsetMs = (hours * 3600 + minutes * 60 + seconds) * 1000;
  // Date.UTC takes the years 0 to 99 for 1900 to 1999: count 400 years (146,097 days) later.
  const shiftedMs = Date.UTC(
    Number(year) + 400,
    Number(month) - 1,
    Number(day),
    Number(hour),
    Number(minute),
    Number(second),
    ms,
  );
  return shiftedMs - 146097 * 86_400_000 - (sign === '-' ? -offsetMs : offsetMs);
}

/** PostgreSQL's text of epoch milliseconds; throws outside of the years 1 to 9999. */
export function instantToSql(ms: number): string {
  if (!Number.isInteger(ms) || ms < firstMs || ms > lastMs) {
    throw new Error(`not whole milliseconds between the years 1 and 9999: ${ms}`);
  }
  return new Date(ms).toISOString();
}

/** A `timestamptz` as epoch milliseconds (whole number). */
export const instant = customType<{ data: number; driverData: string }>({
  dataType: () => 'timestamp with time zone',
  toDriver: instantToSql,
  fromDriver: instantFromSql,
});

/** From-to in epoch milliseconds: `fromMs` inside, `toMs` outside; null is open for ever. */
export interface Span {
  fromMs: number;
  toMs: number | null;
}

const spanText = /^\["?([^",]+)"?,"?([^",]*)"?\)$/;

/** Reads PostgreSQL's text of a `tstzrange` with a start: `["2026-01-01 00:00:00+00",)`. */
export function spanFromSql(text: string): Span {
  const match = spanText.exec(text);
  if (!match) throw new Error(`not a span with its start inside and its end outside: ${text}`);
  const to = match[2] ?? '';
  return {
    fromMs: instantFromSql(match[1] ?? ''),
    toMs: to === '' || to === 'infinity' ? null : instantFromSql(to),
  };
}

/** PostgreSQL's text of a span; throws when it ends before it starts. */
export function spanToSql({ fromMs, toMs }: Span): string {
  if (toMs !== null && toMs <= fromMs) throw new Error(`a span ends before it starts: ${toMs}`);
  return `[${instantToSql(fromMs)},${toMs === null ? '' : instantToSql(toMs)})`;
}

/** A `tstzrange` that starts at an instant and may be open towards the future. */
export const span = customType<{ data: Span; driverData: string }>({
  dataType: () => 'tstzrange',
  toDriver: spanToSql,
  fromDriver: spanFromSql,
});

/** An `int8multirange` as PostgreSQL writes it, such as `{[1,5),[9,12)}`. */
export const numberSet = customType<{ data: string; driverData: string }>({
  dataType: () => 'int8multirange',
});

export const bytea = customType<{ data: Buffer; driverData: Buffer }>({
  dataType: () => 'bytea',
});
