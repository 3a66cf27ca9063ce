import {
  absent,
  addRange,
  type NumberSet,
  overlap,
  parseMultirange,
  printMultirange,
  subtractRange,
} from '../domain/usage/number-set.ts';
import type { IntakeRun, RefusedReading } from '../domain/usage/reading-intake.ts';
import { compareResent } from '../domain/usage/resend.ts';
import {
  type Contact,
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

/**
 * Settles one posted stream inside a transaction: locks it, stores the numbers that are new, compares the
 * rest with what is stored, keeps conflicts and refusals. Numbers declared lost are settled, and are
 * still welcome when they turn up after all.
 */
export async function settleStream(
  work: Work,
  contact: Contact,
  { posted, stream, runs, refused }: Intake,
): Promise<StreamTally> {
  const { tx, fleetId } = work;
  const { receivedAtMs } = contact;
  const locked = await lockStream(tx, fleetId, stream.streamId);
  let seen = parseMultirange(locked.seen);
  let lost = parseMultirange(locked.lost);
  let refusedSet = parseMultirange(locked.refused);
  const tally: StreamTally = {
    accepted: 0,
    duplicate: 0,
    conflict: 0,
    refused: [...refused],
    seen,
  };
  const conflicts: { seq: number; at: number; raw: number }[] = [];
  const marks: [number, number][] = [];

  for (const run of runs) {
    const to = run.firstSeq + run.raw.length - 1;
    // A number declared lost is settled but not stored, so it counts as new.
    let stored = seen;
    for (const [a, b] of overlap(lost, run.firstSeq, to)) stored = subtractRange(stored, a, b);
    for (const [a, b] of absent(stored, run.firstSeq, to)) {
      const grown = addRange(seen, a, b);
      if (grown.length > rangesMax && grown.length > seen.length) {
        for (let seq = a; seq <= b; seq++) {
          tally.refused.push({
            seq,
            verdict: 'too_many_gaps',
            at: null,
            raw: null,
          });
        }
        continue;
      }
      await insertRun(tx, fleetId, receivedAtMs, {
        ...part(run, a, b),
        stream,
      });
      seen = grown;
      lost = subtractRange(lost, a, b);
      marks.push([a, b]);
      tally.accepted += b - a + 1;
    }
    for (const [a, b] of overlap(stored, run.firstSeq, to)) {
      const held = await runsWithin(tx, fleetId, stream.streamId, a, b, comparedMax);
      const compared = compareResent(run, a, b, held);
      tally.duplicate += compared.duplicate;
      conflicts.push(...compared.conflicts);
    }
  }
  if (conflicts.length > 0) {
    tally.conflict = conflicts.length;
    const fresh = await insertConflicts(tx, fleetId, stream.streamId, receivedAtMs, conflicts);
    if (fresh > 0) {
      marks.push([conflicts[0]!.seq, conflicts.at(-1)!.seq]);
      work.record({
        type: 'reading.conflict',
        subject: `gateway/${contact.gatewayId}`,
        data: {
          counter: stream.counter,
          epoch: stream.epoch,
          seqs: conflicts.slice(0, 20).map((c) => c.seq),
          count: fresh,
        },
        occurredAtMs: receivedAtMs,
      });
    }
  }
  const settledRefusals = refused.filter(({ seq }) => absent(seen, seq, seq).length > 0);
  for (const { seq } of settledRefusals) {
    const grown = addRange(seen, seq, seq);
    if (grown.length > rangesMax) continue;
    seen = grown;
    refusedSet = addRange(refusedSet, seq, seq);
  }
  if (settledRefusals.length > 0) {
    await insertRefusals(tx, fleetId, stream.streamId, receivedAtMs, settledRefusals);
  }
  for (const [from, to] of posted.lost) {
    for (const [a, b] of absent(seen, from, to)) {
      const grown = addRange(seen, a, b);
      if (grown.length > rangesMax && grown.length > seen.length) continue;
      seen = grown;
      lost = addRange(lost, a, b);
      work.record({
        type: 'reading.lost',
        subject: `gateway/${contact.gatewayId}`,
        data: { counter: stream.counter, epoch: stream.epoch, from: a, to: b },
        occurredAtMs: receivedAtMs,
      });
    }
  }
  await saveStreamNumbers(tx, fleetId, stream.streamId, {
    seen: printMultirange(seen),
    lost: printMultirange(lost),
    refused: printMultirange(refusedSet),
  });
  for (const [fromSeq, toSeq] of marks) {
    await insertLineMark(tx, fleetId, receivedAtMs, { stream, fromSeq, toSeq });
  }
  if (marks.length > 0) work.wake('fold', stream.shard);
  tally.seen = seen;
  return tally;
}
