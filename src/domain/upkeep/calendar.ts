/**
 * Whole-day arithmetic on ISO days ('YYYY-MM-DD'). Inside an assessment days are *ordinals*, the
 * integer number of days since 1970-01-01, because hundreds of days are walked per task.
 */
export type Day = string;

const DAY_SHAPE = /^(\d{4})-(\d{2})-(\d{2})$/;
const MONTH_LENGTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
/** Days from 0000-03-01 to 1970-01-01 in the Gregorian calendar. */
const EPOCH_SHIFT = 719_468;

export function monthLength(year: number, month: number): number {
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return month === 2 && leap ? 29 : MONTH_LENGTHS[month - 1]!;
}

function readDay(day: Day): { year: number; month: number; date: number } | null {
  const parts = DAY_SHAPE.exec(day);
  if (!parts) return null;
  const [year, month, date] = [Number(parts[1]), Number(parts[2]), Number(parts[3])];
  if (year < 1 || month < 1 || month > 12 || date < 1 || date > monthLength(year, month)) {
    return null;
  }
  return { year, month, date };
}

export function isDay(value: string): boolean {
  return readDay(value) !== null;
}

function partsOf(day: Day): { year: number; month: number; date: number } {
  const parts = readDay(day);
  if (!parts) throw new RangeError(`not a day (YYYY-MM-DD): ${day.slice(0, 40)}`);
  return parts;
}

/**
 * Days since 1970-01-01 of a date that exists. Years begin in March here, so that the leap day is
 * the last day of a year and the month lengths follow one line, (153 m + 2) / 5.
 */
export function ordinalOfDate(year: number, month: number, date: number): number {
  const y = month <= 2 ? year - 1 : year;
  const fromMarch = (month + 9) % 12;
  const leaps = Math.floor(y / 4) - Math.floor(y / 100) + Math.floor(y / 400);
  return y * 365 + leaps + Math.floor((153 * fromMarch + 2) / 5) + date - 1 - EPOCH_SHIFT;
}

/** Days since 1970-01-01. Throws RangeError when `day` is not a day. */
export function ordinalOf(day: Day): number {
  const { year, month, date } = partsOf(day);
  return ordinalOfDate(year, month, date);
}

export function dayOf(ordinal: number): Day {
  const shifted = ordinal + EPOCH_SHIFT;
  const era = Math.floor(shifted / 146_097);
  const inEra = shifted - era * 146_097;
  const yearInEra = Math.floor(
    (inEra - Math.floor(inEra / 1460) + Math.floor(inEra / 36_524) - Math.floor(inEra / 146_096)) /
      365,
  );
  const inYear =
    inEra - (365 * yearInEra + Math.floor(yearInEra / 4) - Math.floor(yearInEra / 100));
  const fromMarch = Math.floor((5 * inYear + 2) / 153);
  const date = inYear - Math.floor((153 * fromMarch + 2) / 5) + 1;
  const month = fromMarch < 10 ? fromMarch + 3 : fromMarch - 9;
  const year = yearInEra + era * 400 + (month <= 2 ? 1 : 0);
  return `${String(year).padStart(4, '0')}-${two(month)}-${two(date)}`;
}

function two(n: number): string {
  return String(n).padStart(2, '0');
}
