import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  type EngagedTotal,
  type EngagementSample,
  integrateEngagement,
} from '../../src/domain/usage/engagement.ts';
import {
  engagementRules,
  type FramePlace,
  type Sample,
  settledRangesMost,
  takeSamples,
  totalRules,
} from '../../src/domain/usage/frame-readings.ts';
import { hearFrames } from '../../src/domain/usage/frame-samples.ts';
import { emptySet } from '../../src/domain/usage/number-set.ts';

const tickMs = 180_000;
const rules = totalRules(tickMs);
const nowhere: FramePlace = { tail: null, settled: emptySet };

/** Samples of a counter as a vehicle says it: mostly still, often one more, now and then a jump. */
const history = fc
  .array(
    fc.record({
      afterMs: fc.oneof(fc.constant(1), fc.integer({ min: 1, max: 2 * tickMs }), fc.constant(3e9)),
      rise: fc.oneof(
        { weight: 4, arbitrary: fc.constant(0) },
        { weight: 3, arbitrary: fc.constant(1) },
        { weight: 1, arbitrary: fc.integer({ min: 2, max: 500 }) },
        { weight: 1, arbitrary: fc.constant(-30) },
      ),
    }),
    { minLength: 1, maxLength: 60 },
  )
  .map((steps) => {
    let atMs = 1_700_000_000_000;
    let raw = 10_000;
    return steps.map(({ afterMs, rise }): Sample => {
      atMs += afterMs;
      raw += rise;
      return { atMs, raw };
    });
  });
const cuts = fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 8 });

function cutAt<T>(samples: readonly T[], places: readonly number[]): T[][] {
  const edges = [0, ...places.toSorted((a, b) => a - b), samples.length];
  return edges.slice(1).map((to, i) => samples.slice(edges[i], to));
}

interface Stored extends Sample {
  seq: number;
}

/** Takes batches one after the other; answers where it stands and all that was stored. */
function takeAll(batches: readonly (readonly Sample[])[], from: FramePlace = nowhere) {
  let place = from;
  const stored: Stored[] = [];
  for (const batch of batches) {
    const taken = takeSamples(place, batch, rules);
    for (const run of taken.runs) {
      for (const [i, each] of run.samples.entries()) {
        stored.push({ ...each, seq: run.firstSeq + i });
      }
    }
    const { accepted, unchanged, duplicate, late } = taken;
    expect(accepted + unchanged + duplicate + late).toBe(batch.length);
    place = { tail: taken.tail, settled: taken.settled };
  }
  return { place, stored };
}

const sampleOf = ({ atMs, raw }: Sample) => ({ atMs, raw });

test('however the samples are cut into posts, the same readings are stored', () => {
  fc.assert(
    fc.property(history, cuts, (samples, places) => {
      const whole = takeAll([samples]);
      const cut = takeAll(cutAt(samples, places));
      expect(cut.stored.map(sampleOf)).toEqual(whole.stored.map(sampleOf));
      expect(cut.place.tail).toEqual(whole.place.tail);
    }),
  );
});

test('what was sent stores nothing when it is sent again, whatever part of it', () => {
  fc.assert(
    fc.property(history, cuts, cuts, (samples, places, others) => {
      const { place } = takeAll(cutAt(samples, places));
      const again = takeAll(cutAt(samples, others), place);
      expect(again.stored).toEqual([]);
      expect(again.place).toEqual(place);
    }),
  );
});

test('in any order of posts: no number twice, numbers in order of time, values true', () => {
  const shuffled = fc.tuple(history, cuts).chain(([samples, places]) => {
    const batches = cutAt(samples, places).filter((batch) => batch.length > 0);
    const order = fc.shuffledSubarray(batches, { minLength: batches.length });
    return fc.tuple(fc.constant(samples), order);
  });
  fc.assert(
    fc.property(shuffled, ([samples, batches]) => {
      const { stored, place } = takeAll([...batches, ...batches]);
      const byNumber = stored.toSorted((a, b) => a.seq - b.seq);
      for (const [i, each] of byNumber.entries()) {
        const next = byNumber[i + 1];
        if (next) expect(next.seq).toBeGreaterThan(each.seq);
        if (next) expect(next.atMs).toBeGreaterThan(each.atMs);
        expect(each.seq).toBeLessThanOrEqual(each.atMs);
      }
      const said = new Map(samples.map(({ atMs, raw }) => [atMs, raw]));
      for (const { atMs, raw } of stored) expect(said.get(atMs)).toBe(raw);
      expect(place.settled.length).toBeLessThanOrEqual(settledRangesMost);
      // the newest value always stands
      expect(place.tail).toMatchObject({ raw: samples.at(-1)!.raw, untilMs: samples.at(-1)!.atMs });
    }),
  );
});

test('every change is kept, and the end of a long stand before it', () => {
  fc.assert(
    fc.property(history, (samples) => {
      const kept = new Set(takeAll([samples]).stored.map(({ atMs }) => atMs));
      for (const [i, { atMs, raw }] of samples.entries()) {
        const before = samples[i - 1];
        if (before === undefined || before.raw !== raw) expect(kept.has(atMs)).toBe(true);
      }
      expect(kept.size).toBeLessThanOrEqual(samples.length);
    }),
  );
});

test('the set of settled times stays small, however much was missed', () => {
  const jumps = Array.from({ length: 3 * settledRangesMost }, (_, i) => ({
    atMs: 1_700_000_000_000 + i * 600_000,
    raw: i * 5,
  }));
  const { place, stored } = takeAll(jumps.map((each) => [each]));
  expect(place.settled.length).toBe(settledRangesMost);
  expect(stored).toHaveLength(jumps.length);
});

test('the numbers of a post that said nothing new: not even the set of times changes', () => {
  const still = (from: number) =>
    Array.from({ length: 60 }, (_, i) => ({ atMs: from + i * 1000, raw: 7 }));
  const first = takeSamples(nowhere, still(1_700_000_000_000), rules);
  const taken = takeSamples(first, still(1_700_000_060_000), rules);
  expect(taken.runs).toEqual([]);
  expect(taken.settled).toBe(first.settled);
  expect(taken).toMatchObject({ accepted: 0, unchanged: 60, tail: { untilMs: 1_700_000_119_000 } });
});

test('integrated: what lies in a time that nobody saw is late, whatever comes after it', () => {
  const engaged = engagementRules(36_000);
  const beginMs = 1_700_000_000_000;
  let place = nowhere;
  for (const [seconds, raw] of [
    [0, 0],
    [5, 0],
    [200, 0],
    [210, 1],
  ] as const) {
    place = takeSamples(place, [{ atMs: beginMs + seconds * 1000, raw }], engaged);
  }
  const again = [3, 100, 205].map((seconds) => ({ atMs: beginMs + seconds * 1000, raw: 0 }));
  expect(takeSamples(place, again, engaged)).toMatchObject({ duplicate: 2, late: 1, runs: [] });
});

test('of two frames in one millisecond the last one written stands', () => {
  const frame = (atMs: number, hex: string) => ({ line: 1, atMs, id: 0x18fee700, hex });
  const { heard } = hearFrames([
    frame(5, 'FFFFFFFF02000000'),
    frame(4, 'FFFFFFFF01000000'),
    frame(5, 'FFFFFFFF03000000'),
  ]);
  const pto = heard.find(({ spn }) => spn === 248)?.samples.map(({ atMs, raw }) => [atMs, raw]);
  expect(pto).toEqual([
    [4, 1],
    [5, 3],
  ]);
});

const states = fc.array(
  fc.record({
    afterMs: fc.oneof(fc.integer({ min: 1, max: 70_000 }), fc.constant(60_000)),
    engaged: fc.oneof(fc.boolean(), fc.constant(null)),
  }),
  { maxLength: 60 },
);

test('engagement: cut anywhere it is the same, and the sum of what each pair gives', () => {
  fc.assert(
    fc.property(states, cuts, (steps, places) => {
      let atMs = 0;
      const samples = steps.map(({ afterMs, engaged }): EngagementSample => {
        atMs += afterMs;
        return { atMs, engaged };
      });
      const whole = integrateEngagement(null, samples);
      let state = null as typeof whole.state;
      const totals: EngagedTotal[] = [];
      for (const part of cutAt(samples, places)) {
        const next = integrateEngagement(state, part);
        state = next.state;
        totals.push(...next.totals);
      }
      expect(state).toEqual(whole.state);
      expect(totals).toEqual(whole.totals);
      // by hand: every pair of neighbours on its own
      let expected = 0;
      for (const [i, { engaged, atMs: to }] of samples.entries()) {
        const before = samples[i - 1];
        const short = before !== undefined && to - before.atMs <= 60_000;
        if (short && before.engaged === true && engaged !== null) expected += to - before.atMs;
      }
      expect(whole.state?.totalMs ?? 0).toBe(expected);
    }),
  );
});
