import { describe, expect, it } from 'vitest';
import {
  builtInMeter,
  builtInMeters,
  formatGrains,
  minMsPerTick,
  parseGrains,
  parseResolution,
} from '../../../src/domain/usage/meter.ts';

describe('resolutions', () => {
  it('are whole numbers of grains', () => {
    expect(parseResolution(0.05, 'hours')).toEqual({ ok: true, grains: 180 });
    expect(parseResolution(0.1, 'hours')).toEqual({ ok: true, grains: 360 });
    expect(parseResolution(1 / 60, 'hours')).toEqual({ ok: true, grains: 60 });
    expect(parseResolution(0.125, 'km')).toEqual({ ok: true, grains: 125 });
    expect(parseResolution(1, 'cycles')).toEqual({ ok: true, grains: 1 });
  });

  it.each([
    [0.0001, 'hours', /seconds/],
    [0.5, 'cycles', /cycles/],
    [0.0015, 'km', /metres/],
    [0, 'hours', /above zero/],
    [-1, 'cycles', /above zero/],
    [Number.NaN, 'hours', /above zero/],
    [1001, 'km', /at most/],
  ] as const)('%d %s is refused with a reason', (value, dimension, reason) => {
    const parsed = parseResolution(value, dimension);
    expect(parsed.ok ? '' : parsed.reason).toMatch(reason);
  });
});

describe('shown figures', () => {
  it('are plain decimals', () => {
    expect(JSON.stringify(formatGrains(180, 'hours'))).toBe('0.05');
    expect(JSON.stringify(formatGrains(29_664 * 180, 'hours'))).toBe('1483.2');
    expect(JSON.stringify(formatGrains(1, 'hours'))).toBe('0.000278');
    expect(JSON.stringify(formatGrains(20_411_100, 'km'))).toBe('20411.1');
    expect(JSON.stringify(formatGrains(4110, 'cycles'))).toBe('4110');
  });

  it('come back as the same grains', () => {
    for (let grains = 0; grains < 1e12; grains = grains * 3 + 7) {
      for (const dimension of ['hours', 'cycles', 'km'] as const) {
        expect(parseGrains(formatGrains(grains, dimension), dimension)).toBe(grains);
      }
    }
  });
});

describe('the fastest a counter can run', () => {
  it('is the clock for hours, the fastest cycle for cycles, top speed for kilometres', () => {
    expect(minMsPerTick(builtInMeter('pto_hours')!, 180)).toBe(180_000);
    expect(minMsPerTick(builtInMeter('lift_cycles')!, 10)).toBe(120_000);
    // 100 m at 130 km/h take 2,769.2 ms.
    expect(minMsPerTick(builtInMeter('loaded_km')!, 100)).toBe(2769);
    expect(minMsPerTick({ dimension: 'cycles', fastestCycleMs: 0 }, 1)).toBeGreaterThan(0);
  });

  it('is a whole number above zero for every built-in meter', () => {
    for (const meter of builtInMeters) {
      const ms = minMsPerTick(meter, 1);
      expect(Number.isSafeInteger(ms) && ms > 0, meter.name).toBe(true);
    }
  });
});
