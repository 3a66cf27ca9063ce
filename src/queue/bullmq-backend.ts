import type { JobsOptions, Processor, Queue, Relay, Worker, WorkerOptions } from 'bullmq';
import { systemClock } from '../clock.ts';
import { within } from '../within.ts';
import { type Coalescer, coalescer } from './coalesce.ts';
import {
  type Job,
  type JobName,
  parseJob,
  type ShardedJob,
  type SingleJob,
  workKey,
} from './jobs.ts';
import { Notices } from './notices.ts';
import { type OutageLog, outageLog } from './outage-log.ts';
import type { FailedJob, JobHandlers, QueueHealth, QueueOptions, QueuePort } from './port.ts';
import { MAX_ATTEMPTS, retryDelayMs } from './retry.ts';
import { Runs } from './runs.ts';
import { createSchedules, type Schedules } from './schedules.ts';

/** What differs between the stores of BullMQ. */
export interface BullStore {
  kind: 'redis' | 'postgres';
  queue: Queue;
  openWorker(process: Processor, options: BullWorkerOptions): Worker;
  openRelay(): Relay<never>;
  /** Cuts what is still connected after the queue was closed. */
  end(): void;
}

export type BullWorkerOptions = Omit<WorkerOptions, 'connection' | 'prefix'>;

/** How long a call waits after one for the same work: it bounds the calls of a busy process. */
const REST_MS = 50;
const FAILED_REST_MS = 1_000;
const HEALTH_MS = 3_000;
const KEPT_FAILURES = { count: 500, age: 14 * 86_400 };
/** A worker that dies with a job this often has most likely been killed by the job. */
const MAX_DEATHS = 5;
const MAX_LIST = 500;

/** The part of a deadline for running handlers; the rest is for closing connections. */
const HANDLER_SHARE = 0.7;

/** The port on a BullMQ store that is ready. */
export function createBullQueue(store: BullStore, options: QueueOptions): QueuePort {
  return new BullQueue(store, options);
}

class BullQueue implements QueuePort {
  readonly #store: BullStore;
  readonly #options: QueueOptions;
  readonly #calls: OutageLog;
  readonly #connection: OutageLog;
  readonly #notices: Notices;
  readonly #schedules: Schedules;
  readonly #sender: Coalescer;
  readonly #toSend = new Map<string, Job>();
  #working: Working | null = null;
  #closing: Promise<void> | null = null;

  constructor(store: BullStore, options: QueueOptions) {
    const { log } = options;
    this.#store = store;
    this.#options = options;
    this.#calls = outageLog(log, 'wake-up call');
    this.#connection = outageLog(log, `connection to ${store.kind}`);
    this.#notices = new Notices(() => store.openRelay(), log);
    this.#schedules = createSchedules(store.queue, log);
    this.#sender = coalescer({
      send: (key) => this.#send(key),
      onSent: () => this.#calls.worked(),
      onFailed: (key, error) => this.#calls.failed(error, { job: key }),
      restMs: options.restMs ?? REST_MS,
      failedRestMs: FAILED_REST_MS,
      // Every job of every shard fits.
      maxKeys: 1_024,
    });
    store.queue.on('error', (error) => this.#connection.failed(error));
  }

  wake<J extends JobName>(job: J, ...shard: J extends ShardedJob ? [shard: number] : []): void {
    if (!this.#closing) this.#call(job, shard.length > 0 ? { shard: shard[0] } : {});
  }

  every(job: SingleJob, everyMs: number): Promise<void> {
    return this.#schedules.every(job, everyMs);
  }

  async work(handlers: JobHandlers): Promise<void> {
    if (this.#working || this.#closing) {
      throw new Error('queue: work may be called once, before close');
    }
    this.#working = startWorker(this.#store, this.#options, handlers, this.#connection);
    await this.#working.worker.waitUntilReady();
  }

  changed(topic: string): void {
    if (!this.#closing) this.#notices.changed(topic);
  }

  onChange(
    pattern: string,
    listener: (topic: string) => void,
    missed?: () => void,
  ): Promise<() => Promise<void>> {
    return this.#notices.onChange(pattern, listener, missed);
  }

  async flush(): Promise<void> {
    await Promise.all([this.#sender.flush(), this.#notices.flush()]);
  }

  async health(): Promise<QueueHealth> {
    const both = Promise.all([readCounts(this.#store.queue), this.#schedules.health()]);
    const seen = await within(HEALTH_MS, both, null).catch(() => null);
    if (seen) this.#connection.worked();
    return {
      store: this.#store.kind,
      reachable: seen !== null,
      ...(seen?.[0] ?? NO_COUNTS),
      unsentCalls: this.#calls.count(),
      unsentNotices: this.#notices.unsent(),
      schedules: seen?.[1] ?? [],
    };
  }

  async failures(limit: number): Promise<FailedJob[]> {
    const jobs = await this.#store.queue.getFailed(0, atMost(limit) - 1);
    return jobs.filter((job) => job !== undefined).map(asFailedJob);
  }

  async replay(limit: number): Promise<{ called: number; dropped: number }> {
    const result = { called: 0, dropped: 0 };
    for (const job of await this.#store.queue.getFailed(0, atMost(limit) - 1)) {
      if (!job) continue;
      // A call takes its place, so that it meets the calls for the same work made meanwhile.
      if (this.#call(job.name, job.data)) result.called++;
      else result.dropped++;
      await job.remove();
    }
    await this.#sender.flush();
    return result;
  }

  close(deadlineMs: number): Promise<void> {
    this.#closing ??= this.#stop(deadlineMs);
    return this.#closing;
  }

  /** @returns false for what is no job */
  #call(name: string, payload: unknown): boolean {
    const parsed = parseJob(name, payload);
    if (!parsed.ok) {
      this.#calls.failed(new Error(parsed.problem));
      return false;
    }
    const key = workKey(parsed.job);
    this.#toSend.set(key, parsed.job);
    this.#sender.touch(key);
    return true;
  }

  async #send(key: string): Promise<void> {
    const job = this.#toSend.get(key);
    if (job) await this.#store.queue.add(job.name, job.payload, callOptions(key));
  }

  async #stop(deadlineMs: number): Promise<void> {
    const endAtMs = systemClock.nowMs() + deadlineMs;
    const left = () => Math.max(0, endAtMs - systemClock.nowMs());
    const step = (promise: Promise<unknown>, waitMs = left()) =>
      within(waitMs, promise, undefined).catch((error) => this.#connection.failed(error));
    this.#schedules.stop();
    if (this.#working) {
      const { worker, runs } = this.#working;
      // Takes no new work; does not wait for what is at work.
      await step(worker.pause(true));
      runs.stop();
      const idle = await runs.idle(left() * HANDLER_SHARE);
      if (!idle) {
        this.#options.log.warn({}, 'queue: a handler did not end in time; its job is done again');
      }
      await step(worker.close(!idle));
    }
    await step(this.flush(), left() / 2);
    this.#sender.stop();
    await step(Promise.all([this.#notices.close(left()), this.#store.queue.close()]));
    this.#store.end();
  }
}

interface Working {
  worker: Worker;
  runs: Runs;
}

function startWorker(
  store: BullStore,
  options: QueueOptions,
  handlers: JobHandlers,
  connection: OutageLog,
): Working {
  const lockMs = options.lockMs ?? 20_000;
  const delay = options.retryDelay ?? retryDelayMs;
  const runs = new Runs({
    handlers,
    log: options.log,
    maxRunMs: options.maxRunMs ?? 60_000,
    async call(job: SingleJob) {
      await store.queue.add(job, {}, callOptions(job));
    },
  });
  const worker = store.openWorker((job, token) => runs.process(job, token), {
    concurrency: options.concurrency ?? 4,
    lockDuration: lockMs,
    stalledInterval: lockMs,
    maxStalledCount: MAX_DEATHS,
    // How soon a worker asks again after its store was away.
    runRetryDelay: FAILED_REST_MS,
    settings: {
      backoffStrategy: (attemptsMade, _type, _error, job) =>
        delay(attemptsMade, spreadOf(job?.data)),
    },
  });
  worker.on('error', (error) => connection.failed(error));
  worker.on('active', () => connection.worked());
  worker.on('lockRenewalFailed', (jobIds) => runs.lostLocks(jobIds));
  worker.on('stalled', (jobId) => {
    options.log.warn({ jobId }, 'queue: a worker died with this job; it is done again');
  });
  worker.on('failed', (job, error) => {
    const attempt = job?.attemptsMade ?? 0;
    const last = attempt >= (job?.opts.attempts ?? 1) || error.name === 'UnrecoverableError';
    const detail = { job: job?.name, payload: job?.data, attempt, err: error };
    if (last) options.log.error(detail, 'queue: job given up');
    else options.log.warn(detail, 'queue: attempt failed');
  });
  return { worker, runs };
}

/** Calls for one work key are one job; a call during its run is kept and gives one more run. */
function callOptions(key: string): JobsOptions {
  return {
    deduplication: { id: key, keepLastIfActive: true },
    attempts: MAX_ATTEMPTS,
    backoff: { type: 'custom' },
    removeOnComplete: true,
    removeOnFail: KEPT_FAILURES,
    stackTraceLimit: 1,
  };
}

function spreadOf(data: unknown): number {
  const shard = typeof data === 'object' && data !== null && 'shard' in data ? data.shard : 0;
  return typeof shard === 'number' ? shard : 0;
}

async function readCounts(queue: Queue) {
  const [counts, oldest] = await Promise.all([
    queue.getJobCounts('waiting', 'active', 'delayed', 'failed'),
    queue.getJobs(['waiting'], 0, 0, true),
  ]);
  const since = oldest[0]?.timestamp;
  return {
    waiting: counts.waiting ?? 0,
    active: counts.active ?? 0,
    delayed: counts.delayed ?? 0,
    failed: counts.failed ?? 0,
    oldestWaitingMs: since === undefined ? null : Math.max(0, systemClock.nowMs() - since),
  };
}

const NO_COUNTS = { waiting: 0, active: 0, delayed: 0, failed: 0, oldestWaitingMs: null };

function asFailedJob(job: Awaited<ReturnType<Queue['getFailed']>>[number]): FailedJob {
  return {
    id: job.id ?? '',
    name: job.name,
    payload: job.data as unknown,
    error: job.failedReason ?? '',
    attempts: job.attemptsMade,
    failedAtMs: job.finishedOn ?? null,
  };
}

function atMost(limit: number): number {
  return Math.max(1, Math.min(MAX_LIST, Math.floor(limit) || 1));
}
