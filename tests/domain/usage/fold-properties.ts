/**
 * What must hold of the fold whatever it is given; run a little on every commit and long before a
 * release.
 */
import fc from 'fast-check';
import { expect } from 'vitest';
import { fold, settle } from '../../../src/domain/usage/fold.ts';
import type { LineContext } from '../../../src/domain/usage/fold-line.ts';
import { foldLine } from '../../../src/domain/usage/fold-line.ts';
import type { FoldRules } from '../../../src/domain/usage/fold-rules.ts';
import { emptyFoldState, type FoldState, sameState } from '../../../src/domain/usage/fold-state.ts';
import type { Run } from '../../../src/domain/usage/run.ts';
import { openVerdicts, verdictsInForce } from '../../../src/domain/usage/segment.ts';
import { attributeBy } from '../../../src/domain/usage/split.ts';
import type { FoldVerdict } from '../../../src/domain/usage/verdict.ts';
import {
  type History,
  historyStartMs,
  honestHistories,
  soundHistories,
  wildReadings,
} from './fold-history.ts';
import { joinRuns, LineStore } from './line-store.ts';

interface Increment {
  readonly fromMs: number;
  readonly toMs: number;
  readonly grains: number;
  /** Rises since the same base share a number. */
  readonly base: number;
}

interface Told {
  readonly increments: Increment[];
  /** Position to the verdict last said of it. */
  readonly verdicts: Map<string, FoldVerdict>;
  readonly log: unknown[];
  state: FoldState;
}

function tellAll(rules: FoldRules, runs: readonly Run[]): Told {
  const told: Told = { increments: [], verdicts: new Map(), log: [], state: emptyFoldState };
  let base = 0;
  for (const run of runs) {
    told.state = fold(told.state, run, rules, {
      increment: (fromMs, toMs, grains, ordinal, seq) => {
        told.increments.push({ fromMs, toMs, grains, base });
        told.log.push([fromMs, toMs, grains, ordinal, seq]);
      },
      verdict: (ordinal, seq, verdict, atMs, raw, detail) => {
        if (verdict === 'baseline' || verdict === 'rebase') base += 1;
        told.verdicts.set(`${ordinal}/${seq}`, verdict);
        told.log.push([ordinal, seq, verdict, atMs, raw, detail]);
      },
    });
  }
  return told;
}

/** Never backwards, and between any two moments never more than the clock and one step allow. */
function expectWithinTheClock(rules: FoldRules, increments: readonly Increment[]): void {
  for (const [start, first] of increments.entries()) {
    expect(first.grains).toBeGreaterThan(0);
    expect(Number.isSafeInteger(first.grains)).toBe(true);
    expect(first.toMs).toBeGreaterThanOrEqual(first.fromMs);
    let ticks = 0;
    let fromMs = first.fromMs;
    let toMs = first.toMs;
    for (let i = start; i < increments.length && increments[i]!.base === first.base; i += 1) {
      const each = increments[i]!;
      ticks += each.grains / rules.grainsPerTick;
      fromMs = Math.min(fromMs, each.fromMs);
      toMs = Math.max(toMs, each.toMs);
      if (ticks * rules.minMsPerTick > toMs - fromMs + rules.minMsPerTick) {
        expect.fail(`${ticks} ticks in ${toMs - fromMs} ms`);
      }
    }
  }
}

function contextOf(rules: FoldRules): LineContext {
  const calendar = [
    { fromMs: 0, timeZone: 'America/Chicago' },
    { fromMs: historyStartMs + 5 * 86_400_000, timeZone: 'America/New_York' },
  ];
  const changeMs = historyStartMs + 3 * 86_400_000 + 3_600_001;
  return {
    rules,
    dated: [
      {
        fromMs: historyStartMs + 6 * 86_400_000,
        minMsPerTick: Math.ceil(rules.minMsPerTick / 2),
        jitterSteps: 2,
      },
    ],
    attribute: attributeBy([
      { fromMs: 0, toMs: changeMs, assetId: 'old lift', calendar },
      { fromMs: changeMs, toMs: null, assetId: 'new lift', calendar },
    ]),
  };
}

/** How readings may come: in any order, some twice, in batches, cut into runs of any size. */
const deliveries = fc.record({
  order: fc.array(fc.nat(), { minLength: 1, maxLength: 60, size: 'max' }),
  batches: fc.array(fc.integer({ min: 1, max: 15 }), { minLength: 1, maxLength: 8 }),
  sizes: fc.array(fc.integer({ min: 1, max: 20 }), { minLength: 1, maxLength: 4 }),
  twice: fc.integer({ min: 2, max: 9 }),
});
type Delivery = typeof deliveries extends fc.Arbitrary<infer T> ? T : never;

function deliver(store: LineStore, readings: readonly Run[], how: Delivery, late: number): void {
  const keyed = readings.map((reading, index) => {
    const key = how.order[index % how.order.length]! + index * (how.order[0]! % 7);
    return { key, reading };
  });
  const shuffled = keyed.sort((a, b) => a.key - b.key).map(({ reading }) => reading);
  const twice = shuffled.flatMap((each, index) =>
    index % how.twice === 0 ? [each, readings[(index * 7) % readings.length]!] : [each],
  );
  const all = [...twice, ...shuffled];
  for (let at = 0, batch = 0; at < all.length; batch += 1) {
    const size = how.batches[batch % how.batches.length]!;
    const part = all.slice(at, at + size).map((each) => ({
      ...each,
      receivedAtMs: each.receivedAtMs + late * (batch + 1),
    }));
    store.deliver(part, how.sizes);
    at += size;
  }
}

/** Order, grouping, repetition and lateness of honest readings change nothing. */
export function deliveryChangesNothing(numRuns: number, maxLength?: number): void {
  fc.assert(
    fc.property(honestHistories(maxLength), deliveries, ({ rules, readings }, how) => {
      const context = contextOf(rules);
      const store = new LineStore(context);
      deliver(store, readings, how, 1_000_000);
      expect(store.segments).toEqual(foldLine(context, null, joinRuns(readings, [1])));
    }),
    { numRuns },
  );
}

/** The same for readings of any kind, as long as each keeps the moment it arrived. */
export function deliveryOfWildReadingsChangesNothing(numRuns: number): void {
  fc.assert(
    fc.property(wildReadings(), deliveries, ({ rules, readings }, how) => {
      fc.pre(readings.length > 0);
      const context = contextOf(rules);
      const store = new LineStore(context);
      deliver(store, readings, how, 0);
      expect(store.segments).toEqual(foldLine(context, null, joinRuns(readings, [1])));
    }),
    { numRuns },
  );
}

/** Stopped after any reading, its state written down and read back, the fold goes on the same. */
export function foldGoesOnFromAnyState(numRuns: number): void {
  fc.assert(
    fc.property(wildReadings(), fc.nat(), ({ rules, readings }, cut) => {
      const at = cut % (readings.length + 1);
      const whole = tellAll(rules, joinRuns(readings));
      const first = tellAll(rules, joinRuns(readings.slice(0, at)));
      const read = JSON.parse(JSON.stringify(first.state)) as FoldState;
      expect(read).toEqual(first.state);
      expect(sameState(read, first.state)).toBe(true);
      const kept = JSON.stringify(read);
      const rest: unknown[] = [];
      let state = read;
      for (const run of joinRuns(readings.slice(at), [3, 1])) {
        state = fold(state, run, rules, {
          increment: (...told) => rest.push(told),
          verdict: (...told) => rest.push(told),
        });
      }
      expect(JSON.stringify(read)).toBe(kept);
      expect([...first.log, ...rest]).toEqual(whole.log);
      expect(state).toEqual(whole.state);
      // What may yet be taken back is known from the state alone.
      for (const open of openVerdicts(first.state)) {
        expect(first.verdicts.get(`${open.ordinal}/${open.seq}`)).toBe(open.verdict);
        expect(first.log).toContainEqual([
          open.ordinal,
          open.seq,
          open.verdict,
          open.atMs,
          open.raw,
          open.detail,
        ]);
      }
      const reopened = new Set(openVerdicts(first.state).map((o) => `${o.ordinal}/${o.seq}`));
      for (const [key, verdict] of whole.verdicts) {
        const before = first.verdicts.get(key);
        if (before !== undefined && before !== verdict && !reopened.has(key)) {
          expect.fail(`${key} was ${before}, became ${verdict}, and was not open`);
        }
      }
    }),
    { numRuns },
  );
}

/** Whatever comes in, use never falls, never outruns the clock, and the state stays small. */
export function useStaysWithinTheClock(numRuns: number): void {
  fc.assert(
    fc.property(wildReadings(), ({ rules, readings }) => {
      const { increments, state } = tellAll(rules, joinRuns(readings));
      expectWithinTheClock(rules, increments);
      expect(state.aside.length).toBeLessThanOrEqual(3);
      expect(state.creditMs).toBeGreaterThanOrEqual(0);
      expect(state.creditMs).toBeLessThanOrEqual(rules.minMsPerTick);
      const base = increments.at(-1)?.base ?? 0;
      const last = increments.filter((each) => each.base === base);
      settle(state, rules, {
        increment: (fromMs, toMs, grains) => last.push({ fromMs, toMs, grains, base }),
        verdict: () => expect.unreachable(),
      });
      expectWithinTheClock(rules, last);
    }),
    { numRuns },
  );
}

/**
 * A counter that only runs, wraps and misses numbers is counted exactly, with no verdict but its
 * wraps.
 */
export function soundCountersAreExact(numRuns: number): void {
  fc.assert(
    fc.property(soundHistories(), (history: History) => {
      const { rules, readings, trueTicks } = history;
      const { increments, verdicts } = tellAll(rules, joinRuns(readings));
      const grains = increments.reduce((sum, each) => sum + each.grains, 0);
      expect(grains).toBe(trueTicks * rules.grainsPerTick);
      for (const verdict of verdicts.values()) expect(['baseline', 'rollover']).toContain(verdict);
    }),
    { numRuns },
  );
}

/** The verdicts kept in segments are those of one long fold, and shares are its increments. */
export function segmentsKeepEverything(numRuns: number): void {
  fc.assert(
    fc.property(wildReadings(), ({ rules, readings }) => {
      const attribute = attributeBy([
        { fromMs: -1e15, toMs: null, assetId: 'lift', calendar: [{ fromMs: 0, timeZone: 'UTC' }] },
      ]);
      const segments = foldLine({ rules, dated: [], attribute }, null, joinRuns(readings));
      const { verdicts, increments, state } = tellAll(rules, joinRuns(readings));
      const kept = new Map<string, FoldVerdict>();
      for (const each of verdictsInForce(segments)) {
        for (let seq = each.seq; seq <= each.lastSeq; seq += 1) {
          kept.set(`${each.ordinal}/${seq}`, each.verdict);
        }
      }
      const remarkable = [...verdicts].filter(([, verdict]) => verdict !== 'accepted');
      expect(kept).toEqual(new Map(remarkable));
      const grains = segments.flatMap(({ shares }) => shares.map((share) => share.grains));
      const sum = (values: number[]) => values.reduce((total, each) => total + each, 0);
      expect(sum(grains)).toBe(sum(increments.map((each) => each.grains)));
      expect(sum(segments.map((each) => each.readings))).toBe(readings.length);
      if (readings.length > 0) expect(segments.at(-1)!.state).toEqual(state);
    }),
    { numRuns },
  );
}

/** The one running allowance says the same as comparing every pair of accepted readings. */
export function allowanceIsThatOfEveryPair(numRuns: number): void {
  const step = fc.record({
    ms: fc.integer({ min: 0, max: 400 }),
    ticks: fc.integer({ min: 0, max: 4 }),
  });
  fc.assert(
    fc.property(
      fc.array(step, { maxLength: 40, size: 'max' }),
      fc.integer({ min: 1, max: 200 }),
      (steps, ms) => {
        const rules = {
          grainsPerTick: 1,
          minMsPerTick: ms,
          widthBits: 32,
          jitterSteps: 3,
          earliestMs: 0,
        };
        const accepted = [{ at: historyStartMs, raw: 1000 }];
        let at = historyStartMs;
        let raw = 1000;
        let state = emptyFoldState;
        const quiet = { increment: () => {}, verdict: () => {} };
        const put = (seq: number) => {
          const run = { ordinal: 0, cause: 'first' as const, firstSeq: seq, at: [at], raw: [raw] };
          state = fold(state, { ...run, receivedAtMs: at, offsetMs: 0 }, rules, quiet);
        };
        put(0);
        for (const [index, each] of steps.entries()) {
          at += each.ms;
          raw += each.ticks;
          put(index + 1);
          const fits = accepted.every((one) => (raw - one.raw - 1) * ms <= at - one.at);
          expect(state.aside.length === 0).toBe(fits);
          if (!fits) return;
          accepted.push({ at, raw });
        }
      },
    ),
    { numRuns },
  );
}
