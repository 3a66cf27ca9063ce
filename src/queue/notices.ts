import type { Relay } from 'bullmq';
import type { Log } from '../log.ts';
import { within } from '../within.ts';
import { type Coalescer, coalescer } from './coalesce.ts';
import { type OutageLog, outageLog } from './outage-log.ts';

const TOPIC = /^[A-Za-z0-9_:-]+(\.[A-Za-z0-9_:-]+){0,15}$/;
const MAX_TOPIC = 512;
const MAX_TOPICS_AT_ONCE = 4_096;
const REST_MS = 50;
const FAILED_REST_MS = 1_000;
const STORE_MS = 5_000;

/**
 * Change notices over BullMQ's Relay. The relay is opened on first use: a process that neither
 * tells nor hears needs no connection for it.
 */
export class Notices {
  readonly #openRelay: () => Relay<never>;
  readonly #log: Log;
  readonly #sending: OutageLog;
  readonly #connection: OutageLog;
  readonly #missedListeners = new Set<() => void>();
  readonly #topics: Coalescer;
  #relay: Relay<never> | null = null;
  #closed = false;

  constructor(openRelay: () => Relay<never>, log: Log) {
    this.#openRelay = openRelay;
    this.#log = log;
    this.#sending = outageLog(log, 'change notice');
    this.#connection = outageLog(log, 'change notice connection');
    this.#topics = coalescer({
      send: (topic) => this.#publish(topic),
      onSent: () => this.#sending.worked(),
      onFailed: (topic, error) => this.#sending.failed(error, { topic }),
      restMs: REST_MS,
      failedRestMs: FAILED_REST_MS,
      maxKeys: MAX_TOPICS_AT_ONCE,
    });
  }

  changed(topic: string): void {
    if (this.#closed) return;
    if (topic.length > MAX_TOPIC || !TOPIC.test(topic)) {
      this.#sending.failed(new Error('not a topic'), { topic: topic.slice(0, 80) });
      return;
    }
    this.#topics.touch(topic);
  }

  async onChange(
    pattern: string,
    listener: (topic: string) => void,
    missed?: () => void,
  ): Promise<() => Promise<void>> {
    const hear = ({ topic }: { topic: string }) => heard(this.#log, () => listener(topic));
    const subscribed = await within(STORE_MS, this.#opened().subscribe(pattern, hear), null);
    if (!subscribed) throw new Error(`queue: no subscription within ${STORE_MS} ms`);
    // Its own function, so that two subscriptions may share one listener.
    const onMissed = () => missed?.();
    this.#missedListeners.add(onMissed);
    return async () => {
      this.#missedListeners.delete(onMissed);
      await subscribed.unsubscribe();
    };
  }

  flush(): Promise<void> {
    return this.#topics.flush();
  }

  /** Notices that could not be sent since the start. */
  unsent(): number {
    return this.#sending.count();
  }

  async close(waitMs: number): Promise<void> {
    this.#topics.stop();
    this.#closed = true;
    if (!this.#relay) return;
    const closing = within(waitMs, this.#relay.close(), undefined);
    await closing.catch((error) => this.#connection.failed(error));
  }

  async #publish(topic: string): Promise<void> {
    const sent = await within(STORE_MS, this.#opened().publish(topic, null), null);
    if (!sent) throw new Error(`not sent within ${STORE_MS} ms`);
  }

  #opened(): Relay<never> {
    if (this.#closed) throw new Error('queue: closed');
    if (this.#relay) return this.#relay;
    const relay = this.#openRelay();
    relay.on('error', (error) => this.#connection.failed(error));
    relay.on('recovered', () => {
      this.#connection.worked();
      for (const listener of this.#missedListeners) heard(this.#log, listener);
    });
    // Its start failed because the store is away: the next use tries a new one.
    relay.waitUntilReady().catch(() => {
      if (this.#relay === relay) this.#relay = null;
      void relay.close().catch(() => undefined);
    });
    this.#relay = relay;
    return relay;
  }
}

function heard(log: Log, listener: () => void): void {
  try {
    listener();
  } catch (error) {
    log.error({ err: error }, 'queue: a change listener failed');
  }
}
