import { integrateEngagement } from '../domain/usage/engagement.ts';
import type { FrameBasis } from '../domain/usage/frame-basis.ts';
import {
  engagementRules,
  type FramePlace,
  type Sample,
  type TakenSamples,
  takeSamples,
  totalRules,
} from '../domain/usage/frame-readings.ts';
import type { SaidSample } from '../domain/usage/frame-samples.ts';
import {
  hasNumber,
  highest,
  parseMultirange,
  printMultirange,
} from '../domain/usage/number-set.ts';
import type { IntakeRun } from '../domain/usage/reading-intake.ts';
import { type FrameStream, saveFrameTail } from '../store/frame-tail.ts';
import { insertLineMark, insertRun, saveStreamNumbers } from '../store/reading.ts';
import type { Work } from './work.ts';

/** What one post says to one stream. */
export interface FrameIntake {
  basis: FrameBasis;
  stream: FrameStream;
  source: number;
  /** Of that source, in order of time put right. */
  samples: readonly SaidSample[];
  /** How much the post proved the device's clock fast; 0 when it did not. */
  offsetMs: number;
  receivedAtMs: number;
}

export interface FrameTally
  extends Pick<TakenSamples, 'tail' | 'accepted' | 'unchanged' | 'duplicate' | 'late'> {
  /** Something was said of a time later than all before. */
  isNews: boolean;
}

const valid = (samples: readonly SaidSample[]) => samples.filter((each) => each.state === 'valid');

function takeTotals(place: FramePlace, { stream, samples }: FrameIntake): TakenSamples {
  return takeSamples(place, valid(samples), totalRules(stream.minMsPerTick));
}

/**
 * Time engaged as ticks. What is not later than the last sample is never integrated: it was
 * before, or came too late.
 */
function takeEngagement(place: FramePlace, intake: FrameIntake) {
  const { stream, samples } = intake;
  const { engagement } = stream;
  const from = engagement?.sampledMs ?? Number.NEGATIVE_INFINITY;
  const onward = samples
    .filter(({ atMs }) => atMs > from)
    .map(({ atMs, raw, state }) => ({ atMs, engaged: state === 'valid' ? raw === 1 : null }));
  const { state, totals } = integrateEngagement(engagement, onward);
  const msPerTick = stream.resolutionGrains * 1000;
  const ticks = totals.map(({ atMs, totalMs }) => ({ atMs, raw: Math.floor(totalMs / msPerTick) }));
  const earlier = valid(samples).filter(({ atMs }) => atMs <= from);
  const top = highest(place.settled) ?? Number.NEGATIVE_INFINITY;
  const known = earlier.filter(
    ({ atMs }) =>
      hasNumber(place.settled, atMs) || (atMs > top && atMs <= (place.tail?.untilMs ?? top)),
  );
  const taken = takeSamples(place, ticks, engagementRules(stream.minMsPerTick));
  const late = earlier.length - known.length;
  return { taken: { ...taken, duplicate: known.length, late }, state };
}

/** The number of a run is its time as put right; it keeps the device's own times. */
function runOf(samples: readonly Sample[], offsetMs: number): IntakeRun {
  return {
    firstSeq: samples[0]!.atMs,
    at: samples.map(({ atMs }) => atMs + offsetMs),
    raw: samples.map(({ raw }) => raw),
    offsetMs,
  };
}

/** Stores what samples say that is new to their stream, which is locked. */
export async function settleFrames(work: Work, intake: FrameIntake): Promise<FrameTally> {
  const { tx, fleetId } = work;
  const { stream, source, offsetMs, receivedAtMs, basis } = intake;
  const { streamId, tail } = stream;
  const place: FramePlace = { tail, settled: parseMultirange(stream.seen) };
  const { taken, state } =
    basis.kind === 'total'
      ? { taken: takeTotals(place, intake), state: stream.engagement }
      : takeEngagement(place, intake);
  for (const samples of taken.runs) {
    const run = runOf(samples, offsetMs);
    await insertRun(tx, fleetId, receivedAtMs, { ...run, stream });
    const toSeq = run.firstSeq + samples.length - 1;
    await insertLineMark(tx, fleetId, receivedAtMs, { stream, fromSeq: run.firstSeq, toSeq });
  }
  if (taken.settled !== place.settled) {
    const seen = printMultirange(taken.settled);
    await saveStreamNumbers(tx, fleetId, streamId, { seen, lost: '{}' });
  }
  // Of a post sent again everything stands where it stood.
  const hasMoved = taken.tail !== tail || state !== stream.engagement;
  if (taken.tail !== null && hasMoved) {
    await saveFrameTail(tx, fleetId, streamId, source, taken.tail, state);
  }
  if (taken.runs.length > 0) work.wake('fold', stream.shard);
  const { accepted, unchanged, duplicate, late } = taken;
  const isNews = taken.tail !== null && taken.tail.untilMs > (tail?.untilMs ?? -1);
  return { tail: taken.tail, accepted, unchanged, duplicate, late, isNews };
}
