/**
 * Turns what a device without a memory of its own says again and again into readings that are
 * numbered here. Pure.
 *
 * Which are kept. A value that goes on being said tells nothing new, so of equal values in a row
 * the first is kept. The last of them is kept too, once another value follows, when the value
 * stood for longer than two ticks take by the clock: then the counter stood still, and the use that
 * follows must not be spread over that time. Until another value follows, the end of the row is
 * only noted (`FrameTail.untilMs`), which costs one small row per counter.
 *
 * How they are numbered. The first reading after a time of which something may be missing has its
 * time in milliseconds since 1970 as its number; those after it count on, so that they make runs.
 * Times are all different, so a number is never above its time, and two stretches never share
 * one: order of numbers is order of times, whatever order posts come in. The fold, which goes by
 * numbers, sees a batch that came late in its place.
 *
 * What counts as sent before. The times that were told of are kept as a set (`settled`). Whatever
 * lies in it is a duplicate, so the same text again, overlapping texts and texts cut otherwise
 * store nothing twice. From sample to sample the time between is settled too, unless something
 * can still be missing there (`opensGap`): for an hour counter, when it rose by more than one tick
 * or fell. So the set has one range for each time that something was missed, not one a post; if
 * there are ever too many, the oldest gaps are closed, and what comes for those later is a
 * duplicate: the counter is cumulative, so only the days of that use could be told better.
 */
import { engagementGapMs } from './engagement.ts';
import { addRange, hasNumber, highest, type NumberSet } from './number-set.ts';
import { intakeBounds, stepMax } from './reading-intake.ts';

export interface Sample {
  readonly atMs: number;
  readonly raw: number;
}

export interface NumberedRun {
  readonly firstSeq: number;
  readonly samples: readonly Sample[];
}

/** The last reading stored, its number, and until when its value is known to have stood. */
export interface FrameTail extends Sample {
  readonly seq: number;
  readonly untilMs: number;
}

export interface FramePlace {
  readonly tail: FrameTail | null;
  /** Times in ms that were told of; after the highest, all up to `untilMs` are. */
  readonly settled: NumberSet;
}

export interface SampleRules {
  /** A value that stood for longer than this is kept with its end. */
  readonly standMs: number;
  /** Whether something may still be missing between two samples. */
  opensGap(before: FrameTail, next: Sample): boolean;
  /** Whether samples that belong between stored ones are stored. */
  readonly takesLate: boolean;
}

export interface TakenSamples extends FramePlace {
  /** Runs to store, in order of time within each stretch. */
  readonly runs: readonly NumberedRun[];
  /** Samples that said something new; that said what was known; settled before; came too late. */
  readonly accepted: number;
  readonly unchanged: number;
  readonly duplicate: number;
  readonly late: number;
}

/** More ranges than this are made fewer by closing the oldest gaps. */
export const settledRangesMost = 100;

/** Rules for the total of an hour counter that rises by one tick in `tickMs` at most. */
export function totalRules(tickMs: number): SampleRules {
  return {
    standMs: 2 * tickMs,
    takesLate: true,
    opensGap: (before, next) => next.raw !== before.raw && next.raw !== before.raw + 1,
  };
}

/** Rules for time engaged: what comes late cannot be counted any more, and is told as late. */
export function engagementRules(tickMs: number): SampleRules {
  return {
    standMs: 2 * tickMs,
    takesLate: false,
    opensGap: (before, next) => next.atMs - before.untilMs > engagementGapMs,
  };
}

/** Readings of samples in order of time, all later than the tail. */
class Thinning {
  tail: FrameTail | null;
  readonly runs: { firstSeq: number; samples: Sample[] }[] = [];
  readonly ranges: [from: number, to: number][] = [];
  accepted = 0;
  unchanged = 0;
  readonly #rules: SampleRules;
  #open: Sample[] | null = null;
  /** Something may be missing before the next one. */
  #isApart = false;
  #from: number;

  /** `fromMs`: where the range that the tail lies in begins. */
  constructor(tail: FrameTail | null, fromMs: number, rules: SampleRules) {
    this.tail = tail;
    this.#rules = rules;
    this.#from = fromMs;
  }

  take(sample: Sample): void {
    const { tail } = this;
    const { atMs, raw } = sample;
    if (tail === null) {
      this.#from = atMs;
      this.#store(sample);
      this.accepted += 1;
      return;
    }
    if (tail.raw !== raw && tail.untilMs - tail.atMs > this.#rules.standMs) this.end();
    if (this.#rules.opensGap(tail, sample)) {
      this.ranges.push([this.#from, tail.untilMs]);
      this.#from = atMs;
      this.#isApart = true;
    }
    if (tail.raw === raw) {
      this.tail = { ...tail, untilMs: atMs };
      this.unchanged += 1;
    } else {
      this.#store(sample);
      this.accepted += 1;
    }
  }

  /** Keeps the end of the last row of equal values. */
  end(): void {
    const { tail } = this;
    if (tail && tail.untilMs > tail.atMs) this.#store({ atMs: tail.untilMs, raw: tail.raw });
  }

  /** All times told of, with what stands open at the end. */
  allRanges(): [number, number][] {
    return this.tail === null ? [] : [...this.ranges, [this.#from, this.tail.untilMs]];
  }

  #store(sample: Sample): void {
    const { tail } = this;
    const goesOn = tail !== null && !this.#isApart;
    const seq = goesOn ? tail.seq + 1 : sample.atMs;
    const open = goesOn ? this.#open : null;
    if (open !== null && fitsRun(open, sample)) open.push(sample);
    else {
      this.#open = [sample];
      this.runs.push({ firstSeq: seq, samples: this.#open });
    }
    this.#isApart = false;
    this.tail = { ...sample, seq, untilMs: sample.atMs };
  }
}

/** Whether a run can take one more: it keeps steps of 32 bits, and so many readings. */
function fitsRun(run: readonly Sample[], { atMs, raw }: Sample): boolean {
  const last = run.at(-1) as Sample;
  return (
    run.length < intakeBounds.readingsPerStream &&
    atMs - last.atMs <= stepMax &&
    Math.abs(raw - last.raw) <= stepMax
  );
}

/** The place of the gap that a time lies in: how many ranges end before it. */
function gapOf(settled: NumberSet, atMs: number): number {
  let gap = 0;
  while (gap < settled.length && settled[gap]![1] < atMs) gap += 1;
  return gap;
}

/** Samples between stored ones, gap by gap: the first, every change, and the last of each. */
function takeLate(settled: NumberSet, samples: readonly Sample[], rules: SampleRules): Thinning[] {
  const parts: Thinning[] = [];
  let gap = -1;
  for (const sample of samples) {
    const own = gapOf(settled, sample.atMs);
    if (own !== gap) parts.push(new Thinning(null, 0, rules));
    gap = own;
    parts.at(-1)?.take(sample);
  }
  for (const part of parts) part.end();
  return parts;
}

/** Closes the oldest gaps until there are at most `most` ranges. */
export function closeOldest(settled: NumberSet, most: number): NumberSet {
  if (settled.length <= most) return settled;
  const closed = settled.length - most;
  return [[settled[0]![0], settled[closed]![1]], ...settled.slice(closed + 1)];
}

/**
 * Takes samples of one counter, in strict order of time, at whatever place the counter is.
 *
 * @throws RangeError when the samples are not in strict order of time
 */
export function takeSamples(
  { tail, settled }: FramePlace,
  samples: readonly Sample[],
  rules: SampleRules,
): TakenSamples {
  const top = highest(settled) ?? Number.NEGATIVE_INFINITY;
  const onward = new Thinning(tail, settled.at(-1)?.[0] ?? tail?.atMs ?? 0, rules);
  const between: Sample[] = [];
  let duplicate = 0;
  let before = Number.NEGATIVE_INFINITY;
  for (const sample of samples) {
    const { atMs } = sample;
    if (atMs <= before) throw new RangeError('samples must be in strict order of time');
    before = atMs;
    if (tail === null || atMs > tail.untilMs) onward.take(sample);
    else if (atMs > top || hasNumber(settled, atMs)) duplicate += 1;
    else between.push(sample);
  }
  const late = rules.takesLate ? takeLate(settled, between, rules) : [];
  const parts = [...late, onward];
  let grown = settled;
  for (const part of late) for (const [a, b] of part.allRanges()) grown = addRange(grown, a, b);
  // What is only said on needs no change of the set: it ends in the tail.
  const moved = onward.accepted > 0 || onward.ranges.length > 0;
  if (moved) for (const [a, b] of onward.allRanges()) grown = addRange(grown, a, b);
  return {
    tail: onward.tail,
    settled: closeOldest(grown, settledRangesMost),
    runs: parts.flatMap((part) => part.runs),
    accepted: parts.reduce((sum, part) => sum + part.accepted, 0),
    unchanged: parts.reduce((sum, part) => sum + part.unchanged, 0),
    duplicate,
    late: rules.takesLate ? 0 : between.length,
  };
}
