import { frameBounds, passedOver, type ReadFrames } from '../domain/usage/candump.ts';
import { earliestReadingMs } from '../domain/usage/fold-rules.ts';
import { type FrameBasis, parseFrameBasis } from '../domain/usage/frame-basis.ts';
import { type Heard, hearFrames, type SaidSample } from '../domain/usage/frame-samples.ts';
import { intakeBounds, provenOffsetMs } from '../domain/usage/reading-intake.ts';
import { Problem } from '../errors.ts';
import { type FrameStream, lockFrameStreams } from '../store/frame-tail.ts';
import type { Contact } from '../store/reading.ts';
import { noteClock } from './note-clock.ts';
import { noteHeard } from './record-readings.ts';
import { type FrameTally, settleFrames } from './settle-frames.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

/** Why something that was said of a declared counter says nothing of its use. */
export const sampleSkips = [
  'not_available',
  'error',
  'reserved',
  'parameter_specific',
  'other_source',
  'ahead',
  'too_early',
] as const;
export type SampleSkips = Record<(typeof sampleSkips)[number], number>;

export interface FrameCounterAnswer {
  counter: string;
  epoch: number;
  spn: number;
  source: number | null;
  accepted: number;
  unchanged: number;
  duplicate: number;
  late: number;
  unseen: number;
  skipped: SampleSkips;
  /** The value that stands, and until when it is known. */
  raw: number | null;
  knownUntilMs: number | null;
}

export interface FramesAnswer {
  frames: number;
  heard: boolean;
  unheard: string[];
  counters: FrameCounterAnswer[];
  undeclared: { spn: number; source: number; samples: number }[];
  skipped: Record<(typeof passedOver)[number] | 'other_group' | 'wrong_length', number>;
  unreadable: { count: number; first: { line: number; reason: string }[] };
}

export interface FramePost {
  fleetId: number;
  gatewayId: string;
  deviceTimeMs: number | null;
  read: ReadFrames;
}

/** What all samples of a post have in common. */
interface PostClock {
  receivedAtMs: number;
  offsetMs: number;
}

const noSkips = (): SampleSkips => ({
  not_available: 0,
  error: 0,
  reserved: 0,
  parameter_specific: 0,
  other_source: 0,
  ahead: 0,
  too_early: 0,
});

const lines = ({ frames, skipped, unreadable }: ReadFrames): number =>
  passedOver.reduce((sum, why) => sum + skipped[why], frames.length + unreadable);

/** @throws Problem body_too_large, frames_unreadable */
function refuseUseless(read: ReadFrames): void {
  const { tooMany, unreadable, faults } = read;
  if (tooMany) {
    throw new Problem('body_too_large', `At most ${frameBounds.framesMost} frames a post.`);
  }
  if (unreadable === 0 || lines(read) > unreadable) return;
  throw new Problem('frames_unreadable', `None of ${unreadable} lines is a frame; see errors.`, {
    errors: faults.map(({ line, reason }) => ({ path: `line ${line}`, reason })),
  });
}

/**
 * Samples with their times put right by what the post proved, without those that cannot be true: a
 * device with a wrong clock must not settle times that are to come.
 */
function placeSamples(samples: readonly SaidSample[], clock: PostClock, skips: SampleSkips) {
  const placed: SaidSample[] = [];
  for (const sample of samples) {
    const atMs = sample.atMs - clock.offsetMs;
    if (atMs > clock.receivedAtMs + intakeBounds.clockSlackMs) skips.ahead += 1;
    else if (atMs < earliestReadingMs) skips.too_early += 1;
    else placed.push({ ...sample, atMs });
  }
  return placed;
}

/** The epochs of a counter, in order. A sample belongs to the one that was open at its time. */
function perEpoch(streams: readonly FrameStream[], samples: readonly SaidSample[]) {
  return streams
    .map((stream, i) => {
      const from = i === 0 ? Number.NEGATIVE_INFINITY : stream.openedAtMs;
      const to = streams[i + 1]?.openedAtMs ?? Number.POSITIVE_INFINITY;
      return { stream, samples: samples.filter(({ atMs }) => atMs >= from && atMs < to) };
    })
    .filter((each, i) => each.samples.length > 0 || i === streams.length - 1);
}

/** The control unit that a counter listens to: named, kept to, or the first that says a value. */
function sourceOf(basis: FrameBasis, stream: FrameStream, heard: readonly Heard[]): number | null {
  const kept = basis.source ?? stream.source;
  if (kept !== null) return kept;
  const first = (each: Heard) => each.samples.find(({ state }) => state === 'valid')?.atMs;
  const saying = heard.filter((each) => first(each) !== undefined);
  return saying.toSorted((a, b) => first(a)! - first(b)!)[0]?.source ?? null;
}

const samplesOf = (heard: readonly Heard[]): number =>
  heard.reduce((sum, each) => sum + each.samples.length, 0);

const nothing: FrameTally = {
  tail: null,
  accepted: 0,
  unchanged: 0,
  duplicate: 0,
  late: 0,
  unseen: 0,
  isNews: false,
};

/** One counter: its epochs, and all that was heard of its parameter. */
async function settleCounter(
  work: Work,
  streams: readonly FrameStream[],
  heard: readonly Heard[],
  clock: PostClock,
): Promise<{ answers: FrameCounterAnswer[]; isNews: boolean }> {
  const newest = streams.at(-1)!;
  const basis = parseFrameBasis(newest.basis) as FrameBasis;
  const own = heard.filter((each) => each.spn === basis.spn);
  const source = sourceOf(basis, newest, own);
  const skips = noSkips();
  skips.other_source = samplesOf(own.filter((each) => each.source !== source));
  const said = own.find((each) => each.source === source)?.samples ?? [];
  for (const { state } of said) if (state !== 'valid') skips[state] += 1;
  const placed = placeSamples(said, clock, skips);
  const answers: FrameCounterAnswer[] = [];
  let isNews = false;
  for (const { stream, samples } of perEpoch(streams, placed)) {
    const intake = { basis, stream, samples, source: source ?? 0, ...clock };
    const tally = samples.length === 0 ? nothing : await settleFrames(work, intake);
    isNews ||= tally.isNews;
    const { accepted, unchanged, duplicate, late, unseen } = tally;
    const tail = tally.tail ?? stream.tail;
    answers.push({
      counter: stream.counter,
      epoch: stream.epoch,
      spn: basis.spn,
      source: stream.source ?? source,
      accepted,
      unchanged,
      duplicate,
      late,
      unseen,
      // What says nothing has no place in an epoch: it is told once, with the newest.
      skipped: stream === newest ? skips : noSkips(),
      raw: tail?.raw ?? null,
      knownUntilMs: tail?.untilMs ?? null,
    });
  }
  return { answers, isNews };
}

/** A counter that counts may be behind the newest of its gateway by this; no source. */
const unheardMs = 3_600_000;

/** Counters that count (of a gateway on no unit: all) and were never heard, or not of late. */
function unheardCounters(
  streams: readonly FrameStream[],
  answers: readonly FrameCounterAnswer[],
): string[] {
  const until = new Map(answers.map((each) => [each.counter, each.knownUntilMs ?? -1]));
  const newestMs = Math.max(0, ...until.values());
  const any = streams.some((stream) => stream.counts);
  const counting = streams.filter((stream) => stream.counts || !any).map(({ counter }) => counter);
  return [...new Set(counting)].filter((name) => {
    const knownMs = until.get(name) ?? -1;
    return knownMs < 0 || knownMs < newestMs - unheardMs;
  });
}

function undeclared(heard: readonly Heard[], streams: readonly FrameStream[]) {
  const declared = new Set(streams.map(({ basis }) => parseFrameBasis(basis)?.spn));
  return heard
    .filter(({ spn }) => !declared.has(spn))
    .map(({ spn, source, samples }) => {
      return { spn, source, samples: samples.filter(({ state }) => state === 'valid').length };
    })
    .filter(({ samples }) => samples > 0);
}

/**
 * Takes frames of a vehicle's bus from a gateway that keeps nothing itself: the values of its
 * declared counters become readings that are numbered here (see `frame-readings.ts`). The same
 * text again changes nothing. Parameters that nobody declared are counted and named.
 *
 * The post is a sign of life only when it tells something newer than before of a declared counter,
 * or is empty, and when all counters that count for an asset were heard of late: a bus that goes on
 * talking of other things says nothing of use, and must not make a truck look fine.
 *
 * @throws Problem body_too_large, frames_unreadable
 */
export async function recordFrames(deps: FlowDeps, post: FramePost): Promise<FramesAnswer> {
  const { fleetId, gatewayId, deviceTimeMs, read } = post;
  refuseUseless(read);
  const receivedAtMs = deps.clock.nowMs();
  const proven = provenOffsetMs(deviceTimeMs, receivedAtMs);
  // A clock that is now years fast was not when it stamped what lies behind us.
  const offsetMs = proven <= intakeBounds.offsetMaxMs ? proven : 0;
  const { heard, otherGroup, wrongLength } = hearFrames(read.frames);
  const contact: Contact = {
    fleetId,
    gatewayId,
    receivedAtMs,
    deviceOffsetMs: deviceTimeMs === null ? null : deviceTimeMs - receivedAtMs,
  };
  const isEmpty = lines(read) === 0;
  const answer = await withWork(
    deps,
    fleetId,
    async (work): Promise<FramesAnswer> => {
      const streams = await lockFrameStreams(work.tx, fleetId, gatewayId, receivedAtMs);
      const byCounter = Map.groupBy(streams, (stream) => stream.counter);
      const counters: FrameCounterAnswer[] = [];
      let isNews = isEmpty;
      for (const own of byCounter.values()) {
        const settled = await settleCounter(work, own, heard, { receivedAtMs, offsetMs });
        counters.push(...settled.answers);
        isNews ||= settled.isNews;
      }
      const unheard = unheardCounters(streams, counters);
      const isHeard = isNews && unheard.length === 0;
      if (isHeard) await noteHeard(work, contact);
      return {
        frames: read.frames.length,
        heard: isHeard,
        unheard,
        counters,
        undeclared: undeclared(heard, streams),
        skipped: { ...read.skipped, other_group: otherGroup, wrong_length: wrongLength },
        unreadable: { count: read.unreadable, first: read.faults },
      };
    },
    deps.pools.batcher,
  );
  await noteClock(deps, contact, [], offsetMs);
  return answer;
}
