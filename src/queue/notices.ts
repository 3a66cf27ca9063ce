import type { Relay } from 'bullmq';
import type { Log } from '../log.ts';
import { within } from './bounded.ts';
import { coalescer } from './coalesce.ts';
import { outageLog } from './outage-log.ts';

const TOPIC = /^[A-Za-z0-9_:-]+(\.[A-Za-z0-9_:-]+){0,15}$/;
const MAX_TOPIC = 512;
const MAX_TOPICS_AT_ONCE = 4_096;
const REST_MS = 50;
const FAILED_REST_MS = 1_000;
const STORE_MS = 5_000;

export interface Notices {
  changed(topic: string): void;
  onChange(
    pattern: string,
    listener: (topic: string) => void,
    missed?: () => void,
  ): Promise<() => Promise<void>>;
  flush(): Promise<void>;
  unsent(): number;
  close(waitMs: number): Promise<void>;
}

/**
 * Change notices over BullMQ's Relay. The relay is opened on first use: a process that neither tells
 * nor hears needs no connection for it.
 */
export function createNotices(openRelay: () => Relay<never>, log: Log): Notices {
  const sending = outageLog(log, 'change notice');
  const connection = outageLog(log, 'change notice connection');
  const missedListeners = new Set<() => void>();
  let relay: Relay<never> | null = null;
  let closed = false;

  function opened(): Relay<never> {
    if (closed) throw new Error('queue: closed');
    if (relay) return relay;
    const fresh = openRelay();
    fresh.on('error', (error) => connection.failed(error));
    fresh.on('recovered', () => {
      connection.worked();
      for (const listener of missedListeners) heard(log, listener);
    });
    // Published while the store was away at the start: try again with a new relay.
    fresh.waitUntilReady().catch(() => {
      if (relay === fresh) relay = null;
      void fresh.close().catch(() => undefined);
    });
    relay = fresh;
    return fresh;
  }

  const topics = coalescer({
    async send(topic) {
      const sent = await within(STORE_MS, opened().publish(topic, null), null);
      if (!sent) throw new Error(`not sent within ${STORE_MS} ms`);
    },
    onSent: () => sending.worked(),
    onFailed: (topic, error) => sending.failed(error, { topic }),
    restMs: REST_MS,
    failedRestMs: FAILED_REST_MS,
    maxKeys: MAX_TOPICS_AT_ONCE,
  });

  return {
    changed(topic) {
      if (closed) return;
      if (topic.length > MAX_TOPIC || !TOPIC.test(topic)) {
        sending.failed(new Error('not a topic'), { topic: topic.slice(0, 80) });
        return;
      }
      topics.touch(topic);
    },

    async onChange(pattern, listener, missed) {
      const subscribed = await within(
        STORE_MS,
        opened().subscribe(pattern, ({ topic }) => heard(log, () => listener(topic))),
        null,
      );
      if (!subscribed) throw new Error(`queue: no subscription within ${STORE_MS} ms`);
      // Its own function, so that two subscriptions may share one listener.
      const onMissed = () => missed?.();
      missedListeners.add(onMissed);
      return async () => {
        missedListeners.delete(onMissed);
        await subscribed.unsubscribe();
      };
    },

    flush: () => topics.flush(),
    unsent: () => sending.count(),

    async close(waitMs) {
      topics.stop();
      closed = true;
      if (!relay) return;
      await within(waitMs, relay.close(), undefined).catch((error) => connection.failed(error));
    },
  };
}

function heard(log: Log, listener: () => void): void {
  try {
    listener();
  } catch (error) {
    log.error({ err: error }, 'queue: a change listener failed');
  }
}
