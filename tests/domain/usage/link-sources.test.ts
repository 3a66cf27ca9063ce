import { describe, expect, it } from 'vitest';
import {
  type Candidate,
  deviceCandidates,
  firstDifference,
  linkSources,
  type SourceChoice,
} from '../../../src/domain/usage/link-sources.ts';

const meter = 'pto_hours';
const device = (
  lineId: number,
  fromMs: number,
  toMs: number | null,
  order = lineId,
): Candidate => ({
  meter,
  lineId,
  fromMs,
  toMs,
  rank: 'device',
  order,
});
const hand = (lineId: number, fromMs: number, toMs: number | null): Candidate => ({
  ...device(lineId, fromMs, toMs),
  rank: 'hand',
});
const choice = (lineId: number, fromMs: number, toMs: number | null): SourceChoice => ({
  choiceId: `choice of ${lineId}`,
  meter,
  lineId,
  fromMs,
  toMs,
});
/** `line:from-to`, with `!` where a person chose. */
const linked = (candidates: Candidate[], choices: SourceChoice[] = []) =>
  linkSources([meter], candidates, choices).map(
    (s) => `${s.lineId}:${s.fromMs}-${s.toMs ?? ''}${s.choiceId === null ? '' : '!'}`,
  );

describe('which line counts', () => {
  it('is the one declared first, and it goes on while it is there', () => {
    expect(linked([device(2, 0, null), device(1, 0, null)])).toEqual(['1:0-']);
    expect(linked([device(2, 0, null), device(1, 5, null)])).toEqual(['2:0-']);
    expect(linked([device(2, 0, 10), device(1, 5, 8)])).toEqual(['2:0-10']);
    expect(linked([device(1, 0, 5), device(2, 0, null)])).toEqual(['1:0-5', '2:5-']);
    // nobody counted from 5 to 7, so it begins anew
    expect(linked([device(2, 0, 5), device(2, 7, null), device(1, 7, null)])).toEqual([
      '2:0-5',
      '1:7-',
    ]);
  });

  it('is a device before readings by hand, whoever came first', () => {
    expect(linked([hand(1, 0, null), device(2, 5, 9)])).toEqual(['1:0-5', '2:5-9', '1:9-']);
    expect(linked([device(2, 0, 5), hand(1, 3, null)])).toEqual(['2:0-5', '1:5-']);
  });

  it('is what a person chose while that is there, and then what the rule says', () => {
    const both = [device(1, 0, null), device(2, 2, 8)];
    expect(linked(both, [choice(2, 3, 6)])).toEqual(['1:0-3', '2:3-6!', '1:6-']);
    // not before it came, nor after it left
    expect(linked(both, [choice(2, 0, null)])).toEqual(['1:0-2', '2:2-8!', '1:8-']);
    expect(linked(both, [choice(3, 0, null)])).toEqual(['1:0-']);
    // a choice of the one that counts anyway is shown as one
    expect(linked(both, [choice(1, 4, 5)])).toEqual(['1:0-4', '1:4-5!', '1:5-']);
    expect(linked([device(1, 0, null), hand(2, 0, null)], [choice(2, 4, 6)])).toEqual([
      '1:0-4',
      '2:4-6!',
      '1:6-',
    ]);
  });

  it('is the later choice where two overlap', () => {
    const three = [device(1, 0, null), device(2, 0, null), device(3, 0, null)];
    expect(linked(three, [choice(2, 2, 9), choice(3, 4, 6)])).toEqual([
      '1:0-2',
      '2:2-4!',
      '3:4-6!',
      '2:6-9!',
      '1:9-',
    ]);
  });
});

describe('a device counts', () => {
  const counters = [
    { gatewayId: 'g', meter, lineId: 1, counterId: 11 },
    { gatewayId: 'g', meter: 'engine_hours', lineId: 2, counterId: 12 },
    { gatewayId: 'h', meter, lineId: 3, counterId: 13 },
  ];
  it('for the asset of its meter while both are on one unit', () => {
    const asset = [
      { unitId: 'a', fromMs: 0, toMs: 10 },
      { unitId: 'b', fromMs: 10, toMs: null },
    ];
    const gateways = [
      { gatewayId: 'g', unitId: 'a', fromMs: 4, toMs: 12 },
      { gatewayId: 'h', unitId: 'b', fromMs: 0, toMs: null },
      { gatewayId: 'h', unitId: 'a', fromMs: 10, toMs: null },
    ];
    const found = deviceCandidates([meter], asset, gateways, counters);
    expect(found).toEqual([device(1, 4, 10, 11), device(3, 10, null, 13)]);
  });
});

describe('where two lists of periods part', () => {
  it.each([
    ['nowhere', [[0, 5]], [[0, 5]], null],
    [
      'nowhere, cut otherwise',
      [[0, 5]],
      [
        [0, 2],
        [2, 5],
      ],
      null,
    ],
    ['at an end', [[0, 5]], [[0, null]], 5],
    ['at a start', [[3, 5]], [[1, 5]], 1],
    [
      'at a hole',
      [[0, null]],
      [
        [0, 4],
        [6, null],
      ],
      4,
    ],
    ['from the beginning', [], [[2, 3]], 2],
  ] as [string, [number, number | null][], [number, number | null][], number | null][])(
    '%s',
    (_, a, b, at) => {
      const periods = (list: [number, number | null][]) =>
        list.map(([fromMs, toMs]) => ({ fromMs, toMs }));
      expect(firstDifference(periods(a), periods(b))).toBe(at);
      expect(firstDifference(periods(b), periods(a))).toBe(at);
    },
  );
});
