import { Temporal } from 'temporal-polyfill';
import { parseInstant } from '../instant.ts';

/** A cell that was understood, or why it was not. */
export type Cell<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly code: CellFault; readonly reason: string };

export type CellFault =
  | 'number_invalid'
  | 'number_ambiguous'
  | 'date_invalid'
  | 'time_not_once'
  | 'time_zone_needed'
  | 'yes_no_invalid';

const no = (code: CellFault, reason: string) => ({ ok: false, code, reason }) as const;

/** Spaces (also the narrow and the unbreaking ones) and apostrophes between groups of three. */
const grouped = /^\d{1,3}(?:[ \u00a0\u2009\u202f'’]\d{3})+(?=$|[.,])/;

/**
 * A number of zero or more, as spreadsheets of many countries write it. A comma or point that could
 * as well part thousands as decimals is refused, never guessed: in '1,240' always, in '1.240' where
 * the sheet is parted by semicolons, as those are that write a decimal comma.
 */
export function readNumber(text: string, separator: string): Cell<number> {
  const plain = text.replace(grouped, (all) => all.replace(/\D/g, ''));
  const ambiguous = no(
    'number_ambiguous',
    'could be thousands or decimals: write 1240 or 1240.0 without anything between thousands',
  );
  if (/^\d{1,3},\d{3}$/.test(plain) && plain === text) return ambiguous;
  if (separator === ';' && /^\d{1,3}\.\d{3}$/.test(plain)) return ambiguous;
  let digits: string | null = null;
  if (/^\d+([.]\d+)?$/.test(plain)) digits = plain;
  else if (/^\d+,\d+$/.test(plain)) digits = plain.replace(',', '.');
  else if (/^\d{1,3}(,\d{3})+\.\d+$|^\d{1,3}(,\d{3}){2,}$/.test(plain)) {
    digits = plain.replaceAll(',', '');
  } else if (/^\d{1,3}(\.\d{3})+,\d+$|^\d{1,3}(\.\d{3}){2,}$/.test(plain)) {
    digits = plain.replaceAll('.', '').replace(',', '.');
  }
  const value = Number(digits ?? Number.NaN);
  if (!Number.isFinite(value) || value > 1e9) {
    return no('number_invalid', 'is not a number from 0 to 1,000,000,000 without a unit');
  }
  return { ok: true, value };
}

const howToDate =
  'write 2026-05-01, or 2026-05-01 14:30, or with an offset 2026-05-01T14:30:00-05:00';

/**
 * An instant from an ISO date or time. Without an offset it is read in the zone; a date alone is
 * the first moment of that day there. `zone` null: nobody knows it, so an offset is needed.
 */
export function readMoment(text: string, zone: string | null): Cell<number> {
  const match =
    /^(\d{4}-\d\d-\d\d)(?:[T ](\d\d:\d\d(?::\d\d(?:\.\d{1,3})?)?)(Z|[+-]\d\d:\d\d)?)?$/.exec(text);
  if (!match) return no('date_invalid', howToDate);
  const [, day, time, offset] = match as unknown as [string, string, string?, string?];
  try {
    const date = Temporal.PlainDate.from(day, { overflow: 'reject' });
    if (time !== undefined && offset !== undefined) {
      const seconds = time.length === 5 ? `${time}:00` : time;
      const ms = parseInstant(`${day}T${seconds}${offset}`);
      return ms === null ? no('date_invalid', howToDate) : { ok: true, value: ms };
    }
    if (zone === null) {
      return no('time_zone_needed', 'no yard says which time zone this is: give an offset');
    }
    if (time === undefined)
      return { ok: true, value: date.toZonedDateTime(zone).epochMilliseconds };
    const local = date.toPlainDateTime(Temporal.PlainTime.from(time, { overflow: 'reject' }));
    return { ok: true, value: onlyInstant(local, zone) };
  } catch (error) {
    if (error instanceof NotOnce) {
      return no('time_not_once', `that time was not there, or twice, in ${zone}: give an offset`);
    }
    return no('date_invalid', 'there is no such date or time');
  }
}

class NotOnce extends Error {}

function onlyInstant(local: Temporal.PlainDateTime, zone: string): number {
  const early = local.toZonedDateTime(zone, { disambiguation: 'earlier' }).epochMilliseconds;
  const late = local.toZonedDateTime(zone, { disambiguation: 'later' }).epochMilliseconds;
  if (early !== late) throw new NotOnce();
  return early;
}

export function readYesNo(text: string): Cell<boolean> {
  const word = text.toLowerCase();
  if (['yes', 'y', 'true', '1', 'x'].includes(word)) return { ok: true, value: true };
  if (['no', 'n', 'false', '0'].includes(word)) return { ok: true, value: false };
  return no('yes_no_invalid', 'write yes or no');
}
