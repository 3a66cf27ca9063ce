/** Generated counters: honest ones, whose truth is known, and readings that may be anything. */
import fc from 'fast-check';
import { earliestReadingMs, type FoldRules } from '../../../src/domain/usage/fold-rules.ts';
import { type Run, type StreamCause, streamCauses } from '../../../src/domain/usage/run.ts';

export const historyStartMs = Date.parse('2026-03-05T00:00:00Z');

/** What happens before one reading of an honest counter, and to it. */
interface Happening {
  readonly waitMs: number;
  /** Share of the wait that the counter ran at full speed, in hundredths. */
  readonly busy: number;
  readonly fate:
    | { readonly kind: 'read' | 'miss' | 'reset' | 'zero' }
    | { readonly kind: 'jitter'; readonly down: number }
    | { readonly kind: 'spike'; readonly raw: number }
    | { readonly kind: 'epoch'; readonly cause: StreamCause; readonly raw: number };
}

export interface History {
  readonly rules: FoldRules;
  readonly readings: readonly Run[];
  /** Ticks that really ran from the first reading that is there to the last. */
  readonly trueTicks: number;
}

const waitMs = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: 0, max: 20 * 60_000 }) },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 40 * 3_600_000 }) },
);
const plain = fc.constantFrom({ kind: 'read' as const }, { kind: 'miss' as const });

function fates(widthBits: number) {
  const raw = fc.integer({ min: 0, max: 2 ** widthBits - 1 });
  return fc.oneof(
    { weight: 12, arbitrary: plain },
    {
      weight: 1,
      arbitrary: fc.constantFrom({ kind: 'reset' as const }, { kind: 'zero' as const }),
    },
    {
      weight: 1,
      arbitrary: fc.record({
        kind: fc.constant('jitter' as const),
        down: fc.integer({ min: 1, max: 3 }),
      }),
    },
    { weight: 1, arbitrary: fc.record({ kind: fc.constant('spike' as const), raw }) },
    {
      weight: 1,
      arbitrary: fc.record({
        kind: fc.constant('epoch' as const),
        cause: fc.constantFrom(...streamCauses),
        raw,
      }),
    },
  );
}

export function foldRules(widthBits: number): fc.Arbitrary<FoldRules> {
  return fc.constantFrom(1_000, 12_000, 180_000).map((minMsPerTick) => ({
    grainsPerTick: 180,
    minMsPerTick,
    widthBits,
    jitterSteps: 3,
    earliestMs: earliestReadingMs,
  }));
}

/**
 * Counters with true clocks that are reset, wrap, tremble, go mad for a moment and miss numbers.
 */
export function honestHistories(maxLength = 60): fc.Arbitrary<History> {
  return fc.constantFrom(8, 10, 16, 32).chain((widthBits) => {
    const happening = fc.record({
      waitMs,
      busy: fc.constantFrom(0, 0, 30, 100),
      fate: fates(widthBits),
    });
    return fc
      .tuple(
        foldRules(widthBits),
        fc.integer({ min: 0, max: 2 ** widthBits - 1 }),
        fc.array(happening, { minLength: 1, maxLength, size: 'max' }),
      )
      .map(([rules, firstRaw, happenings]) => runCounter(rules, firstRaw, happenings));
  });
}

/**
 * Counters that only run, miss numbers and wrap, read often enough that no wrap can be overlooked.
 */
export function soundHistories(): fc.Arbitrary<History> {
  return fc.constantFrom(10, 16, 32).chain((widthBits) =>
    foldRules(widthBits).chain((rules) => {
      const longestMs = Math.min(3_600_000, (2 ** widthBits / 40) * rules.minMsPerTick);
      const happening = fc.record({
        waitMs: fc.integer({ min: 0, max: Math.floor(longestMs) }),
        busy: fc.constantFrom(0, 50, 100),
        fate: fc.constantFrom(
          { kind: 'read' as const },
          { kind: 'read' as const },
          { kind: 'miss' as const },
        ),
      });
      return fc
        .tuple(
          fc.integer({ min: 0, max: 2 ** widthBits - 1 }),
          fc.array(happening, { minLength: 1, maxLength: 200, size: 'max' }),
        )
        .map(([firstRaw, happenings]) => {
          // Never two numbers missing in a row, so that a fortieth of the width twice is the
          // longest step.
          const seen = happenings.map((each, index) =>
            happenings[index - 1]?.fate.kind === 'miss'
              ? { ...each, fate: { kind: 'read' as const } }
              : each,
          );
          return runCounter(rules, firstRaw, seen);
        });
    }),
  );
}

function runCounter(rules: FoldRules, firstRaw: number, happenings: readonly Happening[]): History {
  const wrap = 2 ** rules.widthBits;
  const readings: Run[] = [];
  let atMs = historyStartMs;
  let ranMs = 0;
  /** The counter shows `offset` plus the ticks that ran. */
  let offset = firstRaw;
  let ordinal = 0;
  let seq = 0;
  let cause: StreamCause = 'first';
  let firstTicks: number | null = null;
  let lastTicks = 0;
  for (const { waitMs, busy, fate } of happenings) {
    atMs += waitMs;
    const before = Math.floor(ranMs / rules.minMsPerTick);
    ranMs += Math.floor((waitMs * busy) / 100);
    const ticks = Math.floor(ranMs / rules.minMsPerTick);
    if (fate.kind === 'reset' || (fate.kind === 'epoch' && fate.cause === 'counter_reset')) {
      offset = -before;
    }
    if (fate.kind === 'epoch') {
      ordinal += 1;
      seq = 0;
      cause = fate.cause;
      if (fate.cause === 'controller_replaced') offset = fate.raw - ticks;
    }
    const shown = (((offset + ticks) % wrap) + wrap) % wrap;
    let raw = shown;
    if (fate.kind === 'jitter') raw = Math.max(0, shown - fate.down);
    if (fate.kind === 'spike') raw = fate.raw;
    if (fate.kind === 'zero') raw = 0;
    if (fate.kind !== 'miss') {
      readings.push({
        ordinal,
        cause,
        firstSeq: seq,
        at: [atMs],
        raw: [raw],
        receivedAtMs: atMs,
        offsetMs: 0,
      });
      firstTicks ??= ticks;
      lastTicks = ticks;
    }
    seq += 1;
  }
  return { rules, readings, trueTicks: lastTicks - (firstTicks ?? 0) };
}

/** Readings of which nothing is sound: times, values, epochs and proven offsets of any kind. */
export function wildReadings(): fc.Arbitrary<{ rules: FoldRules; readings: Run[] }> {
  return fc.constantFrom(8, 16, 64).chain((widthBits) => {
    const raw = fc.oneof(
      fc.integer({ min: 0, max: 60 }),
      fc.integer({ min: 0, max: 255 }),
      fc.integer({ min: 0, max: 2 ** Math.min(53, widthBits) - 1 }),
    );
    const stepMs = fc.oneof(
      { weight: 5, arbitrary: fc.integer({ min: 0, max: 1_800_000 }) },
      { weight: 1, arbitrary: fc.integer({ min: -7_200_000, max: 90_000_000 }) },
      { weight: 1, arbitrary: fc.constantFrom(-historyStartMs, 4e12) },
    );
    const reading = fc.record({
      stepMs,
      raw,
      lateMs: fc.constantFrom(0, 0, 60_000, 86_400_000),
      offsetMs: fc.constantFrom(0, 0, 0, 3_600_000),
      missing: fc.constantFrom(0, 0, 0, 2),
      epoch: fc.option(fc.constantFrom(...streamCauses), { freq: 9 }),
    });
    return fc
      .tuple(foldRules(widthBits), fc.array(reading, { maxLength: 60, size: 'max' }))
      .map(([rules, wild]) => {
        const readings: Run[] = [];
        let trueMs = historyStartMs;
        let ordinal = 0;
        let seq = 0;
        let cause: StreamCause = 'first';
        for (const each of wild) {
          if (each.epoch !== null) {
            ordinal += 1;
            seq = 0;
            cause = each.epoch;
          }
          seq += each.missing;
          const isSound = each.stepMs >= 0 && each.stepMs < 1e9;
          if (isSound) trueMs += each.stepMs;
          const at = (isSound ? trueMs : Math.max(0, trueMs + each.stepMs)) + each.offsetMs;
          readings.push({
            ordinal,
            cause,
            firstSeq: seq,
            at: [at],
            raw: [each.raw],
            receivedAtMs: trueMs + each.lateMs,
            offsetMs: each.offsetMs,
          });
          seq += 1;
        }
        return { rules, readings };
      });
  });
}
