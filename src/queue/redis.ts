import { Queue, Relay, type RelayOptions, Worker } from 'bullmq';
import { Redis, type RedisOptions } from 'ioredis';
import { within } from '../within.ts';
import { createBullQueue } from './bullmq-backend.ts';
import type { QueueOptions, QueuePort } from './port.ts';

const READY_MS = 10_000;
/** Longest wait for one command of the calling side; workers wait on purpose and have none. */
const COMMAND_MS = 5_000;
/** How long one read of an inbox waits for notices; must stay below `COMMAND_MS`. */
const INBOX_MS = 2_000;
const MAX_EVENTS = 1_000;

/**
 * The queue on a Redis (6.2 or newer, `maxmemory-policy noeviction`).
 *
 * @param url `redis://…` or `rediss://…`
 * @throws when it refuses, or does not answer within 10 s
 */
export async function openRedisQueue(url: string, options: QueueOptions): Promise<QueuePort> {
  const name = options.name ?? 'liftwright';
  const clients = createClients(url);
  const shared = { retryStrategy: (times: number) => Math.min(200 * times, 5_000) };
  // The worker must outlast an outage; the calling side must fail and leave it to the sweep.
  const patient = { ...shared, maxRetriesPerRequest: null };
  // Must reconnect, but must not heap up notices meanwhile.
  const noticing = {
    ...shared,
    maxRetriesPerRequest: 0,
    enableOfflineQueue: false,
    commandTimeout: COMMAND_MS,
  };
  const hasty = {
    ...shared,
    maxRetriesPerRequest: 1,
    enableOfflineQueue: false,
    commandTimeout: COMMAND_MS,
  };
  const queue = new Queue('work', {
    connection: clients.open(hasty),
    prefix: name,
    streams: { events: { maxLen: MAX_EVENTS } },
  });
  let lastError = '';
  queue.on('error', (error) => {
    lastError = error.message;
  });
  const ready = queue.waitUntilReady().then(
    () => true,
    (error: Error) => {
      lastError = error.message;
      return false;
    },
  );
  if (!(await within(READY_MS, ready, false))) {
    clients.end();
    throw new Error(`Redis cannot be used, waited ${READY_MS / 1000} s at most: ${lastError}`);
  }
  return createBullQueue(
    {
      kind: 'redis',
      queue,
      openWorker: (process, workerOptions) =>
        new Worker('work', process, {
          ...workerOptions,
          connection: clients.open(patient),
          prefix: name,
        }),
      openRelay: () => {
        const connection = clients.open(noticing);
        const relay: RelayOptions = {
          connection,
          prefix: name,
          leaseDuration: 15_000,
          blockTimeout: INBOX_MS,
        };
        return new Relay(relay) as unknown as Relay<never>;
      },
      end: () => clients.end(),
    },
    options,
  );
}

/**
 * Makes clients and can end them all: BullMQ's own close waits for a Redis that is away, and the
 * clients that it leaves behind would go on connecting.
 */
function createClients(url: string): { open(options: RedisOptions): Redis; end(): void } {
  const all = new Set<Redis>();
  const keep = (client: Redis): Redis => {
    all.add(client);
    client.once('end', () => all.delete(client));
    // BullMQ listens too, but not from the first moment to the last.
    client.on('error', () => undefined);
    client.duplicate = (changed) => keep(new Redis({ ...client.options, ...changed }));
    return client;
  };
  return {
    open: (options) => keep(new Redis(url, options)),
    end() {
      for (const client of [...all]) {
        client.disconnect();
        if (client.status !== 'reconnecting') continue;
        // Between two tries a client would keep its commands, and who waits for them, for ever. A
        // try that is cut at once rejects them.
        client.connect().catch(() => undefined);
        client.disconnect();
      }
    },
  };
}
