import { randomBytes } from 'node:crypto';
import { crashPoint } from '../crash-points.ts';
import { eventHash, personalDigest } from '../domain/events/event-chain.ts';
import { instantText } from '../domain/instant.ts';
import { shardOf } from '../domain/shard.ts';
import {
  type EventRow,
  fleetsWithOutbox,
  insertNumbered,
  lastEventNumber,
  lockChain,
  moveChain,
  numberWorks,
  waitingEvents,
} from '../store/event.ts';
import { withFleet } from '../store/pool.ts';
import type { Tx } from '../store/tx.ts';
import { Faults } from './faults.ts';
import type { FlowDeps } from './work.ts';

/** One statement numbers at most this many, so that the chain is held only for a moment. */
const eventsAtOnce = 500;

/**
 * Numbers and chains what waits in a fleet's outbox. It runs after the causes were committed, so a
 * reader of `after=` never misses a late commit, and writers never queue on the chain.
 */
export async function sequenceFleet(tx: Tx, fleetId: number, nowMs: number): Promise<number> {
  const chain = await lockChain(tx, fleetId);
  if (!chain) return 0;
  const waiting = await waitingEvents(tx, fleetId, eventsAtOnce);
  if (waiting.length === 0) return 0;
  let { lastNumber, lastHash } = chain;
  const events: EventRow[] = [];
  const personal: {
    fleetId: number;
    number: number;
    salt: Buffer;
    personal: unknown;
  }[] = [];
  for (const row of waiting) {
    const number = lastNumber + 1;
    const salt = row.personal === null ? null : randomBytes(16);
    const digest = salt === null ? null : personalDigest(salt, row.personal);
    if (salt) personal.push({ fleetId, number, salt, personal: row.personal });
    const hash = eventHash(lastHash, {
      number,
      type: row.type,
      subject: row.subject,
      data: row.data,
      personalDigest: digest?.toString('hex') ?? null,
      occurredAt: instantText(row.occurredAtMs),
      recordedAt: instantText(row.recordedAtMs),
    });
    events.push({
      fleetId,
      number,
      type: row.type,
      subject: row.subject,
      data: row.data,
      personalDigest: digest,
      occurredAtMs: row.occurredAtMs,
      recordedAtMs: row.recordedAtMs,
      numberedAtMs: nowMs,
      previousHash: lastHash,
      hash,
    });
    lastNumber = number;
    lastHash = hash;
  }
  await insertNumbered(tx, events, personal);
  crashPoint('sequence.events_inserted');
  const works = waiting.flatMap(({ workNo }, i) =>
    workNo === null ? [] : [{ workNo, number: (events[i] as EventRow).number }],
  );
  const isLast = waiting.length < eventsAtOnce;
  await numberWorks(tx, fleetId, works, isLast ? (events[0] as EventRow).number : null);
  const ids = waiting.map((row) => row.outboxId);
  await moveChain(tx, fleetId, { lastNumber, lastHash }, ids);
  crashPoint('sequence.before_commit');
  return events.length;
}

/** One call of a reader numbers at most so many batches; a long queue is the job's. */
const batchesForReader = 20;

/**
 * Numbers what waits in one fleet's outbox, for a reader who wants to see what was just written.
 * Answers the last number.
 */
export async function sequenceForReader(deps: FlowDeps, fleetId: number): Promise<number> {
  const { app } = deps.pools;
  for (let batch = 0; batch < batchesForReader; batch += 1) {
    const nowMs = deps.clock.nowMs();
    const count = await withFleet(app, [fleetId], (tx) => sequenceFleet(tx, fleetId, nowMs));
    if (count > 0) deps.queue.changed(`fleet.${fleetId}.events`);
    if (count < eventsAtOnce) break;
  }
  return withFleet(app, [fleetId], (tx) => lastEventNumber(tx, fleetId));
}

/** Numbers the events of the fleets of a shard until none waits; stops early when told to. */
export async function sequenceShard(
  deps: FlowDeps,
  shard: number,
  signal?: AbortSignal,
): Promise<number> {
  const { app, scheduler } = deps.pools;
  let numbered = 0;
  const faults = new Faults();
  for (const fleetId of await fleetsWithOutbox(scheduler)) {
    if (shardOf(fleetId, 'events') !== shard) continue;
    for (;;) {
      if (signal?.aborted) return numbered;
      const nowMs = deps.clock.nowMs();
      const sequence = () => withFleet(app, [fleetId], (tx) => sequenceFleet(tx, fleetId, nowMs));
      const count = (await faults.pass(String(fleetId), sequence)) ?? 0;
      if (count > 0) crashPoint('sequence.after_commit');
      numbered += count;
      if (count > 0) deps.queue.changed(`fleet.${fleetId}.events`);
      if (count < eventsAtOnce) break;
    }
  }
  faults.tell();
  return numbered;
}
