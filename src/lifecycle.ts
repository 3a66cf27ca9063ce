import type { FastifyInstance } from 'fastify';
import fp from 'fastify-plugin';
import type { Log } from './log.ts';
import { within } from './within.ts';

export interface LifecycleOptions {
  log: Log;
  /** From the signal to the exit. Default 10 s. */
  deadlineMs?: number;
  /** Ends the process; tests give their own. */
  exit?: (code: number) => void;
}

/** Stops one part; `withinMs` is what it may take, after which the next part is stopped anyway. */
export type StopStep = (withinMs: number) => Promise<unknown> | unknown;

export interface Lifecycle {
  /** True from the first signal on: readiness answers no, nothing new begins. */
  readonly stopping: boolean;
  /**
   * Registers a part. Parts stop in the reverse order of registration, so register each when it is
   * opened: the database server first, then pools, workers, and the listening API last.
   */
  onStop(name: string, step: StopStep): void;
  /** Listens to SIGTERM, SIGINT and uncaught errors from now on. */
  run(): void;
  /** Stops all parts and exits with `code`, or with 1 when a part failed or took too long. */
  stop(reason: string, code?: number): Promise<void>;
  /** Resolves when the last part has stopped. */
  readonly stopped: Promise<void>;
}

/** Kept back for each part that is still to stop. */
const RESERVE_MS = 700;
const LEAST_MS = 200;
/**
 * One Ctrl-C reaches a process twice when npm runs it: from the terminal and from npm. Only a later
 * signal is a person who does not want to wait.
 */
const SAME_SIGNAL_MS = 1_000;
const SIGNAL_NUMBERS = { SIGINT: 2, SIGTERM: 15 } as const;

const defaultExit = (code: number): void => {
  process.exit(code);
};

/** Runs one step, bounded; true when it ended well and in time. */
async function runStep(name: string, step: StopStep, withinMs: number, log: Log) {
  try {
    const work = (async () => {
      await step(withinMs);
      return true;
    })();
    if (await within(withinMs, work, false)) return true;
    log.warn({ part: name, withinMs }, `${name} did not stop in time`);
  } catch (error) {
    log.error({ part: name, err: error }, `${name} failed to stop`);
  }
  return false;
}

/** The life of one process: parts are registered as they open, and stopped in reverse. */
export function createLifecycle(options: LifecycleOptions): Lifecycle {
  const { log } = options;
  const deadlineMs = options.deadlineMs ?? 10_000;
  const exit = options.exit ?? defaultExit;
  const steps: { name: string; step: StopStep }[] = [];
  const { promise: stopped, resolve: settle } = Promise.withResolvers<void>();
  let stoppingSince: number | null = null;

  const stop = async (reason: string, code = 0): Promise<void> => {
    if (stoppingSince !== null) return stopped;
    stoppingSince = performance.now();
    log.info({ reason }, `stopping: ${reason}`);
    const last = setTimeout(() => exit(1), deadlineMs + LEAST_MS * (steps.length + 1));
    last.unref();
    let good = true;
    for (let part = steps.pop(); part !== undefined; part = steps.pop()) {
      const left = deadlineMs - (performance.now() - stoppingSince) - RESERVE_MS * steps.length;
      const withinMs = Math.max(LEAST_MS, Math.floor(left));
      good = (await runStep(part.name, part.step, withinMs, log)) && good;
    }
    clearTimeout(last);
    log.info({ clean: good }, 'stopped');
    settle();
    exit(good ? code : Math.max(code, 1));
  };

  const onSignal = (signal: keyof typeof SIGNAL_NUMBERS) => {
    if (stoppingSince === null) {
      void stop(signal);
    } else if (performance.now() - stoppingSince > SAME_SIGNAL_MS) {
      log.warn({ signal }, 'second signal: leaving at once');
      exit(128 + SIGNAL_NUMBERS[signal]);
    }
  };
  const onFault = (fault: unknown) => {
    log.error({ err: fault }, 'unexpected error; the process cannot go on safely');
    void stop('unexpected error', 1);
  };

  return {
    get stopping() {
      return stoppingSince !== null;
    },
    stopped,
    onStop: (name, step) => {
      steps.push({ name, step });
    },
    run: () => {
      process.on('SIGTERM', onSignal);
      process.on('SIGINT', onSignal);
      process.on('uncaughtException', onFault);
      process.on('unhandledRejection', onFault);
    },
    stop,
  };
}

/**
 * Adds `connection: close` to each answer once the app closes or the process stops. Without it a
 * client with a kept-alive connection holds the closing server for the whole keep-alive time.
 */
export const drainPlugin = fp<{ lifecycle?: Pick<Lifecycle, 'stopping'> }>(
  async (app, { lifecycle }) => {
    let closing = false;
    app.addHook('preClose', async () => {
      closing = true;
    });
    app.addHook('onSend', async (_request, reply) => {
      if (closing || lifecycle?.stopping) reply.header('connection', 'close');
    });
  },
  { name: 'drain' },
);

/** Stops listening and lets requests finish; those that take too long are cut. */
export function stopHttp(app: Pick<FastifyInstance, 'close' | 'server'>): StopStep {
  return async (withinMs) => {
    const timer = setTimeout(() => app.server.closeAllConnections(), withinMs * 0.9);
    try {
      await app.close();
    } finally {
      clearTimeout(timer);
    }
  };
}
