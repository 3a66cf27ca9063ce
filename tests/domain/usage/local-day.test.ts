import { describe, expect, it } from 'vitest';
import {
  addDays,
  addMonths,
  daysBetween,
  dayWindow,
  isTimeZone,
  localDay,
  startOfLocalDay,
} from '../../../src/domain/usage/local-day.ts';

const hour = 3_600_000;
const at = (text: string) => Date.parse(text);

describe('local days', () => {
  it.each([
    ['2026-03-08T05:59:59Z', 'America/Chicago', '2026-03-07'],
    ['2026-03-08T06:00:00Z', 'America/Chicago', '2026-03-08'],
    ['2026-03-09T04:59:59Z', 'America/Chicago', '2026-03-08'],
    ['2026-03-09T05:00:00Z', 'America/Chicago', '2026-03-09'],
    ['2026-06-01T18:30:00Z', 'Asia/Kolkata', '2026-06-02'],
    ['1969-12-31T23:00:00Z', 'UTC', '1969-12-31'],
  ])('%s in %s is %s', (instant, zone, day) => {
    expect(localDay(at(instant), zone)).toBe(day);
  });

  it('are 23 and 25 hours long when the clocks change, and 24 where they do not', () => {
    const length = (instant: string, zone: string) => {
      const { startMs, endMs } = dayWindow(at(instant), zone);
      return (endMs - startMs) / hour;
    };
    expect(length('2026-03-08T12:00:00Z', 'America/Chicago')).toBe(23);
    expect(length('2026-11-01T12:00:00Z', 'America/Chicago')).toBe(25);
    expect(length('2026-03-08T12:00:00Z', 'America/Phoenix')).toBe(24);
    expect(length('2026-04-05T12:00:00Z', 'Australia/Lord_Howe')).toBe(24.5);
  });

  it('begin when the zone says, which is not always midnight', () => {
    // Clocks in Cairo went from 00:00 to 01:00 on 26 April 2024.
    expect(startOfLocalDay('2024-04-26', 'Africa/Cairo')).toBe(at('2024-04-25T22:00:00Z'));
    expect(dayWindow(at('2024-04-26T12:00:00Z'), 'Africa/Cairo')).toEqual({
      day: '2024-04-26',
      startMs: at('2024-04-25T22:00:00Z'),
      endMs: at('2024-04-26T21:00:00Z'),
    });
  });

  it('pass over a day that a zone skipped', () => {
    // Samoa had no 30 December 2011.
    const before = dayWindow(at('2011-12-30T09:59:59Z'), 'Pacific/Apia');
    expect(before.day).toBe('2011-12-29');
    expect(dayWindow(before.endMs, 'Pacific/Apia').day).toBe('2011-12-31');
  });

  it('follow each other without gap or overlap', () => {
    for (const zone of ['America/Chicago', 'Africa/Cairo', 'Pacific/Apia', 'America/St_Johns']) {
      let window = dayWindow(at('2023-10-01T12:00:00Z'), zone);
      for (let i = 0; i < 900; i += 1) {
        const next = dayWindow(window.endMs, zone);
        expect(next.startMs).toBe(window.endMs);
        expect(next.day > window.day).toBe(true);
        expect(dayWindow(next.endMs - 1, zone)).toEqual(next);
        expect(startOfLocalDay(next.day, zone)).toBe(next.startMs);
        window = next;
      }
    }
  });

  it('know which zones there are', () => {
    for (const zone of ['America/Chicago', 'UTC', 'America/Argentina/Ushuaia']) {
      expect(isTimeZone(zone), zone).toBe(true);
    }
    for (const zone of ['', 'Chicago', '+02:00', 'America/Nowhere', 'UTC; drop', 'x'.repeat(80)]) {
      expect(isTimeZone(zone), zone).toBe(false);
    }
    expect(() => dayWindow(0, 'America/Nowhere')).toThrow(RangeError);
  });

  it('are counted on and back, by days and by months', () => {
    expect(addDays('2026-02-27', 2)).toBe('2026-03-01');
    expect(addDays('2028-03-01', -1)).toBe('2028-02-29');
    expect(addMonths('2026-01-31', 1)).toBe('2026-02-28');
    expect(addMonths('2027-12-31', 2)).toBe('2028-02-29');
    expect(addMonths('2026-03-31', -1)).toBe('2026-02-28');
    expect(daysBetween('2026-02-27', '2026-03-01')).toBe(2);
    expect(daysBetween('2026-03-01', '2026-02-27')).toBe(-2);
    expect(daysBetween('2026-01-01', '2027-01-01')).toBe(365);
    expect(() => addDays('2026-02-30', 1)).toThrow(RangeError);
  });
});
