import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  absent,
  addRange,
  contiguous,
  countNumbers,
  emptySet,
  hasNumber,
  highest,
  missing,
  type NumberSet,
  overlap,
  parseMultirange,
  printMultirange,
  subtractRange,
  union,
} from '../../src/domain/usage/number-set.ts';

const ranges = fc.tuple(fc.integer({ min: -5, max: 40 }), fc.integer({ min: 0, max: 6 }));
const changes = fc.array(fc.record({ range: ranges, adds: fc.boolean() }), { maxLength: 30 });

function numbers(set: NumberSet): Set<number> {
  const all = new Set<number>();
  for (const [from, to] of set) for (let n = from; n <= to; n += 1) all.add(n);
  return all;
}

/** Sorted, disjoint, and with a number missing between any two ranges. */
function expectCanonical(set: NumberSet): void {
  for (const [index, [from, to]] of set.entries()) {
    expect(from).toBeLessThanOrEqual(to);
    if (index > 0) expect(from).toBeGreaterThan(set[index - 1]![1] + 1);
  }
}

function build(list: { range: [number, number]; adds: boolean }[]): [NumberSet, Set<number>] {
  let set: NumberSet = emptySet;
  const model = new Set<number>();
  for (const { range, adds } of list) {
    const [from, to] = [range[0], range[0] + range[1]];
    set = adds ? addRange(set, from, to) : subtractRange(set, from, to);
    for (let n = from; n <= to; n += 1) adds ? model.add(n) : model.delete(n);
    expectCanonical(set);
  }
  return [set, model];
}

describe('number sets', () => {
  it('do what a plain set does', () => {
    fc.assert(
      fc.property(changes, changes, ranges, (list, others, [from, length]) => {
        const [set, model] = build(list);
        const [other, otherModel] = build(others);
        expect(numbers(set)).toEqual(model);
        expect(countNumbers(set)).toBe(model.size);
        for (let n = -8; n < 50; n += 1) expect(hasNumber(set, n)).toBe(model.has(n));
        expect(numbers(union(set, other))).toEqual(new Set([...model, ...otherModel]));
        expectCanonical(union(set, other));
        const to = from + length;
        const asked = new Set(Array.from({ length: length + 1 }, (_, index) => from + index));
        expect(numbers(overlap(set, from, to))).toEqual(
          new Set([...asked].filter((n) => model.has(n))),
        );
        expect(numbers(absent(set, from, to))).toEqual(
          new Set([...asked].filter((n) => !model.has(n))),
        );
        const sorted = [...model].sort((a, b) => a - b);
        expect(highest(set)).toBe(sorted.at(-1) ?? null);
        const gap = sorted.findIndex((n, index) => index > 0 && n !== sorted[index - 1]! + 1);
        expect(contiguous(set)).toBe((gap < 0 ? sorted.at(-1) : sorted[gap - 1]) ?? null);
      }),
      { numRuns: 300 },
    );
  });

  it('name the numbers missing between the lowest and the highest, up to a bound', () => {
    fc.assert(
      fc.property(changes, fc.integer({ min: 0, max: 4 }), (list, limit) => {
        const [set, model] = build(list);
        const sorted = [...model].sort((a, b) => a - b);
        const gaps = new Set<number>();
        for (let n = sorted[0] ?? 0; n < (sorted.at(-1) ?? 0); n += 1) {
          if (!model.has(n)) gaps.add(n);
        }
        expect(numbers(missing(set, 1000))).toEqual(gaps);
        expect(missing(set, limit)).toEqual(missing(set, 1000).slice(0, limit));
      }),
      { numRuns: 200 },
    );
  });

  it('come back from their PostgreSQL text', () => {
    fc.assert(
      fc.property(changes, (list) => {
        const [set] = build(list);
        expect(parseMultirange(printMultirange(set))).toEqual(set);
      }),
    );
    expect(
      printMultirange([
        [1, 4],
        [7, 7],
      ]),
    ).toBe('{[1,5),[7,8)}');
    expect(parseMultirange('{[1,4], (6,8) , empty, [9,9)}')).toEqual([
      [1, 4],
      [7, 7],
    ]);
    expect(parseMultirange('{}')).toEqual([]);
    expect(parseMultirange('{[5,6),[1,5)}')).toEqual([[1, 5]]);
  });

  it.each([
    '',
    '[1,2)',
    '{[1,)}',
    '{(,4)}',
    '{1,2}',
    '{[1,2)x}',
    '{[1.5,2)}',
    '{[1,9007199254740994)}',
  ])('refuse %s', (text) => {
    expect(() => parseMultirange(text)).toThrow(RangeError);
  });

  it('refuse ranges that are out of order or not whole', () => {
    expect(() => addRange([], 2, 1)).toThrow(RangeError);
    expect(() => subtractRange([], 0.5, 1)).toThrow(RangeError);
    expect(() => absent([], 0, 2 ** 53)).toThrow(RangeError);
  });
});
