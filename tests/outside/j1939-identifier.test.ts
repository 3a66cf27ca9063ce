import { describe, expect, test } from 'vitest';
import { readFrameList } from '../../src/domain/usage/candump.ts';
import { composeFrameId, parseFrameId } from '../../src/domain/usage/j1939-frame.ts';

// The layout of identifiers is that of SAE J1939-21 as the Linux kernel's notes give it
// (torvalds/linux, Documentation/networking/j1939.rst); 3+1+1+8+8+8 = 29 bits also in
// html.scirp.org/file/_52-7601084_6.htm. The worked identifiers are computed from that layout;
// 0CF00400 also stands in public lists. That bit 31 marks extended frames in SocketCAN and DBC,
// default priorities, and the addresses 00, 21, 27 and FF are from memory; F9 and 27 were seen in
// public files.

const worked: [string, object, string, number, number][] = [
  ['vehicle hours', { priority: 6, pgn: 65_255, source: 0x00 }, '18FEE700', 419358464, 2566842112],
  ['engine hours', { priority: 6, pgn: 65_253, source: 0x00 }, '18FEE500', 419357952, 0x98fee500],
  ['idle operation', { priority: 6, pgn: 65_244, source: 0x00 }, '18FEDC00', 419355648, 0x98fedc00],
  ['power takeoff', { priority: 6, pgn: 65_264, source: 0x00 }, '18FEF000', 419360768, 0x98fef000],
  ['PTO engagement', { priority: 6, pgn: 64_932, source: 0x21 }, '18FDA421', 419275809, 0x98fda421],
  ['EEC1', { priority: 3, pgn: 61_444, source: 0x00 }, '0CF00400', 217056256, 0x8cf00400],
  [
    'request, PDU1',
    { priority: 6, pgn: 59_904, source: 0xf9, destination: 0x00 },
    '18EA00F9',
    417988857,
    0x98ea00f9,
  ],
  [
    'address claim, PDU1',
    { priority: 6, pgn: 60_928, source: 0x27, destination: 0xff },
    '18EEFF27',
    418316071,
    0x98eeff27,
  ],
];

describe('worked identifiers, computed from the layout of J1939-21', () => {
  test.each(worked)('%s', (_name, fields, hex, decimal, flagged) => {
    const id = Number.parseInt(hex, 16);
    expect(id).toBe(decimal);
    const whole = { destination: null, ...fields };
    expect(parseFrameId(id)).toEqual(whole);
    expect(composeFrameId(whole as never)).toBe(decimal);
    // with bit 31, as SocketCAN and DBC write it (from memory); read as a list of frames gives it
    expect((decimal | 0x8000_0000) >>> 0).toBe(flagged);
    const listed = { at: 0, id: flagged.toString(16), data: '' };
    expect(readFrameList([listed]).frames[0]?.id).toBe(decimal);
  });
});

describe('the layout of J1939-21', () => {
  test('a destination is no part of the group number: never 59904 + address', () => {
    for (let destination = 0; destination <= 255; destination++) {
      const id = 0x18ea00f9 + destination * 256;
      expect(parseFrameId(id)).toMatchObject({ pgn: 59_904, destination });
    }
  });

  test('format 239 is the last of PDU1, 240 the first of PDU2', () => {
    expect(parseFrameId(0x18ef1234)).toMatchObject({ pgn: 0xef00, destination: 0x12 });
    expect(parseFrameId(0x18f01234)).toMatchObject({ pgn: 0xf012, destination: null });
  });

  test('both data pages count; the highest group number is 3FFFF', () => {
    expect(parseFrameId(0x1fff_ffff)).toEqual({
      priority: 7,
      pgn: 0x3ffff,
      source: 0xff,
      destination: null,
    });
    expect(parseFrameId(0x19fee700)?.pgn).toBe(0x10000 + 65_255);
    expect(parseFrameId(0x1afee700)?.pgn).toBe(0x20000 + 65_255);
  });

  test('every field comes back, for identifiers all over the 29 bits', () => {
    for (let id = 0; id <= 0x1fff_ffff; id += 65_521) {
      const parts = parseFrameId(id);
      expect(parts && composeFrameId(parts)).toBe(id);
    }
    expect(parseFrameId(0x2000_0000)).toBeNull();
    expect(parseFrameId(-1)).toBeNull();
    expect(parseFrameId(1.5)).toBeNull();
  });

  test('what does not fit is refused', () => {
    const fits = { priority: 6, pgn: 65_255, source: 0, destination: null };
    for (const wrong of [{ priority: 8 }, { pgn: 0x40000 }, { source: 256 }, { destination: 1 }]) {
      expect(() => composeFrameId({ ...fits, ...wrong })).toThrow(RangeError);
    }
    expect(() => composeFrameId({ ...fits, pgn: 59_905, destination: 1 })).toThrow(RangeError);
  });
});
