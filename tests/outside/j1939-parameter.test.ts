import { describe, expect, test } from 'vitest';
import { frameData } from '../../src/domain/usage/candump.ts';
import {
  parameterOf,
  parameterState,
  parametersOfGroup,
  parameterValue,
  rawValue,
} from '../../src/domain/usage/j1939-parameter.ts';

// Places and resolutions of parameters as public J1939 parameter lists give them; marked below
// where they are from memory. Bands of special values: the transmitted-signal-range table of
// J1939-71; the four-byte ceiling 4211081215 stands in a public parameter list, the other bands are
// from memory. The payloads are computed from these.

const bytes = (text: string) => frameData(text.replaceAll(' ', ''));
const value = (spn: number, text: string) => parameterValue(parameterOf(spn)!, bytes(text));

describe('places and resolutions, from public parameter lists', () => {
  test.each([
    [65_255, 246, 1, 32, 'h'],
    [65_255, 248, 5, 32, 'h'],
    [65_253, 247, 1, 32, 'h'],
    [65_253, 249, 5, 32, 'r'],
    // The resolution of 236 is from memory, its place is not; of 235 both came mixed.
    [65_244, 236, 1, 32, 'L'],
    [65_244, 235, 5, 32, 'h'],
    [65_264, 90, 1, 8, '°C'],
    [65_264, 186, 2, 16, 'rpm'],
    [65_264, 187, 4, 16, 'rpm'],
    [65_264, 980, 6, 2, 'state'],
    // The numbers of the switches 978 to 984 are from memory, their places are not.
    [65_264, 979, 6, 2, 'state'],
    [65_264, 978, 6, 2, 'state'],
    [65_264, 984, 7, 2, 'state'],
    [65_264, 983, 7, 2, 'state'],
    [65_264, 982, 7, 2, 'state'],
    [65_264, 981, 7, 2, 'state'],
    [65_265, 976, 7, 5, 'state'],
    [64_932, 3948, 7, 2, 'state'],
  ])('PGN %i holds SPN %i from byte %i, %i bits, in %s', (pgn, spn, byte, bits, unit) => {
    const found = parametersOfGroup(pgn).find((each) => each.spn === spn);
    expect(found).toMatchObject({ byte, bits, unit });
    expect(parameterOf(spn)).toBe(found);
  });

  test('SPN 236 is idle fuel, SPN 235 idle hours', () => {
    expect(parameterOf(236)?.unit).toBe('L');
    expect(parameterOf(235)?.unit).toBe('h');
  });

  test('1000 revolutions a bit', () => {
    expect(value(249, 'FF FF FF FF 02 01 00 00')?.value).toBe(258_000);
  });
});

describe('payloads, computed', () => {
  test.each([
    [246, '81 C4 03 00 E1 73 00 00', 246_913, 12345.65],
    [248, '81 C4 03 00 E1 73 00 00', 29_665, 1483.25],
    [248, '81 C4 03 00 FF FF FF FA', 4_211_081_215, 210_554_060.75],
    [247, '9A 03 03 00 FF FF FF FF', 197_530, 9876.5],
    [236, 'D1 6F 00 00 73 60 00 00', 28_625, 14312.5],
    [235, 'D1 6F 00 00 73 60 00 00', 24_691, 1234.55],
    [90, '78 40 1F FF FF FD FF FF', 0x78, 80],
    [186, '78 40 1F FF FF FD FF FF', 8_000, 1000],
    [980, '78 40 1F FF FF FD FF FF', 1, 1],
  ])('SPN %i in %s', (spn, text, raw, shown) => {
    expect(value(spn, text)).toMatchObject({ raw, state: 'valid', value: shown });
  });

  test.each([
    [248, '81 C4 03 00 FF FF FF FF', 'not_available'],
    [248, '81 C4 03 00 00 00 00 FE', 'error'],
    [248, '81 C4 03 00 00 00 00 FB', 'parameter_specific'],
    [248, '81 C4 03 00 12 34 56 FC', 'reserved'],
    [249, '9A 03 03 00 FF FF FF FF', 'not_available'],
    [187, '78 40 1F FF FF FD FF FF', 'not_available'],
    [979, '78 40 1F FF FF FD FF FF', 'not_available'],
  ])('SPN %i in %s is %s: no value, never 0', (spn, text, state) => {
    expect(value(spn, text)).toMatchObject({ state, value: null });
  });

  test('the raw value of the error is 4261412864', () => {
    expect(rawValue(parameterOf(248)!, bytes('81 C4 03 00 00 00 00 FE'))).toBe(4_261_412_864);
  });

  test('a frame of another length than eight is refused', () => {
    const whole = '81 C4 03 00 E1 73 00 00';
    for (let length = 0; length < 8; length++) {
      expect(value(246, whole.slice(0, length * 3))).toBeNull();
    }
    expect(value(246, `${whole} 00`)).toBeNull();
  });
});

describe('special values: the transmitted-signal-range table of J1939-71, by the top byte', () => {
  const bands: [number, number, string][] = [
    [0x00, 0xfa, 'valid'],
    [0xfb, 0xfb, 'parameter_specific'],
    [0xfc, 0xfd, 'reserved'],
    [0xfe, 0xfe, 'error'],
    [0xff, 0xff, 'not_available'],
  ];
  test.each([8, 16, 32])('%i bits', (bits) => {
    const below = 2 ** (bits - 8);
    for (const [from, to, said] of bands) {
      for (let top = from; top <= to; top++) {
        expect(parameterState(top * below, bits)).toBe(said);
        expect(parameterState(top * below + below - 1, bits)).toBe(said);
      }
    }
  });

  test('two bits: off, on, error, not available', () => {
    const said = [0, 1, 2, 3].map((raw) => parameterState(raw, 2));
    expect(said).toEqual(['valid', 'valid', 'error', 'not_available']);
  });

  test('five bits, SPN 976 (states from memory): 31 is not available', () => {
    expect(value(976, 'FF FF FF FF FF FF E3 FF')).toMatchObject({ raw: 3, value: 3 });
    expect(value(976, 'FF FF FF FF FF FF FF FF')).toMatchObject({ state: 'not_available' });
  });
});

describe('SPN 3948, at least one PTO engaged, from public parameter lists', () => {
  test.each([
    ['FC', 'valid', 0],
    ['FD', 'valid', 1],
    ['FE', 'error', null],
    ['FF', 'not_available', null],
  ])('byte 7 %s', (seventh, state, shown) => {
    const text = `FF FF FF FF FF FF ${seventh} FF`;
    expect(value(3948, text)).toMatchObject({ state, value: shown });
  });
});

test('hours are multiplied and divided once: no sum of 0.05, which is not exact in binary', () => {
  for (let raw = 0; raw < 2_000_000; raw += 997) {
    const word = [raw & 0xff, (raw >> 8) & 0xff, (raw >> 16) & 0xff, 0];
    const found = parameterValue(parameterOf(248)!, [0, 0, 0, 0, ...word]);
    expect(found?.value).toBe((raw * 5) / 100);
  }
});
