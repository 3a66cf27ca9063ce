import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pinShape, weakness } from '../../../src/domain/access/pin.ts';
import { parsePinHash, printPinHash } from '../../../src/domain/access/pin-hash.ts';
import {
  countTry,
  lockedUntil,
  noTries,
  type PinTries,
  takeBack,
} from '../../../src/domain/access/pin-try.ts';

const minuteMs = 60_000;
const dayMs = 24 * 60 * minuteMs;

describe('a weak PIN', () => {
  test.each([
    '0000',
    '99999999',
    '1234',
    '34567',
    '7890',
    '4321',
    '10987',
    '1212',
    '909090',
    '123123',
    '47114711',
  ])('%s', (pin) => expect(weakness(pin)).toMatch(/\w/));
  test.each(['2846', '1357', '1243', '58203', '9205', '12321', '1212121'])('not %s', (pin) => {
    expect(weakness(pin)).toBeNull();
  });
  test('is rare, so that enough are left', () => {
    const all = Array.from({ length: 10_000 }, (_, i) => String(i).padStart(4, '0'));
    const weak = all.filter((pin) => weakness(pin) !== null);
    expect(weak.length).toBeLessThan(150);
    expect(all.every((pin) => pinShape.test(pin))).toBe(true);
  });
});

describe('wrong tries', () => {
  const wrong = (tries: PinTries, atMs: number) => countTry('person', tries, atMs);

  test('in a row lock for longer and longer, up to an hour', () => {
    let tries = noTries(0);
    let nowMs = 0;
    const locks: number[] = [];
    for (let i = 0; i < 10; i += 1) {
      tries = wrong(tries, nowMs);
      const untilMs = lockedUntil(tries, nowMs);
      locks.push(untilMs === null ? 0 : (untilMs - nowMs) / minuteMs);
      nowMs = untilMs ?? nowMs;
    }
    expect(locks).toEqual([0, 0, 0, 0, 1, 5, 15, 60, 60, 60]);
    expect(lockedUntil(tries, nowMs)).toBeNull();
  });

  test('a right one ends the row and the lock, and is no wrong one of the day', () => {
    let tries = noTries(0);
    for (let i = 0; i < 5; i += 1) tries = wrong(tries, i);
    expect(lockedUntil(tries, 5)).not.toBeNull();
    tries = takeBack('person', tries);
    expect([tries.inRow, tries.dayWrong, lockedUntil(tries, 5)]).toEqual([0, 4, null]);
  });

  test('of a day lock until its end, whatever comes right between', () => {
    let tries = noTries(0);
    for (let i = 0; i < 30; i += 1) {
      tries = { ...wrong(tries, i), inRow: 0 };
    }
    expect(lockedUntil(tries, 30)).toBe(dayMs);
    expect(lockedUntil(takeBack('person', wrong(tries, 30)), 31)).toBe(dayMs);
    const next = wrong(tries, dayMs);
    expect([next.dayWrong, lockedUntil(next, dayMs)]).toEqual([1, null]);
  });

  test('with one key count over all persons, without a row', () => {
    let tries = noTries(0);
    for (let i = 1; i < 60; i += 1) tries = countTry('key', tries, i);
    expect(lockedUntil(tries, 60)).toBeNull();
    expect(lockedUntil(countTry('key', tries, 60), 60)).toBe(dayMs);
  });

  test('whoever guesses as fast as is let looks at thirty PINs of a person a day', () => {
    const pauses = fc.array(fc.integer({ min: 0, max: 40 * minuteMs }), { maxLength: 300 });
    fc.assert(
      fc.property(pauses, fc.array(fc.boolean(), { maxLength: 300 }), (waits, right) => {
        let tries = noTries(0);
        let nowMs = 0;
        let looked = 0;
        for (const [i, wait] of waits.entries()) {
          nowMs += wait;
          if (nowMs >= dayMs) break;
          if (lockedUntil(tries, nowMs) !== null) continue;
          tries = countTry('person', tries, nowMs);
          if (right[i]) tries = takeBack('person', tries);
          else looked += 1;
        }
        expect(looked).toBeLessThanOrEqual(30);
      }),
    );
  });

  test('a clock that went back begins a new day and frees nobody', () => {
    const locked = { ...noTries(10 * dayMs), dayWrong: 30, lockedUntilMs: 11 * dayMs };
    expect(lockedUntil(locked, 9 * dayMs)).toBe(11 * dayMs);
  });
});

test('a stored hash is read as it was written, and nothing else is read', () => {
  const hash = {
    costLog2: 15,
    blockSize: 8,
    parallel: 3,
    salt: Buffer.from('0123456789abcdef'),
    hash: Buffer.alloc(32, 7),
  };
  expect(parsePinHash(printPinHash(hash))).toEqual(hash);
  for (const text of ['', 'scrypt$15$8$3$AA', 'plain$15$8$3$AA$AA', '2846']) {
    expect(() => parsePinHash(text)).toThrow();
  }
});
