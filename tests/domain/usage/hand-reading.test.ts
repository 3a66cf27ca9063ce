import { describe, expect, it } from 'vitest';
import {
  type DialReading,
  dialFault,
  handAllowanceMs,
  parseDial,
} from '../../../src/domain/usage/hand-reading.ts';
import { builtInMeter, type Meter } from '../../../src/domain/usage/meter.ts';

const pto = builtInMeter('pto_hours') as Meter;
const lifts = builtInMeter('lift_cycles') as Meter;
const km = builtInMeter('loaded_km') as Meter;
const hourMs = 3_600_000;

describe('what a dial shows', () => {
  it.each([
    [pto, 1234.5, 0.1, 1234.5 * 3600],
    [pto, 0.05, 0.05, 180],
    [pto, 8.3, 0.1, 29_880],
    [pto, 9_999_999, 1, 9_999_999 * 3600],
    [lifts, 7, 1, 7],
    [km, 12.4, 0.1, 12_400],
    [pto, 0, 0.1, 0],
  ])('%s %s in steps of %s', (meter, value, step, grains) => {
    expect(parseDial(meter, value, step).value).toEqual({ ok: true, grains });
  });

  it.each([
    [pto, 1.23, 0.1, 'no whole number of steps'],
    [lifts, 1.5, 1, 'no whole number of steps'],
    [pto, 5, 2, 'at most one whole unit'],
    [pto, 10_000_000, 1, 'not on any dial'],
    [pto, -1, 1, 'not on any dial'],
    [pto, 1, 0.0001, 'whole number of seconds'],
  ])('%s: not %s in steps of %s', (meter, value, step, reason) => {
    const { value: found } = parseDial(meter, value, step);
    expect(found.ok ? '' : found.reason).toContain(reason);
  });
});

const read = (atHours: number, hours: number, more: Partial<DialReading> = {}): DialReading => ({
  ...{ atMs: atHours * hourMs, grains: hours * 3600, stepGrains: 360, replaced: false },
  ...more,
});
const fault = (r: DialReading, before: DialReading | null, after: DialReading | null = null) =>
  dialFault(pto, r, before, after)?.fault ?? null;

describe('between its neighbours', () => {
  it('an hour meter rises as fast as the clock, a step and a quarter of an hour more', () => {
    expect(fault(read(10, 110), read(0, 100))).toBeNull();
    expect(fault(read(10, 110.3), read(0, 100))).toBeNull();
    expect(fault(read(10, 110.4), read(0, 100))).toBe('too_fast');
    expect(fault(read(10, 111.2), read(0, 100, { stepGrains: 3600 }))).toBeNull();
  });

  it('never falls, unless the dial is another one', () => {
    expect(fault(read(10, 99.9), read(0, 100))).toBe('falls');
    expect(fault(read(10, 0, { replaced: true }), read(0, 100))).toBeNull();
  });

  it('a late one is held against the one after it too', () => {
    expect(fault(read(5, 103), read(0, 100), read(10, 102))).toBe('falls');
    expect(fault(read(5, 100), read(0, 100), read(10, 106))).toBe('too_fast');
    expect(fault(read(5, 101), read(0, 100), read(10, 106))).toBeNull();
    expect(fault(read(5, 105), read(0, 100), read(10, 2, { replaced: true }))).toBeNull();
    expect(fault(read(5, 105), null, read(10, 104))).toBe('falls');
    expect(fault(read(5, 105), null, null)).toBeNull();
  });

  it('a line as a whole is allowed no less than two of its readings', () => {
    expect(handAllowanceMs(pto)).toBe(75 * 60_000);
    expect(handAllowanceMs(lifts)).toBe(15 * 60_000 + 12_000);
  });
});
