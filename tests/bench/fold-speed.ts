import { type LineContext, LineFold } from '../../src/domain/usage/fold-line.ts';
import { defaultJitterSteps, earliestReadingMs } from '../../src/domain/usage/fold-rules.ts';
import type { Run } from '../../src/domain/usage/run.ts';
import { attributeBy } from '../../src/domain/usage/split.ts';
import { median } from './statistics.ts';

const dayMs = 86_400_000;
const startMs = 1_640_995_200_000;
const tickMs = 180_000;

/** A small generator of our own: the same readings in every run. */
function dice(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/**
 * Runs of an hour counter read once a minute: the PTO turns for part of the working day, so that
 * most readings rise by nothing; posts of 1 to 60 readings, now and then a backlog of 2,000; one
 * reading in 1,000 is a step of jitter, one in 5,000 a spike, one run in 300 has a fast clock.
 */
export function realisticRuns(readings: number): Run[] {
  const roll = dice(7);
  const runs: Run[] = [];
  let ticks = 40_000 * tickMs;
  let atMs = startMs;
  for (let seq = 0; seq < readings; ) {
    const wanted = roll(200) === 0 ? 2_000 : 1 + roll(60);
    const length = Math.min(readings - seq, wanted);
    const at = new Float64Array(length);
    const raw = new Float64Array(length);
    for (let i = 0; i < length; i += 1) {
      const stepMs = 59_000 + roll(2_000);
      atMs += stepMs;
      const works = atMs % dayMs > dayMs / 2 && Math.floor(atMs / 1_200_000) % 3 === 0;
      if (works) ticks += stepMs;
      at[i] = atMs;
      const value = Math.floor(ticks / tickMs);
      raw[i] = roll(5_000) === 0 ? value + 9_000 : roll(1_000) === 0 ? value - 1 : value;
    }
    const offsetMs = roll(300) === 0 ? 600_000 : 0;
    if (offsetMs > 0) for (let i = 0; i < length; i += 1) at[i]! += offsetMs;
    const receivedAtMs = atMs + 2_000;
    runs.push({ ordinal: 0, cause: 'first', firstSeq: seq, at, raw, receivedAtMs, offsetMs });
    seq += length;
  }
  return runs;
}

/** A line that counts for one lift after another, on a yard that moved to another zone. */
export function realisticContext(): LineContext {
  const calendar = [
    { fromMs: 0, timeZone: 'America/Chicago' },
    { fromMs: startMs + 400 * dayMs, timeZone: 'America/Denver' },
  ];
  const movedMs = startMs + 200 * dayMs;
  return {
    rules: {
      grainsPerTick: 180,
      minMsPerTick: tickMs,
      widthBits: 32,
      jitterSteps: defaultJitterSteps,
      earliestMs: earliestReadingMs,
    },
    dated: [],
    attribute: attributeBy([
      { fromMs: 0, toMs: movedMs, assetId: 'a', calendar },
      { fromMs: movedMs, toMs: null, assetId: 'b', calendar },
    ]),
  };
}

const from = { ordinal: -1, seq: -1 };
const until = { ordinal: Number.MAX_SAFE_INTEGER, seq: 0 };

/** The dearest ordinary case: every reading came alone, and every one is a rise. */
function singleRises(readings: number): Run[] {
  return Array.from({ length: readings }, (_, seq) => {
    const atMs = startMs + seq * tickMs;
    const at = Float64Array.of(atMs);
    const raw = Float64Array.of(1_000 + seq);
    const receivedAtMs = atMs + 2_000;
    return { ordinal: 0, cause: 'first', firstSeq: seq, at, raw, receivedAtMs, offsetMs: 0 };
  });
}

/** The same after they were joined: one run a day, each reading with its own time of arrival. */
function joinedRises(readings: number): Run[] {
  const singles = singleRises(readings);
  const perDay = dayMs / tickMs;
  return Array.from({ length: Math.ceil(readings / perDay) }, (_, day) => {
    const own = singles.slice(day * perDay, (day + 1) * perDay);
    return {
      ...own[0]!,
      at: Float64Array.from(own, ({ at }) => at[0]!),
      raw: Float64Array.from(own, ({ raw }) => raw[0]!),
      arrivals: Float64Array.from(own, ({ receivedAtMs }) => receivedAtMs),
    };
  });
}

function ratesOf(runs: readonly Run[], readings: number, times: number): number[] {
  const context = realisticContext();
  const rates: number[] = [];
  for (let i = -1; i < times; i += 1) {
    const line = new LineFold(context, [], { from, until });
    const begun = performance.now();
    for (const run of runs) line.push(run);
    const { segments } = line.finish();
    const tookS = (performance.now() - begun) / 1000;
    if (segments.reduce((sum, each) => sum + each.readings, 0) !== readings) {
      throw new Error('the fold left readings out');
    }
    // The first round warms up.
    if (i >= 0) rates.push(readings / tookS);
  }
  return rates;
}

export interface FoldFigures {
  fold_readings_per_s: number;
  fold_single_rises_per_s: number;
  fold_joined_rises_per_s: number;
}

/** Readings a second that the pure fold takes in one thread, with segments, days and verdicts. */
export function foldSpeed(readings: number, times: number): FoldFigures {
  const few = readings / 4;
  return {
    fold_readings_per_s: Math.round(median(ratesOf(realisticRuns(readings), readings, times))),
    fold_single_rises_per_s: Math.round(median(ratesOf(singleRises(few), few, times))),
    fold_joined_rises_per_s: Math.round(median(ratesOf(joinedRises(few), few, times))),
  };
}
