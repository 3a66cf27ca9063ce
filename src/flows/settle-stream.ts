import {
  absent,
  addRange,
  hasNumber,
  highest,
  type NumberSet,
  overlap,
  parseMultirange,
  printMultirange,
  subtractRange,
} from '../domain/usage/number-set.ts';
import type { IntakeRun, RefusedRange, RefusedReading } from '../domain/usage/reading-intake.ts';
import { compareResent } from '../domain/usage/resend.ts';
import {
  type Conflict,
  type Contact,
  type DeclaredStream,
  insertConflicts,
  insertLineMark,
  insertRefusals,
  insertRun,
  lockStream,
  runsWithin,
  saveStreamNumbers,
} from '../store/reading.ts';
import type { Intake } from './record-readings.ts';
import type { Work } from './work.ts';

export interface StreamTally {
  accepted: number;
  duplicate: number;
  conflict: number;
  refused: RefusedReading[];
  /** Declared losses that are not believed. */
  refusedLost: (RefusedRange & { detail: string })[];
  seen: NumberSet;
}

/** A stream with more ranges than this takes no number that would open another. */
const rangesMax = 1_000;

/** Runs compared at a time; a run holds at least one number, a post at most 5,000. */
const comparedMax = 5_000;

const part = (run: IntakeRun, from: number, to: number): IntakeRun => ({
  firstSeq: from,
  at: run.at.slice(from - run.firstSeq, to - run.firstSeq + 1),
  raw: run.raw.slice(from - run.firstSeq, to - run.firstSeq + 1),
  offsetMs: run.offsetMs,
});

/** What is known of a stream's numbers while a post is settled. */
interface Numbers {
  seen: NumberSet;
  lost: NumberSet;
  readonly tooLate: NumberSet;
}

interface Settling {
  work: Work;
  contact: Contact;
  stream: DeclaredStream;
  numbers: Numbers;
  tally: StreamTally;
  conflicts: Conflict[];
  /** Readings that came after what follows them was put away. */
  late: RefusedReading[];
  /** From-to of what the fold must look at. */
  marks: [number, number][];
}

/** Adds numbers to the settled ones; false when that would open one range too many. */
function settle(numbers: Numbers, from: number, to: number): boolean {
  const grown = addRange(numbers.seen, from, to);
  if (grown.length > rangesMax && grown.length > numbers.seen.length) return false;
  numbers.seen = grown;
  return true;
}

/** Stores what of a run is new and compares the rest with what is stored. */
async function settleRun(settling: Settling, run: IntakeRun): Promise<void> {
  const { work, contact, stream, numbers, tally, conflicts, late, marks } = settling;
  const { tx, fleetId } = work;
  const to = run.firstSeq + run.raw.length - 1;
  // A number declared lost is settled but not stored, so it counts as new.
  let stored = numbers.seen;
  for (const [a, b] of overlap(numbers.lost, run.firstSeq, to)) {
    stored = subtractRange(stored, a, b);
  }
  for (const [a, b] of absent(stored, run.firstSeq, to)) {
    if (!settle(numbers, a, b)) {
      for (let seq = a; seq <= b; seq++) {
        tally.refused.push({ seq, verdict: 'too_many_gaps', at: null, raw: null });
      }
      continue;
    }
    await insertRun(tx, fleetId, contact.receivedAtMs, { ...part(run, a, b), stream });
    numbers.lost = subtractRange(numbers.lost, a, b);
    marks.push([a, b]);
    tally.accepted += b - a + 1;
  }
  for (const [a, b] of overlap(numbers.tooLate, run.firstSeq, to)) {
    stored = subtractRange(stored, a, b);
    for (let seq = a; seq <= b; seq++) {
      const i = seq - run.firstSeq;
      late.push({ seq, verdict: 'too_late', at: run.at[i], raw: run.raw[i] });
    }
  }
  for (const [a, b] of overlap(stored, run.firstSeq, to)) {
    const held = await runsWithin(tx, fleetId, stream.streamId, a, b, comparedMax);
    const compared = compareResent(run, a, b, held);
    tally.duplicate += compared.duplicate;
    conflicts.push(...compared.conflicts);
  }
}

async function keepConflicts(settling: Settling): Promise<void> {
  const { work, contact, stream, tally, conflicts, marks } = settling;
  if (conflicts.length === 0) return;
  const { receivedAtMs } = contact;
  tally.conflict = conflicts.length;
  const { streamId, counter, epoch } = stream;
  const fresh = await insertConflicts(work.tx, work.fleetId, streamId, receivedAtMs, conflicts);
  if (fresh === 0) return;
  const seqs = conflicts.map((conflict) => conflict.seq);
  marks.push([Math.min(...seqs), Math.max(...seqs)]);
  work.record({
    type: 'reading.conflict',
    subject: `gateway/${contact.gatewayId}`,
    data: { counter, epoch, seqs: seqs.slice(0, 20), count: fresh },
    occurredAtMs: receivedAtMs,
  });
}

/** Kept as they came, and told; nothing is folded for them. */
async function keepLate({ work, contact, stream, tally, late }: Settling): Promise<void> {
  if (late.length === 0) return;
  tally.refused.push(...late);
  await insertRefusals(work.tx, work.fleetId, stream.streamId, contact.receivedAtMs, late);
}

/** A reading that can never be kept is settled too, or its sender would send it for ever. */
async function keepRefusals(settling: Settling, refused: readonly RefusedReading[]): Promise<void> {
  const { work, contact, stream, numbers } = settling;
  const fresh = refused.filter(
    ({ seq }) => !hasNumber(numbers.seen, seq) && settle(numbers, seq, seq),
  );
  if (fresh.length === 0) return;
  // Folded again so that the unit is assessed: what was refused may hide use.
  settling.marks.push([fresh[0]!.seq, fresh.at(-1)!.seq]);
  await insertRefusals(work.tx, work.fleetId, stream.streamId, contact.receivedAtMs, fresh);
}

/**
 * Numbers lost lie below a number that was sent: a device cannot have lost what it has not counted
 * yet, and to settle the future would let it trim what was never stored.
 */
function declareLost(settling: Settling, ranges: readonly [number, number][]): void {
  const { work, contact, stream, numbers, tally } = settling;
  const { counter, epoch } = stream;
  const top = highest(numbers.seen);
  for (const [from, to] of ranges) {
    if (top === null || to > top) {
      tally.refusedLost.push({ from, to, verdict: 'malformed', detail: lostAhead });
      continue;
    }
    for (const [a, b] of absent(numbers.seen, from, to)) {
      const lost = addRange(numbers.lost, a, b);
      if (lost.length > rangesMax || !settle(numbers, a, b)) continue;
      numbers.lost = lost;
      work.record({
        type: 'reading.lost',
        subject: `gateway/${contact.gatewayId}`,
        data: { counter, epoch, from: a, to: b },
        occurredAtMs: contact.receivedAtMs,
      });
    }
  }
}

const lostAhead = 'lost numbers must lie below a number that was sent';

/**
 * Settles one posted stream inside a transaction: locks it, stores the numbers that are new,
 * compares the rest with what is stored, keeps conflicts and refusals. Numbers declared lost are
 * settled, and are still welcome when they turn up after all.
 */
export async function settleStream(
  work: Work,
  contact: Contact,
  { posted, stream, runs, refused }: Intake,
): Promise<StreamTally> {
  const { tx, fleetId } = work;
  const locked = await lockStream(tx, fleetId, stream.streamId);
  const numbers: Numbers = {
    seen: parseMultirange(locked.seen),
    lost: parseMultirange(locked.lost),
    tooLate: parseMultirange(locked.tooLate),
  };
  const { seen } = numbers;
  const tally: StreamTally = {
    accepted: 0,
    duplicate: 0,
    conflict: 0,
    refused: [...refused],
    refusedLost: [],
    seen,
  };
  const settling = { work, contact, stream, numbers, tally, conflicts: [], late: [], marks: [] };
  // First what can never be kept: it closes gaps that would count against the rest.
  await keepRefusals(settling, refused);
  for (const run of runs) await settleRun(settling, run);
  await keepConflicts(settling);
  await keepLate(settling);
  declareLost(settling, posted.lost);
  await saveStreamNumbers(tx, fleetId, stream.streamId, {
    seen: printMultirange(numbers.seen),
    lost: printMultirange(numbers.lost),
  });
  for (const [fromSeq, toSeq] of settling.marks as [number, number][]) {
    await insertLineMark(tx, fleetId, contact.receivedAtMs, { stream, fromSeq, toSeq });
  }
  if (settling.marks.length > 0) work.wake('fold', stream.shard);
  tally.seen = numbers.seen;
  return tally;
}
