import type pg from 'pg';
import { crashPoint } from '../crash-points.ts';
import { allowedSilenceMs } from '../domain/usage/gateway-habit.ts';
import {
  contiguous,
  highest,
  missing,
  type NumberSet,
  parseMultirange,
} from '../domain/usage/number-set.ts';
import {
  intakeBounds,
  type ParsedStream,
  type PostedStream,
  parsePostedStream,
  provenOffsetMs,
  type RefusedRange,
  refusedRanges,
  sortReadings,
} from '../domain/usage/reading-intake.ts';
import { Problem } from '../errors.ts';
import { markHeardLines, noteContact } from '../store/gateway-contact.ts';
import { withFleet } from '../store/pool.ts';
import {
  type Contact,
  type DeclaredStream,
  declaredStreams,
  type StreamRun,
} from '../store/reading.ts';
import type { PostCommitter } from './commit-together.ts';
import { noteClock } from './note-clock.ts';
import { type StreamTally, settleStream } from './settle-stream.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

/** What taking readings needs besides. */
export interface ReadingDeps extends FlowDeps {
  posts: PostCommitter;
}

export interface StreamAnswer {
  counter: string | null;
  epoch: number | null;
  contiguous: number | null;
  highest: number | null;
  missing: [number, number][];
  accepted: number;
  duplicate: number;
  conflict: number;
  refused: (Omit<RefusedRange, 'from' | 'to'> & {
    from: number | null;
    to: number | null;
    detail?: string;
  })[];
}

export interface Post {
  fleetId: number;
  gatewayId: string;
  deviceTimeMs: number | null;
  streams: readonly unknown[];
}

/** A posted stream that is declared, with what is to be done about it. */
export interface Intake extends ReturnType<typeof sortReadings> {
  posted: PostedStream;
  stream: DeclaredStream;
}

const missingShown = 100;

/** Declared streams per gateway, as this process last saw them. They never change, only grow. */
export class StreamDirectory {
  readonly #known = new Map<string, Map<string, DeclaredStream>>();
  readonly #max: number;

  constructor(gatewaysMax = 20_000) {
    this.#max = gatewaysMax;
  }

  async find(
    pool: pg.Pool,
    { fleetId, gatewayId }: Post,
    wanted: readonly string[],
  ): Promise<Map<string, DeclaredStream>> {
    const key = `${fleetId} ${gatewayId}`;
    const hit = this.#known.get(key);
    if (hit && wanted.every((name) => hit.has(name))) return hit;
    const rows = await withFleet(pool, [fleetId], (tx) => declaredStreams(tx, fleetId, gatewayId));
    const found = new Map(rows.map((row) => [`${row.counter} ${row.epoch}`, row]));
    if (this.#known.size >= this.#max) {
      this.#known.delete(this.#known.keys().next().value as string);
    }
    this.#known.set(key, found);
    return found;
  }
}

function emptyAnswer(counter: string | null, epoch: number | null): StreamAnswer {
  return {
    counter,
    epoch,
    contiguous: null,
    highest: null,
    missing: [],
    accepted: 0,
    duplicate: 0,
    conflict: 0,
    refused: [],
  };
}

function refusedWhole(parsed: ParsedStream & { ok: false }): StreamAnswer {
  const { verdict, detail } = parsed;
  const answer = emptyAnswer(parsed.counter, parsed.epoch);
  answer.refused.push({ from: null, to: null, verdict, detail });
  return answer;
}

function undeclared(posted: PostedStream, known: Map<string, DeclaredStream>): StreamAnswer {
  const declared = [...known.values()].some((each) => each.counter === posted.counter);
  return refusedWhole({
    ok: false,
    counter: posted.counter,
    epoch: posted.epoch,
    verdict: declared ? 'unknown_epoch' : 'unknown_counter',
    detail: declared
      ? 'this epoch was not issued'
      : 'this counter is not declared, or counts from frames',
  });
}

function showNumbers(answer: StreamAnswer, seen: NumberSet): void {
  answer.contiguous = contiguous(seen);
  answer.highest = highest(seen);
  answer.missing = missing(seen, missingShown).map(([from, to]) => [from, to]);
}

/**
 * Takes one post of a gateway: judges every stream on its own, stores what is new, and answers what
 * is settled, in the order of the post. An empty post is a heartbeat. One bad stream never harms
 * the others; a permanent refusal is a verdict, never an error.
 *
 * @throws Problem body_too_large when the post is over the bounds of intakeBounds; overloaded
 */
export async function recordReadings(
  deps: ReadingDeps,
  directory: StreamDirectory,
  post: Post,
): Promise<StreamAnswer[]> {
  if (post.streams.length > intakeBounds.streamsPerPost) {
    throw new Problem('body_too_large', `At most ${intakeBounds.streamsPerPost} streams a post.`);
  }
  const receivedAtMs = deps.clock.nowMs();
  const parsed = post.streams.map(parsePostedStream);
  const readings = parsed.reduce((sum, each) => sum + (each.ok ? each.stream.at.length : 0), 0);
  if (readings > intakeBounds.readingsPerPost) {
    throw new Problem('body_too_large', `At most ${intakeBounds.readingsPerPost} readings a post.`);
  }
  return deps.posts.admit(readings, () => settlePost(deps, directory, post, parsed, receivedAtMs));
}

async function settlePost(
  deps: ReadingDeps,
  directory: StreamDirectory,
  post: Post,
  parsed: readonly ParsedStream[],
  receivedAtMs: number,
): Promise<StreamAnswer[]> {
  const wanted = parsed.flatMap((p) => (p.ok ? [`${p.stream.counter} ${p.stream.epoch}`] : []));
  const known = await directory.find(deps.pools.batcher, post, wanted);
  const offsetMs = provenOffsetMs(post.deviceTimeMs, receivedAtMs);

  const answers: StreamAnswer[] = [];
  const intakes: { intake: Intake; answer: StreamAnswer }[] = [];
  for (const each of parsed) {
    if (!each.ok) {
      answers.push(refusedWhole(each));
      continue;
    }
    const posted = each.stream;
    const stream = known.get(`${posted.counter} ${posted.epoch}`);
    if (!stream) {
      answers.push(undeclared(posted, known));
      continue;
    }
    const sorted = sortReadings(posted, stream.widthBits, offsetMs, receivedAtMs);
    const answer = emptyAnswer(posted.counter, posted.epoch);
    answers.push(answer);
    intakes.push({ intake: { posted, stream, ...sorted }, answer });
  }
  intakes.sort((a, b) => a.intake.stream.streamId - b.intake.stream.streamId);
  const contact: Contact = {
    fleetId: post.fleetId,
    gatewayId: post.gatewayId,
    receivedAtMs,
    deviceOffsetMs: post.deviceTimeMs === null ? null : post.deviceTimeMs - receivedAtMs,
  };
  if (!(await storePlain(deps, contact, intakes))) await storeCompared(deps, contact, intakes);
  await noteClock(
    deps,
    contact,
    intakes.map(({ intake }) => intake),
    offsetMs,
  );
  return answers;
}

type Pending = { intake: Intake; answer: StreamAnswer }[];

/** One run a stream, each stream once, nothing lost or refused: one statement does it all. */
async function storePlain(deps: ReadingDeps, contact: Contact, intakes: Pending): Promise<boolean> {
  const ids = new Set(intakes.map(({ intake }) => intake.stream.streamId));
  const plain =
    intakes.length > 0 &&
    ids.size === intakes.length &&
    intakes.every(
      ({ intake }) =>
        intake.runs.length === 1 && intake.refused.length === 0 && intake.posted.lost.length === 0,
    );
  if (!plain) return false;
  const runs: StreamRun[] = intakes.map(({ intake }) => ({
    ...intake.runs[0]!,
    stream: intake.stream,
  }));
  crashPoint('plain_post.before_statement');
  const seen = await deps.posts.commit({ contact, runs });
  if (seen === null) return false;
  crashPoint('plain_post.after_statement');
  for (const { intake, answer } of intakes) {
    answer.accepted = intake.posted.at.length;
    showNumbers(answer, parseMultirange(seen.get(intake.stream.streamId) as string));
    deps.queue.wake('fold', intake.stream.shard);
  }
  return true;
}

/** The first sign of life after a silence changes what is known, also when it brings no reading. */
export async function noteHeard(work: Work, contact: Contact): Promise<void> {
  const { lastPostAtMs, habitMs } = await noteContact(work.tx, contact);
  const silent =
    lastPostAtMs === null || contact.receivedAtMs >= lastPostAtMs + allowedSilenceMs(habitMs);
  if (!silent) return;
  for (const shard of await markHeardLines(work.tx, contact)) work.wake('fold', shard);
}

/** The long way: compares with what is stored, keeps conflicts, refusals and declared losses. */
async function storeCompared(deps: FlowDeps, contact: Contact, intakes: Pending): Promise<void> {
  await withWork(
    deps,
    contact.fleetId,
    async (work) => {
      const before = { ...work, nowMs: contact.receivedAtMs };
      for (const { intake, answer } of intakes) {
        const tally: StreamTally = await settleStream(before, contact, intake);
        answer.accepted = tally.accepted;
        answer.duplicate = tally.duplicate;
        answer.conflict = tally.conflict;
        answer.refused = [...refusedRanges(tally.refused), ...tally.refusedLost];
        showNumbers(answer, tally.seen);
      }
      await noteHeard(before, contact);
      crashPoint('compared_post.before_commit');
    },
    deps.pools.batcher,
  );
  crashPoint('compared_post.after_commit');
}
