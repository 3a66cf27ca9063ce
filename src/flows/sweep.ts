import { shardOf } from '../domain/shard.ts';
import { dropOldReceipts } from '../store/idempotency.ts';
import { withFleet } from '../store/pool.ts';
import { allFleets, ensurePartitions, waitingWork } from '../store/sweep.ts';
import type { FlowDeps } from './work.ts';

const dayMs = 86_400_000;
/** Partitions exist for this long ahead, so that a missed run loses nothing. */
export const aheadMs = 93 * dayMs;
const receiptsKeptMs = 2 * dayMs;

/** Sends the wake-up calls again of all work that waits; answers in how many places it does. */
export async function sweep(deps: FlowDeps): Promise<number> {
  const work = await waitingWork(deps.pools.scheduler, deps.clock.nowMs());
  for (const shard of work.fold) deps.queue.wake('fold', shard);
  for (const shard of work.assess) deps.queue.wake('assess', shard);
  for (const shard of work.watch) deps.queue.wake('watch', shard);
  for (const fleetId of work.sequence) deps.queue.wake('sequence', shardOf(fleetId, 'events'));
  return work.waiting;
}

/** Makes partitions ahead of time and drops receipts that nobody can ask for any more. */
export async function keepHouse(deps: FlowDeps): Promise<{ partitions: number; receipts: number }> {
  const nowMs = deps.clock.nowMs();
  const { scheduler, app } = deps.pools;
  const partitions = await ensurePartitions(scheduler, nowMs - dayMs, nowMs + aheadMs);
  let receipts = 0;
  for (const fleetId of await allFleets(scheduler)) {
    receipts += await withFleet(app, [fleetId], (tx) =>
      dropOldReceipts(tx, fleetId, nowMs - receiptsKeptMs),
    );
  }
  return { partitions, receipts };
}
