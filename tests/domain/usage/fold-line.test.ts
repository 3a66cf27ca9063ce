import { describe, expect, it } from 'vitest';
import {
  applyRefold,
  foldLine,
  type LineContext,
  refold,
  resumeFor,
} from '../../../src/domain/usage/fold-line.ts';
import { earliestReadingMs } from '../../../src/domain/usage/fold-rules.ts';
import type { Run } from '../../../src/domain/usage/run.ts';
import { runWithout, strongestCause } from '../../../src/domain/usage/run.ts';
import { maxVerdictsPerSegment, type Segment } from '../../../src/domain/usage/segment.ts';
import { attributeBy } from '../../../src/domain/usage/split.ts';

const startMs = Date.parse('2026-03-02T00:00:00Z');
const minute = 60_000;
const day = 1440 * minute;

const context: LineContext = {
  rules: {
    grainsPerTick: 180,
    minMsPerTick: 180_000,
    widthBits: 32,
    jitterSteps: 3,
    earliestMs: earliestReadingMs,
  },
  dated: [],
  attribute: attributeBy([
    { fromMs: 0, toMs: null, assetId: 'lift', calendar: [{ fromMs: 0, timeZone: 'UTC' }] },
  ]),
};

function run(firstSeq: number, at: number[], raw: number[], more: Partial<Run> = {}): Run {
  return {
    ordinal: 0,
    cause: 'first',
    firstSeq,
    at,
    raw,
    receivedAtMs: at.at(-1)!,
    offsetMs: 0,
    ...more,
  };
}

/** One reading an hour that rises by two ticks, for some days. */
function hourly(days: number): Run {
  const at = Array.from({ length: 24 * days }, (_, hour) => startMs + hour * 60 * minute);
  return run(
    0,
    at,
    at.map((_, hour) => 1000 + 2 * hour),
  );
}

const without = (seqs: number[]) =>
  runWithout(
    hourly(10),
    seqs.map((seq) => [seq, seq] as const),
  );

describe('segments', () => {
  it('are one for each UTC day, with the use of their own readings', () => {
    const segments = foldLine(context, null, [hourly(3)]);
    expect(segments.map(({ end }) => end.seq)).toEqual([23, 47, 71]);
    expect(segments.map(({ readings }) => readings)).toEqual([24, 24, 24]);
    expect(segments[0]!.shares).toEqual([{ assetId: 'lift', day: '2026-03-02', grains: 46 * 180 }]);
    // The first reading of a day is at midnight: what it shows was used the day before.
    expect(segments[1]!.shares).toEqual([
      { assetId: 'lift', day: '2026-03-02', grains: 2 * 180 },
      { assetId: 'lift', day: '2026-03-03', grains: 46 * 180 },
    ]);
    expect(segments[2]!.state).toMatchObject({ ordinal: 0, seq: 71, raw: 1142, base: 'timed' });
  });

  it('go on from the head as if folded at once', () => {
    const whole = foldLine(context, null, [hourly(3)]);
    for (const cut of [1, 23, 24, 30, 71]) {
      const [before] = runWithout(hourly(3), [[cut, 71]]);
      const first = foldLine(context, null, [before!]);
      const rest = foldLine(context, first.at(-1)!, [hourly(3)]);
      expect([...first.slice(0, -1), ...rest]).toEqual(whole);
    }
  });

  it('are filed under the day of arrival when the device has no sound time', () => {
    const dead = [0, 1, 2].map((n) =>
      run(n + 1, [60_000], [1001 + n], { receivedAtMs: startMs + n * day + 60 * minute }),
    );
    const segments = foldLine(context, null, [run(0, [startMs], [1000]), ...dead]);
    expect(segments.map(({ end }) => end.seq)).toEqual([1, 2, 3]);
    expect(segments.flatMap(({ shares }) => shares)).toEqual([]);
    expect(segments.at(-1)!.state.pending).toMatchObject({ ticks: 3, raw: 1003 });
  });

  it('keep one row for a stretch of suspect times, and a bounded number of rows', () => {
    const readings = 4 * maxVerdictsPerSegment;
    const at = Array.from({ length: readings }, (_, n) => startMs + n * 20_000);
    // Every other value is mad, and each another one.
    const raw = at.map((_, n) => (n % 2 === 0 ? 1000 : 50_000 + 37 * n));
    const [noisy] = foldLine(context, null, [run(0, at, raw)]);
    expect(noisy!.verdicts.length).toBe(maxVerdictsPerSegment);
    expect(noisy!.unlisted).toBeGreaterThan(0);
    const dead = at.map((_, n) => n * 1000);
    const receivedAtMs = startMs + 60 * minute;
    const [stretch] = foldLine(context, null, [
      run(0, [startMs], [1000]),
      run(
        1,
        dead,
        dead.map(() => 1000),
        { receivedAtMs },
      ),
    ]);
    expect(stretch!.verdicts.slice(1)).toMatchObject([
      { verdict: 'clock_suspect', seq: 1, lastSeq: readings },
    ]);
  });

  it('are judged by the rules in force on their day', () => {
    const slower: LineContext = {
      ...context,
      dated: [{ fromMs: startMs + day, minMsPerTick: 60 * minute, jitterSteps: 3 }],
    };
    const [first, second] = foldLine(slower, null, [hourly(2)]);
    expect(first!.verdicts.map(({ verdict }) => verdict)).toEqual(['baseline']);
    expect(second!.verdicts.map(({ verdict }) => verdict)).toContain('spike');
    expect(foldLine(context, null, [hourly(2)])[1]!.verdicts).toEqual([]);
  });
});

describe('folding again', () => {
  const span = (seq: number) => ({ from: { ordinal: 0, seq }, until: { ordinal: 0, seq } });

  it('stops at the first segment end where the states agree', () => {
    const stored = foldLine(context, null, without([30]));
    const refolded = refold(context, stored, [hourly(10)], span(30));
    expect(refolded).toMatchObject({ replacedFrom: 1, replacedTo: 2, agreed: true });
    expect(refolded.segments).toHaveLength(1);
    expect(applyRefold(stored, refolded)).toEqual(foldLine(context, null, [hourly(10)]));
  });

  it('goes on while the states differ', () => {
    const jump = hourly(10);
    // From the sixth day on the counter stands elsewhere; a missing reading decides what becomes of
    // it.
    const raw = Array.from(jump.raw, (value, n) => (n < 120 ? value : value + 40_000));
    const moved = { ...jump, raw };
    const stored = foldLine(context, null, runWithout(moved, [[121, 238]]));
    expect(stored.at(-1)!.state.aside).toHaveLength(2);
    const late = { from: { ordinal: 0, seq: 121 }, until: { ordinal: 0, seq: 121 } };
    const with121 = runWithout(moved, [[122, 238]]);
    const refolded = refold(context, stored, with121, late);
    expect(refolded).toMatchObject({ replacedFrom: 5, agreed: false });
    expect(applyRefold(stored, refolded)).toEqual(foldLine(context, null, with121));
    expect(refolded.segments.at(-1)!.verdicts[0]).toMatchObject({ seq: 120, verdict: 'rebase' });
  });

  it('lengthens the segment before when the late reading is of its day', () => {
    const stored = foldLine(context, null, without([23]));
    const { keep, after } = resumeFor(stored, { ordinal: 0, seq: 23 });
    expect({ keep, after }).toEqual({ keep: 1, after: { ordinal: 0, seq: 22 } });
    const refolded = refold(context, stored, [hourly(10)], span(23));
    expect(refolded).toMatchObject({ replacedFrom: 0, replacedTo: 2, agreed: true });
    expect(applyRefold(stored, refolded)).toEqual(foldLine(context, null, [hourly(10)]));
  });

  it('begins before everything when the reading comes first', () => {
    const stored = foldLine(context, null, without([0]));
    const refolded = refold(context, stored, [hourly(10)], span(0));
    expect(refolded).toMatchObject({ replacedFrom: 0, replacedTo: 1, agreed: true });
    expect(applyRefold(stored, refolded)).toEqual(foldLine(context, null, [hourly(10)]));
  });

  it('takes a reading out again when its number falls into conflict', () => {
    const stored = foldLine(context, null, [hourly(10)]);
    const refolded = refold(context, stored, without([50]), span(50));
    expect(applyRefold(stored, refolded)).toEqual(foldLine(context, null, without([50])));
    expect(refolded.agreed).toBe(true);
    // The last one of a day, and the last one of all.
    for (const seq of [47, 239]) {
      const again = refold(context, stored, without([seq]), span(seq));
      expect(applyRefold(stored, again)).toEqual(foldLine(context, null, without([seq])));
    }
  });
});

describe('runs', () => {
  it('are cut around the numbers left out', () => {
    const typed = { ...run(10, [1, 2, 3, 4], [5, 6, 7, 8]), raw: Float64Array.of(5, 6, 7, 8) };
    const parts = runWithout(typed, [
      [8, 10],
      [12, 12],
    ]);
    expect(
      parts.map((each) => [each.firstSeq, [...Array.from(each.at)], [...Array.from(each.raw)]]),
    ).toEqual([
      [11, [2], [6]],
      [13, [4], [8]],
    ]);
    expect(runWithout(typed, [[0, 99]])).toEqual([]);
  });

  it('take the strongest cause of the streams passed over', () => {
    expect(strongestCause(['sequence_lost', 'counter_reset', 'first'])).toBe('counter_reset');
    expect(strongestCause(['controller_replaced', 'counter_reset'])).toBe('controller_replaced');
    expect(strongestCause([])).toBe('first');
  });

  it('are not written to, and neither is a stored segment', () => {
    const stored = foldLine(context, null, without([30]));
    const before: Segment[] = structuredClone([...stored]);
    refold(context, stored, [hourly(10)], span30);
    expect(stored).toEqual(before);
  });
});

const span30 = { from: { ordinal: 0, seq: 30 }, until: { ordinal: 0, seq: 30 } };
