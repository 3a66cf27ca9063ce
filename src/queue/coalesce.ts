export interface CoalescerOptions {
  /** Sends one call. May fail; must settle in bounded time. */
  send(key: string): Promise<void>;
  onSent(): void;
  onFailed(key: string, error: unknown): void;
  /** Rest between two sends of one key, milliseconds. */
  restMs: number;
  /** Rest after a failed send, milliseconds. */
  failedRestMs: number;
  /** Keys held at the same time; calls for more are failures. */
  maxKeys: number;
}

export interface Coalescer {
  /** Asks for one send of the key after now. Returns at once. */
  touch(key: string): void;
  /** Sends what rests, and resolves when what was asked so far is sent or has failed. */
  flush(): Promise<void>;
  /** Takes no more; `flush` first for what was asked before. */
  stop(): void;
}

interface Entry {
  /** Set while a send is on its way. */
  sending: Promise<void> | null;
  /** Asked again since the send began. */
  again: boolean;
  rest: NodeJS.Timeout | null;
}

/**
 * Makes many calls for a key few: at most one send on its way per key, then a short rest. A call
 * during a send or a rest gives one send after it, because the send under way may be read before
 * the caller's commit can be seen.
 */
export function coalescer(options: CoalescerOptions): Coalescer {
  const entries = new Map<string, Entry>();
  let stopped = false;

  function start(key: string, entry: Entry): void {
    if (entry.rest) clearTimeout(entry.rest);
    entry.rest = null;
    entry.again = false;
    entry.sending = send(key, entry);
  }

  async function send(key: string, entry: Entry): Promise<void> {
    let restMs = options.restMs;
    try {
      await options.send(key);
      options.onSent();
    } catch (error) {
      restMs = options.failedRestMs;
      options.onFailed(key, error);
    }
    entry.sending = null;
    entry.rest = setTimeout(() => wakeUp(key, entry), restMs);
    // A process may end with a key at rest: `flush` is what makes sure that it is sent.
    entry.rest.unref();
  }

  function wakeUp(key: string, entry: Entry): void {
    entry.rest = null;
    if (entry.again) start(key, entry);
    else entries.delete(key);
  }

  return {
    touch(key) {
      if (stopped) return;
      const known = entries.get(key);
      if (known) {
        known.again = true;
        return;
      }
      if (entries.size >= options.maxKeys) {
        options.onFailed(key, new Error(`more than ${options.maxKeys} different calls at once`));
        return;
      }
      const entry: Entry = { sending: null, again: false, rest: null };
      entries.set(key, entry);
      start(key, entry);
    },

    async flush() {
      // Twice: a key asked for again during its first send needs a second one.
      for (let round = 0; round < 2; round++) {
        for (const [key, entry] of entries) if (entry.rest && entry.again) start(key, entry);
        await Promise.all([...entries.values()].map((entry) => entry.sending));
      }
    },

    stop() {
      stopped = true;
      for (const entry of entries.values()) if (entry.rest) clearTimeout(entry.rest);
    },
  };
}
