import type pg from 'pg';
import type { Clock } from '../clock.ts';
import { crashPoint } from '../crash-points.ts';
import { shardOf } from '../domain/shard.ts';
import type { ShardedJob } from '../queue/jobs.ts';
import type { QueuePort } from '../queue/port.ts';
import { insertEvents, type NewEvent } from '../store/outbox.ts';
import { withFleet } from '../store/pool.ts';
import type { Tx } from '../store/tx.ts';

/** What flows need from the process they run in. */
export interface FlowDeps {
  pools: { app: pg.Pool; batcher: pg.Pool; scheduler: pg.Pool };
  clock: Clock;
  queue: Pick<QueuePort, 'wake' | 'changed'>;
  /** Months of readings that are kept besides the present one; null or nothing: all, for ever. */
  readingsKeepMonths?: number | null;
  /** What the hash of a PIN costs, as a power of two; less than the default in tests only. */
  pinCostLog2?: number;
}

/**
 * One transaction's worth of work for one fleet. Events are written in the transaction; wake-up
 * calls go out after it is committed, because the queue is never the truth.
 */
export interface Work {
  tx: Tx;
  fleetId: number;
  nowMs: number;
  record(...events: NewEvent[]): void;
  wake(job: ShardedJob, shard: number): void;
  /** Tells other processes that something of this fleet changed; sent after the commit. */
  changed(topic: string): void;
}

export async function withWork<T>(
  deps: FlowDeps,
  fleetId: number,
  fn: (work: Work) => Promise<T>,
  pool: pg.Pool = deps.pools.app,
): Promise<T> {
  const calls = new Set<string>();
  const topics = new Set<string>();
  const nowMs = deps.clock.nowMs();
  const result = await withFleet(pool, [fleetId], async (tx) => {
    const events: NewEvent[] = [];
    const work: Work = {
      tx,
      fleetId,
      nowMs,
      record: (...more) => events.push(...more),
      wake: (job, shard) => calls.add(`${job} ${shard}`),
      changed: (topic) => topics.add(`fleet.${fleetId}.${topic}`),
    };
    const value = await fn(work);
    if (events.length > 0) {
      await insertEvents(tx, fleetId, nowMs, events);
      work.wake('sequence', shardOf(fleetId, 'events'));
    }
    crashPoint('work.before_commit');
    return value;
  });
  crashPoint('work.after_commit');
  for (const call of calls) {
    const [job, shard] = call.split(' ');
    deps.queue.wake(job as ShardedJob, Number(shard));
  }
  for (const topic of topics) deps.queue.changed(topic);
  return result;
}
