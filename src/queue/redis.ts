import { Queue, Relay, type RelayOptions, Worker } from 'bullmq';
import { within } from './bounded.ts';
import { createBullQueue } from './bullmq-backend.ts';
import type { QueueOptions, QueuePort } from './port.ts';

const READY_MS = 10_000;
/** Longest wait for one command of the calling side; workers wait on purpose and have none. */
const COMMAND_MS = 5_000;
const MAX_EVENTS = 1_000;

/**
 * The queue on a Redis (6.2 or newer, `maxmemory-policy noeviction`).
 *
 * @param url `redis://…` or `rediss://…`
 * @throws when it does not answer within 10 s
 */
export async function openRedisQueue(url: string, options: QueueOptions): Promise<QueuePort> {
  const name = options.name ?? 'liftwright';
  const shared = { url, retryStrategy: (times: number) => Math.min(200 * times, 5_000) };
  // The worker must outlast an outage; the calling side must fail and leave it to the sweep.
  const patient = { ...shared, maxRetriesPerRequest: null };
  // Must reconnect, but must not heap up notices meanwhile. Its inbox reads wait 5 s on purpose.
  const noticing = { ...patient, enableOfflineQueue: false, commandTimeout: 3 * COMMAND_MS };
  const hasty = {
    ...shared,
    maxRetriesPerRequest: 1,
    enableOfflineQueue: false,
    commandTimeout: COMMAND_MS,
  };
  const queue = new Queue('work', {
    connection: hasty,
    prefix: name,
    streams: { events: { maxLen: MAX_EVENTS } },
  });
  let lastError = '';
  queue.on('error', (error) => {
    lastError = error.message;
  });
  const ready = await within(
    READY_MS,
    queue.waitUntilReady().then(() => true),
    false,
  );
  if (!ready) {
    void queue.disconnect().catch(() => undefined);
    throw new Error(`Redis did not answer within ${READY_MS / 1000} s. ${lastError}`.trim());
  }
  return createBullQueue(
    {
      kind: 'redis',
      queue,
      openWorker: (process, workerOptions) =>
        new Worker('work', process, { ...workerOptions, connection: patient, prefix: name }),
      openRelay: () => {
        const relay: RelayOptions = { connection: noticing, prefix: name, leaseDuration: 15_000 };
        return new Relay(relay) as unknown as Relay<never>;
      },
    },
    options,
  );
}
