/** Wrong PINs: of one person with whatever key, or of one key with whatever persons. */
export interface PinTries {
  /** Wrong ones since the last right one. */
  inRow: number;
  dayBeganAtMs: number;
  /** Wrong ones since then, whether or not right ones came between. */
  dayWrong: number;
  lockedUntilMs: number | null;
}
export type TriesKind = 'person' | 'key';

const minuteMs = 60_000;
const dayMs = 24 * 60 * minuteMs;

/**
 * A person may be wrong four times in a row; the fifth wrong one locks for a minute, each further
 * one for longer. A right one ends the row but not the count of the day: or else who watches
 * somebody sign would get four guesses after each signing. A key is not helped by right ones at
 * all, because who guesses at others has a PIN himself. So of ten thousand PINs of four digits at
 * most thirty are tried in a day against one person, sixty with one phone.
 */
const rules = {
  person: { freeInRow: 4, perDay: 30 },
  key: { freeInRow: Number.POSITIVE_INFINITY, perDay: 60 },
} as const satisfies Record<TriesKind, { freeInRow: number; perDay: number }>;
const locksMs = [1, 5, 15, 60].map((minutes) => minutes * minuteMs);

export const noTries = (nowMs: number): PinTries => ({
  inRow: 0,
  dayBeganAtMs: nowMs,
  dayWrong: 0,
  lockedUntilMs: null,
});

/** Until when nothing is looked at; null when it may be tried. */
export function lockedUntil(tries: PinTries, nowMs: number): number | null {
  const { lockedUntilMs } = tries;
  return lockedUntilMs !== null && lockedUntilMs > nowMs ? lockedUntilMs : null;
}

/** One more that is taken for wrong until it is known to be right, so that none slips past. */
export function countTry(kind: TriesKind, tries: PinTries, nowMs: number): PinTries {
  const { freeInRow, perDay } = rules[kind];
  const sameDay = nowMs >= tries.dayBeganAtMs && nowMs < tries.dayBeganAtMs + dayMs;
  const dayBeganAtMs = sameDay ? tries.dayBeganAtMs : nowMs;
  const dayWrong = (sameDay ? tries.dayWrong : 0) + 1;
  const inRow = tries.inRow + 1;
  const tooMany = inRow - freeInRow;
  const lockMs = tooMany > 0 ? (locksMs[Math.min(tooMany, locksMs.length) - 1] as number) : 0;
  const ends = [tries.lockedUntilMs ?? 0, lockMs > 0 ? nowMs + lockMs : 0];
  if (dayWrong >= perDay) ends.push(dayBeganAtMs + dayMs);
  const until = Math.max(...ends);
  return { inRow, dayBeganAtMs, dayWrong, lockedUntilMs: until > nowMs ? until : null };
}

/** The try was right after all. */
export function takeBack(kind: TriesKind, tries: PinTries): PinTries {
  const dayWrong = Math.max(0, tries.dayWrong - 1);
  const spent = dayWrong >= rules[kind].perDay;
  const lockedUntilMs = spent ? tries.lockedUntilMs : null;
  return { ...tries, inRow: 0, dayWrong, lockedUntilMs };
}
