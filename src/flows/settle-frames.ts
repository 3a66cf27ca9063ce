import { integrateEngagement } from '../domain/usage/engagement.ts';
import type { FrameBasis } from '../domain/usage/frame-basis.ts';
import {
  engagementRules,
  type FramePlace,
  type NumberedRun,
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
  /** Times after "engaged" that were too long to count. */
  unseen: number;
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
  const { state, totals, counted, unseen } = integrateEngagement(engagement, onward);
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
  // Of samples that are all too far apart nothing is known, however many there are.
  const isBlind = unseen > 0 && counted === 0;
  return { taken: { ...taken, duplicate: known.length, late }, state, unseen, isBlind };
}

/** Numbered by times as put right; it keeps the device's own. */
function runOf({ firstSeq, samples }: NumberedRun, offsetMs: number): IntakeRun {
  return {
    firstSeq,
    at: samples.map(({ atMs }) => atMs + offsetMs),
    raw: samples.map(({ raw }) => raw),
    offsetMs,
  };
}

const seeing = { unseen: 0, isBlind: false };

/** Stores what samples say that is new to their stream, which is locked. */
export async function settleFrames(work: Work, intake: FrameIntake): Promise<FrameTally> {
  const { tx, fleetId } = work;
  const { stream, source, offsetMs, receivedAtMs, basis } = intake;
  const { streamId, tail } = stream;
  const settled = parseMultirange(stream.settled);
  const place: FramePlace = { tail, settled };
  const { taken, state, unseen, isBlind } =
    basis.kind === 'total'
      ? { ...seeing, taken: takeTotals(place, intake), state: stream.engagement }
      : takeEngagement(place, intake);
  let seen = parseMultirange(stream.seen);
  for (const each of taken.runs) {
    const run = runOf(each, offsetMs);
    const fromSeq = run.firstSeq;
    const toSeq = fromSeq + run.raw.length - 1;
    await insertRun(tx, fleetId, receivedAtMs, { ...run, stream });
    await insertLineMark(tx, fleetId, receivedAtMs, { stream, fromSeq, toSeq });
    // Numbers that are left out are missing to nobody: one range, from the lowest to the highest.
    seen = [[Math.min(fromSeq, seen[0]?.[0] ?? fromSeq), Math.max(toSeq, highest(seen) ?? toSeq)]];
  }
  if (taken.runs.length > 0) {
    await saveStreamNumbers(tx, fleetId, streamId, { seen: printMultirange(seen), lost: '{}' });
  }
  // Of a post sent again everything stands where it stood.
  const hasMoved = taken.tail !== tail || taken.settled !== settled || state !== stream.engagement;
  if (taken.tail !== null && hasMoved) {
    const standing = { tail: taken.tail, settled: taken.settled, engagement: state };
    await saveFrameTail(tx, fleetId, streamId, source, standing);
  }
  if (taken.runs.length > 0) work.wake('fold', stream.shard);
  const { accepted, unchanged, duplicate, late } = taken;
  const isLater = taken.tail !== null && taken.tail.untilMs > (tail?.untilMs ?? -1);
  const isNews = isLater && !isBlind;
  return { tail: taken.tail, accepted, unchanged, duplicate, late, unseen, isNews };
}
