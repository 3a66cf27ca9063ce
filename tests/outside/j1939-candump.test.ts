import { describe, expect, test } from 'vitest';
import { readCandump } from '../../src/domain/usage/candump.ts';

// The text form of candump, `(seconds.microseconds) interface id#data` with three digits for
// standard and eight for extended identifiers, `#R` for remote frames, `##` and a digit of flags
// for CAN FD, and error frames as identifiers with bit 29 set: from memory of the can-utils, whose
// log files look like this.

const read = (...lines: string[]) => readCandump(lines.join('\n'));

describe('candump text', () => {
  test('a line as the can-utils write it', () => {
    const { frames, unreadable } = read('(1699999999.123456) can0 18FEE700#81C40300E1730000');
    expect(unreadable).toBe(0);
    expect(frames).toEqual([
      { line: 1, atMs: 1_699_999_999_123, id: 0x18fee700, hex: '81C40300E1730000' },
    ]);
  });

  test('what cannot be J1939 is counted and passed over', () => {
    const found = read(
      '(1700000000.000000) can0 18FEE700#R',
      '(1700000000.000000) can0 18FEE700#R8',
      '(1700000000.000000) can0 18FEE700##181C40300E1730000',
      '(1700000000.000000) can0 123#DEADBEEF',
      '(1700000000.000000) can0 20000004#0000000000000000',
      '',
    );
    expect(found.skipped).toEqual({ remote: 2, can_fd: 1, standard: 1, error_frame: 1 });
    expect(found).toMatchObject({ frames: [], unreadable: 0 });
  });

  test('a line that is none is named by its number, and harms no other', () => {
    const good = '(1700000000.000001) vcan0 18fee700#81c4';
    const cut = '(1700000000.0000';
    const found = read(good, cut, '', '(x) can0 1#', '(1.0) can0 18FEE700#123', `${good}\r`);
    expect(found.frames.map((frame) => frame.line)).toEqual([1, 6]);
    expect(found.faults.map((fault) => fault.line)).toEqual([2, 4, 5]);
    expect(found.unreadable).toBe(3);
  });

  test('fractions of a second count to the millisecond, whatever their length', () => {
    const ms = ['5', '5.', '5.1', '5.12', '5.1239', '5.123999999'].map(
      (seconds) => read(`(${seconds}) can0 18FEE700#`).frames[0]?.atMs,
    );
    expect(ms).toEqual([5000, undefined, 5100, 5120, 5123, 5123]);
  });
});
