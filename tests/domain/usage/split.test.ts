import { describe, expect, it } from 'vitest';
import {
  attributeBy,
  largestRemainder,
  type MeterSource,
  maxPieces,
} from '../../../src/domain/usage/split.ts';

const at = (text: string) => Date.parse(text);
const chicago = [{ fromMs: 0, timeZone: 'America/Chicago' }];

function shares(sources: MeterSource[], from: string, to: string, grains: number) {
  const found: [string, string, number][] = [];
  attributeBy(sources)(at(from), at(to), grains, (...share) => found.push(share));
  return found;
}

const lift = (fromMs: number, toMs: number | null, assetId = 'lift', calendar = chicago) => ({
  fromMs,
  toMs,
  assetId,
  calendar,
});

describe('largest remainder', () => {
  it('gives whole parts that sum to the whole, equal remainders to the earliest', () => {
    expect(largestRemainder(10, [1, 1, 1])).toEqual([4, 3, 3]);
    expect(largestRemainder(11, [1, 1, 1])).toEqual([4, 4, 3]);
    expect(largestRemainder(1, [1, 3])).toEqual([0, 1]);
    expect(largestRemainder(0, [5, 5])).toEqual([0, 0]);
    expect(largestRemainder(7, [0, 2, 5])).toEqual([0, 2, 5]);
  });

  it('stays exact where the product passes 2^53', () => {
    // 31,536,000 s over weights of a year in ms: a double would be out by some grains.
    const year = 31_536_000_000;
    expect(largestRemainder(31_536_001, [year, year, year])).toEqual([
      10_512_001, 10_512_000, 10_512_000,
    ]);
    expect(largestRemainder(9_007_199_254_740_991, [1, 2])).toEqual([
      3_002_399_751_580_330, 6_004_799_503_160_661,
    ]);
  });
});

describe('attribution', () => {
  it('splits by time over the local days of the yard', () => {
    expect(shares([lift(0, null)], '2026-03-03T03:00:00Z', '2026-03-03T07:00:00Z', 400)).toEqual([
      ['lift', '2026-03-02', 300],
      ['lift', '2026-03-03', 100],
    ]);
  });

  it('counts what ends at midnight for the day before, and no time for its own day', () => {
    const midnight = '2026-03-03T06:00:00Z';
    expect(shares([lift(0, null)], '2026-03-03T05:00:00Z', midnight, 180)).toEqual([
      ['lift', '2026-03-02', 180],
    ]);
    expect(shares([lift(0, null)], midnight, midnight, 180)).toEqual([['lift', '2026-03-03', 180]]);
  });

  it('splits between the assets that the counter counted for, and drops what nobody owned', () => {
    const change = at('2026-03-02T12:00:00Z');
    const sources = [
      lift(at('2026-03-02T09:00:00Z'), change, 'old lift'),
      lift(change + 3_600_000, null, 'new lift'),
    ];
    expect(shares(sources, '2026-03-02T08:00:00Z', '2026-03-02T14:00:00Z', 600)).toEqual([
      ['old lift', '2026-03-02', 300],
      ['new lift', '2026-03-02', 100],
    ]);
    expect(shares(sources, '2026-03-01T08:00:00Z', '2026-03-01T14:00:00Z', 600)).toEqual([]);
    expect(shares([], '2026-03-01T08:00:00Z', '2026-03-04T14:00:00Z', 600)).toEqual([]);
  });

  it('follows the yard when its zone changes', () => {
    const moved = [
      { fromMs: 0, timeZone: 'America/Chicago' },
      { fromMs: at('2026-03-03T05:30:00Z'), timeZone: 'America/New_York' },
    ];
    // 23:30 in Chicago becomes 00:30 in New York.
    expect(
      shares([lift(0, null, 'lift', moved)], '2026-03-03T05:00:00Z', '2026-03-03T06:00:00Z', 100),
    ).toEqual([
      ['lift', '2026-03-02', 50],
      ['lift', '2026-03-03', 50],
    ]);
  });

  it('gives the short and the long day their due', () => {
    expect(shares([lift(0, null)], '2026-03-08T06:00:00Z', '2026-03-10T05:00:00Z', 47)).toEqual([
      ['lift', '2026-03-08', 23],
      ['lift', '2026-03-09', 24],
    ]);
    expect(shares([lift(0, null)], '2026-11-01T05:00:00Z', '2026-11-03T06:00:00Z', 49)).toEqual([
      ['lift', '2026-11-01', 25],
      ['lift', '2026-11-02', 24],
    ]);
  });

  it('does not depend on what it was asked before', () => {
    const attribute = attributeBy([lift(0, null)]);
    const ask = (from: string, to: string) => {
      const found: unknown[] = [];
      attribute(at(from), at(to), 100, (...share) => found.push(share));
      return found;
    };
    const first = ask('2026-03-03T03:00:00Z', '2026-03-03T07:00:00Z');
    ask('2026-05-01T00:00:00Z', '2026-05-09T00:00:00Z');
    expect(ask('2026-03-03T03:00:00Z', '2026-03-03T07:00:00Z')).toEqual(first);
  });

  it('tells a bounded number of days apart', () => {
    const found = shares(
      [lift(0, null)],
      '1990-01-01T06:00:00Z',
      '2025-12-31T06:00:00Z',
      1_000_000,
    );
    expect(found).toHaveLength(maxPieces);
    expect(found.at(-1)?.[1]).toBe('2025-12-30');
    expect(found.reduce((sum, [, , grains]) => sum + grains, 0)).toBe(1_000_000);
  });
});
