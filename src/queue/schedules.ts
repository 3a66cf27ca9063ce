import type { Queue } from 'bullmq';
import { systemClock } from '../clock.ts';
import type { Log } from '../log.ts';
import type { SingleJob } from './jobs.ts';
import { outageLog } from './outage-log.ts';
import type { ScheduleHealth } from './port.ts';
import { TICK } from './runs.ts';

const MIN_EVERY_MS = 250;
const MAX_EVERY_MS = 86_400_000;
const MIN_GUARD_MS = 1_000;

export interface Schedules {
  every(job: SingleJob, everyMs: number): Promise<void>;
  health(): Promise<ScheduleHealth[]>;
  stop(): void;
}

/**
 * Ticks from BullMQ's schedulers, each watched by every process that wants it: a schedule that the
 * store has lost (a flushed Redis, a restored dump) or that stands still is registered again.
 */
export function createSchedules(queue: Queue, log: Log): Schedules {
  const wanted = new Map<SingleJob, { everyMs: number; guard: NodeJS.Timeout }>();
  const registering = outageLog(log, 'schedule');
  let stopped = false;

  async function ensure(job: SingleJob, everyMs: number): Promise<void> {
    try {
      const known = await queue.getJobScheduler(job);
      // BullMQ works with the machine's time, so its times are compared with no other clock.
      const lateMs = known?.next === undefined ? 0 : systemClock.nowMs() - known.next;
      const stands = lateMs > 2 * everyMs + MIN_GUARD_MS;
      if (known?.next !== undefined && known.every === everyMs && !stands) return;
      if (stopped) return;
      await queue.upsertJobScheduler(
        job,
        { every: everyMs },
        {
          name: TICK,
          data: { job },
          // A tick that fails is not tried again: the next one comes anyway.
          opts: { attempts: 1, removeOnComplete: true, removeOnFail: { count: 20 } },
        },
      );
      registering.worked();
    } catch (error) {
      if (!stopped) registering.failed(error, { job });
    }
  }

  return {
    async every(job, everyMs) {
      if (!Number.isInteger(everyMs) || everyMs < MIN_EVERY_MS || everyMs > MAX_EVERY_MS) {
        throw new RangeError(`every: ${everyMs} ms is not from ${MIN_EVERY_MS} to ${MAX_EVERY_MS}`);
      }
      const before = wanted.get(job);
      if (before) clearInterval(before.guard);
      let checking = false;
      const check = async () => {
        if (checking || stopped) return;
        checking = true;
        await ensure(job, everyMs);
        checking = false;
      };
      const guard = setInterval(() => void check(), Math.max(MIN_GUARD_MS, everyMs));
      guard.unref();
      wanted.set(job, { everyMs, guard });
      await check();
    },

    async health() {
      const rows = [...wanted].map(async ([job, { everyMs }]) => {
        const known = await queue.getJobScheduler(job);
        const next = known?.next;
        const lateMs = next === undefined ? null : Math.max(0, systemClock.nowMs() - next);
        return { job, everyMs, lateMs, ticks: known?.iterationCount ?? 0 };
      });
      return Promise.all(rows);
    },

    stop() {
      stopped = true;
      for (const { guard } of wanted.values()) clearInterval(guard);
    },
  };
}
