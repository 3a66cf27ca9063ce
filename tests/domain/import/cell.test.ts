import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readMoment, readNumber, readYesNo } from '../../../src/domain/import/cell.ts';

const iso = (text: string, zone: string | null) => {
  const cell = readMoment(text, zone);
  return cell.ok ? new Date(cell.value).toISOString() : cell.code;
};

describe('numbers', () => {
  /** As offices write a number of tenths: [thousands, decimal]. */
  const styles = [
    ['', '.'],
    ['', ','],
    [',', '.'],
    ['.', ','],
    [' ', ','],
    [' ', '.'],
    ['\u00a0', ','],
    ['\u202f', ','],
    ["'", '.'],
  ] as const;
  const written = (tenths: number, [thousands, decimal]: readonly [string, string]) => {
    const whole = String(Math.floor(tenths / 10)).replace(/\B(?=(\d{3})+$)/g, thousands);
    return `${whole}${decimal}${tenths % 10}`;
  };

  test('written with one decimal, every style is read as what it says', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 99_999_999 }),
        fc.constantFrom(...styles),
        fc.constantFrom(',', ';', '\t'),
        (tenths, style, separator) => {
          const cell = readNumber(written(tenths, style), separator);
          expect(cell).toEqual({ ok: true, value: tenths / 10 });
        },
      ),
    );
  });

  test('whatever is typed: a number from 0 to 1e9, or a reason', () => {
    const typed = fc.string({ unit: fc.constantFrom(..."0123456789., -+eE'’h"), maxLength: 14 });
    fc.assert(
      fc.property(typed, fc.constantFrom(',', ';'), (text, separator) => {
        const cell = readNumber(text, separator);
        if (!cell.ok) {
          expect(cell.reason).toMatch(/\w/);
          return;
        }
        expect(cell.value).toBeGreaterThanOrEqual(0);
        expect(cell.value).toBeLessThanOrEqual(1e9);
        // no digit is lost
        const digits = text.replace(/\D/g, '').replace(/^0+|0+$/g, '');
        expect(
          String(cell.value)
            .replace(/\D/g, '')
            .replace(/^0+|0+$/g, ''),
        ).toBe(digits);
      }),
    );
  });

  test.each([
    ['1,240', ',', 'number_ambiguous'],
    ['1,240', ';', 'number_ambiguous'],
    ['1.240', ';', 'number_ambiguous'],
    ['1.240', ',', 1.24],
    ['1240,50', ',', 1240.5],
    ['1,240,500', ';', 1240500],
    ['1.240.500', ',', 1240500],
    ['12,40.5', ',', 'number_invalid'],
    ['1e3', ',', 'number_invalid'],
    ['.5', ',', 'number_invalid'],
    ['2000000000', ',', 'number_invalid'],
  ])('%s in a sheet parted by %s', (text, separator, read) => {
    const cell = readNumber(text, separator);
    expect(cell.ok ? cell.value : cell.code).toBe(read);
  });
});

describe('times', () => {
  test.each([
    ['2026-05-01', 'America/Chicago', '2026-05-01T05:00:00.000Z'],
    ['2026-05-01 14:30', 'America/Chicago', '2026-05-01T19:30:00.000Z'],
    ['2026-05-01T14:30:15', 'Europe/Berlin', '2026-05-01T12:30:15.000Z'],
    ['2026-05-01T14:30+02:00', null, '2026-05-01T12:30:00.000Z'],
    ['2026-05-01T14:30:00Z', 'America/Chicago', '2026-05-01T14:30:00.000Z'],
    ['2026-05-01', null, 'time_zone_needed'],
    // the day begins an hour late where the clocks go forward at midnight
    ['2025-09-07', 'America/Santiago', '2025-09-07T04:00:00.000Z'],
    ['2026-03-08 02:30', 'America/Chicago', 'time_not_once'],
    ['2026-11-01 01:30', 'America/Chicago', 'time_not_once'],
    ['2026-11-01 01:30', 'America/Phoenix', '2026-11-01T08:30:00.000Z'],
    ['2026-02-29', 'UTC', 'date_invalid'],
    ['2026-05-01 24:00', 'UTC', 'date_invalid'],
    ['2026-05-01T10:00+25:00', 'UTC', 'date_invalid'],
    ['1.5.2026', 'UTC', 'date_invalid'],
    ['45000', 'UTC', 'date_invalid'],
    ['2026-5-1', 'UTC', 'date_invalid'],
  ])('%s in %s', (text, zone, read) => {
    expect(iso(text, zone)).toBe(read);
  });
});

test('yes and no', () => {
  const read = (text: string) => {
    const cell = readYesNo(text);
    return cell.ok ? cell.value : cell.code;
  };
  expect(['Yes', 'TRUE', '1', 'x'].map(read)).toEqual([true, true, true, true]);
  expect(['no', 'False', '0'].map(read)).toEqual([false, false, false]);
  expect(read('maybe')).toBe('yes_no_invalid');
});
