import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  frameBounds,
  frameData,
  readCandump,
  readFrameList,
} from '../../src/domain/usage/candump.ts';
import { composeFrameId, parseFrameId } from '../../src/domain/usage/j1939-frame.ts';
import { parameters, parameterValue } from '../../src/domain/usage/j1939-parameter.ts';

const bytes = fc.uint8Array({ maxLength: 12 });
const id = fc.integer({ min: 0, max: 0x1fff_ffff });

test('any bytes decode without an error: a valid value is a number, any other is none', () => {
  fc.assert(
    fc.property(bytes, (data) => {
      for (const each of parameters) {
        const found = parameterValue(each, data);
        expect(found === null).toBe(data.length !== 8);
        if (found === null) continue;
        expect(found.raw).toBeGreaterThanOrEqual(0);
        expect(found.raw).toBeLessThan(2 ** each.bits);
        expect(found.value === null).toBe(found.state !== 'valid');
        if (found.value !== null) expect(Number.isFinite(found.value)).toBe(true);
      }
    }),
  );
});

test('any identifier comes back from its fields', () => {
  fc.assert(fc.property(id, (each) => composeFrameId(parseFrameId(each)!) === each));
});

/** Every line is a frame, passed over, unreadable, or empty. */
function expectAllLines(text: string): void {
  const found = readCandump(text);
  const skipped = Object.values(found.skipped).reduce((sum, n) => sum + n, 0);
  const lines = text.split('\n').filter((line) => line.trim() !== '');
  expect(found.frames.length + skipped + found.unreadable).toBe(lines.length);
  expect(found.faults.length).toBe(Math.min(found.unreadable, frameBounds.faultsMost));
  for (const frame of found.frames) {
    expect(parseFrameId(frame.id)).not.toBeNull();
    expect(frameData(frame.hex).length).toBeLessThanOrEqual(8);
    expect(Number.isSafeInteger(frame.atMs)).toBe(true);
  }
}

test('any text is read without an error, and every line is accounted for', () => {
  const piece = fc.constantFrom(
    ...'(1699999999.123456) can0 18FEE700#81C4 # ## R \r \n \t 20000004# 123# _8 ) ('.split(' '),
    ' ',
    '\n',
  );
  const nearly = fc.array(fc.oneof(piece, fc.string({ maxLength: 4 })), { maxLength: 60 });
  fc.assert(fc.property(nearly, (parts) => expectAllLines(parts.join(''))));
  fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 400 }), expectAllLines));
  const octets = fc.uint8Array({ maxLength: 400 });
  fc.assert(fc.property(octets, (each) => expectAllLines(Buffer.from(each).toString('utf8'))));
});

test('what was written as a line is read as it was', () => {
  const frame = fc.record({
    atMs: fc.integer({ min: 0, max: 253_402_300_799_999 }),
    id,
    data: fc.uint8Array({ maxLength: 8 }),
  });
  fc.assert(
    fc.property(fc.array(frame, { maxLength: 20 }), (frames) => {
      const written = frames.map((each) => ({
        at: each.atMs,
        id: each.id.toString(16).toUpperCase().padStart(8, '0'),
        data: Buffer.from(each.data).toString('hex').toUpperCase(),
      }));
      const lines = written.map(({ at, id: hexId, data }) => {
        const fraction = String((at % 1000) * 1000).padStart(6, '0');
        return `(${Math.floor(at / 1000)}.${fraction}) can0 ${hexId}#${data}\n`;
      });
      const expected = written.map(({ at, data }, i) => ({
        line: i + 1,
        atMs: at,
        id: frames[i]!.id,
        hex: data,
      }));
      expect(readCandump(lines.join('')).frames).toEqual(expected);
      expect(readFrameList(written).frames).toEqual(expected);
    }),
  );
});

test('any list of frames is read without an error', () => {
  const member = fc.oneof(
    fc.anything(),
    fc.record({ at: fc.anything(), id: fc.anything(), data: fc.anything() }),
  );
  fc.assert(
    fc.property(fc.array(member, { maxLength: 20 }), (list) => {
      const found = readFrameList(list);
      const skipped = Object.values(found.skipped).reduce((sum, n) => sum + n, 0);
      expect(found.frames.length + skipped + found.unreadable).toBe(list.length);
    }),
  );
});
