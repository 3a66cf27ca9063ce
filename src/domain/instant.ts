import { Temporal } from 'temporal-polyfill';

/** Epoch milliseconds as RFC 3339 text in UTC, with milliseconds. */
export function instantText(ms: number): string {
  return Temporal.Instant.fromEpochMilliseconds(ms).toString({ fractionalSecondDigits: 3 });
}

/** The same; null stays null. */
export function instantTextOrNull(ms: number | null): string | null {
  return ms === null ? null : instantText(ms);
}

/** RFC 3339 text with an offset to epoch milliseconds; null when it is not that. */
export function parseInstant(text: string): number | null {
  try {
    return Temporal.Instant.from(text).epochMilliseconds;
  } catch {
    return null;
  }
}
