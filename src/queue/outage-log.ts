import { systemClock } from '../clock.ts';
import type { Log } from '../log.ts';

const REPEAT_MS = 30_000;

export interface OutageLog {
  failed(error: unknown, detail?: Record<string, unknown>): void;
  worked(): void;
  /** Failures since the start. */
  count(): number;
}

/**
 * Logs a lasting failure when it begins, every half minute while it lasts, and when it is over: a
 * store that is away for an hour must not fill the log with one line per call.
 */
export function outageLog(log: Log, what: string): OutageLog {
  let total = 0;
  let inOutage = 0;
  let loggedAtMs = Number.NEGATIVE_INFINITY;
  return {
    failed(error, detail = {}) {
      total++;
      inOutage++;
      const nowMs = systemClock.nowMs();
      if (inOutage > 1 && nowMs - loggedAtMs < REPEAT_MS) return;
      loggedAtMs = nowMs;
      log.warn({ ...detail, err: error, failures: inOutage }, `queue: ${what} failed`);
    },
    worked() {
      if (inOutage === 0) return;
      log.info({ failures: inOutage }, `queue: ${what} works again`);
      inOutage = 0;
    },
    count: () => total,
  };
}
