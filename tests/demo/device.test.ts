import { describe, expect, test } from 'vitest';
import { Device, Dial, inBatches } from '../../src/demo/device.ts';
import { WarpedClock } from '../../src/demo/warped-clock.ts';

describe('the device of the demo', () => {
  test('keeps a reading until it is settled, and then lets it go', () => {
    const device = new Device();
    device.begin('pto_hours', 0);
    for (const [at, raw] of [
      [1, 10],
      [2, 11],
      [3, 12],
    ] as const) {
      device.record('pto_hours', at, raw);
    }
    const all = { counter: 'pto_hours', epoch: 0, firstSeq: 0, at: [1, 2, 3], raw: [10, 11, 12] };
    expect(device.waiting()).toEqual([all]);
    device.settle([{ counter: 'pto_hours', epoch: 0, contiguous: null }]);
    device.settle([{ counter: 'pto_hours', epoch: 1, contiguous: 2 }]);
    expect(device.waiting()).toEqual([all]);
    device.settle([{ counter: 'pto_hours', epoch: 0, contiguous: 1 }]);
    expect(device.waiting()).toEqual([{ ...all, firstSeq: 2, at: [3], raw: [12] }]);
    device.settle([{ counter: 'pto_hours', epoch: 0, contiguous: 2 }]);
    expect(device.waiting()).toEqual([]);
    expect(device.record('pto_hours', 4, 13)).toMatchObject({ firstSeq: 3 });
  });

  test('still sends what is left of an epoch after the next one began', () => {
    const device = new Device();
    device.begin('pto_hours', 0);
    device.record('pto_hours', 1, 10);
    device.begin('pto_hours', 1);
    device.clockAheadMs = 500;
    device.record('pto_hours', 2, 3);
    expect(device.waiting()).toMatchObject([
      { epoch: 0, firstSeq: 0, at: [1] },
      { epoch: 1, firstSeq: 0, at: [502] },
    ]);
    device.settle([{ counter: 'pto_hours', epoch: 0, contiguous: 0 }]);
    expect(device.waiting()).toMatchObject([{ epoch: 1 }]);
    expect(() => device.record('other', 1, 1)).toThrow(RangeError);
  });

  test('cuts a stream into batches that together are the stream', () => {
    const stream = { counter: 'c', epoch: 0, firstSeq: 7, at: [1, 2, 3], raw: [4, 5, 6] };
    expect(inBatches(stream, 2)).toEqual([
      { ...stream, at: [1, 2], raw: [4, 5] },
      { ...stream, firstSeq: 9, at: [3], raw: [6] },
    ]);
  });

  test('a dial wraps at its width, and can be set to another value', () => {
    const dial = new Dial(16);
    expect([65_535, 65_536, 65_540].map((ticks) => dial.show(ticks))).toEqual([65_535, 0, 4]);
    dial.set(65_540, 37);
    expect(dial.show(65_541)).toBe(38);
  });

  test('the clock of the history only goes forward', () => {
    const clock = new WarpedClock(1_000);
    clock.set(2_000);
    expect(() => clock.set(1_999)).toThrow(RangeError);
    clock.release({ nowMs: () => 1_500 });
    expect(clock.nowMs()).toBe(2_000);
    clock.release({ nowMs: () => 3_000 });
    expect(clock.nowMs()).toBe(3_000);
    expect(() => clock.set(9_000)).toThrow(RangeError);
  });
});
