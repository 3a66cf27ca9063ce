import type { JobsOptions, Processor, Queue, Relay, Worker, WorkerOptions } from 'bullmq';
import { systemClock } from '../clock.ts';
import { within } from './bounded.ts';
import { coalescer } from './coalesce.ts';
import { type Job, parseJob, type SingleJob, workKey } from './jobs.ts';
import { createNotices } from './notices.ts';
import { type OutageLog, outageLog } from './outage-log.ts';
import type { FailedJob, JobHandlers, QueueHealth, QueueOptions, QueuePort } from './port.ts';
import { MAX_ATTEMPTS, retryDelayMs } from './retry.ts';
import { createRuns, type Runs } from './runs.ts';
import { createSchedules } from './schedules.ts';

/** What differs between the stores of BullMQ. */
export interface BullStore {
  kind: 'redis' | 'postgres';
  queue: Queue;
  openWorker(process: Processor, options: BullWorkerOptions): Worker;
  openRelay(): Relay<never>;
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
  const { queue } = store;
  const log = options.log;
  const calls = outageLog(log, 'wake-up call');
  const connection = outageLog(log, `connection to ${store.kind}`);
  const notices = createNotices(() => store.openRelay(), log);
  const schedules = createSchedules(queue, log);
  let working: { worker: Worker; runs: Runs } | null = null;
  let closing: Promise<void> | null = null;
  queue.on('error', (error) => connection.failed(error));

  const toSend = new Map<string, Job>();
  const sender = coalescer({
    async send(key) {
      const job = toSend.get(key);
      if (job) await queue.add(job.name, job.payload, callOptions(key));
    },
    onSent: () => calls.worked(),
    onFailed: (key, error) => calls.failed(error, { job: key }),
    restMs: REST_MS,
    failedRestMs: FAILED_REST_MS,
    // Every job of every shard fits.
    maxKeys: 1_024,
  });

  function call(name: string, payload: unknown): boolean {
    const parsed = parseJob(name, payload);
    if (!parsed.ok) {
      calls.failed(new Error(parsed.problem));
      return false;
    }
    const key = workKey(parsed.job);
    toSend.set(key, parsed.job);
    sender.touch(key);
    return true;
  }

  async function flush(): Promise<void> {
    await Promise.all([sender.flush(), notices.flush()]);
  }

  async function stop(deadlineMs: number): Promise<void> {
    const endAtMs = systemClock.nowMs() + deadlineMs;
    const left = () => Math.max(0, endAtMs - systemClock.nowMs());
    const step = (promise: Promise<unknown>, waitMs = left()) =>
      within(waitMs, promise, undefined).catch((error) => connection.failed(error));
    schedules.stop();
    if (working) {
      const { worker, runs } = working;
      // Takes no new work; does not wait for what is at work.
      await step(worker.pause(true));
      runs.stop();
      const idle = await runs.idle(left() * HANDLER_SHARE);
      if (!idle) log.warn({}, 'queue: a handler did not end in time; its job will be done again');
      await step(worker.close(!idle));
    }
    await step(flush(), left() / 2);
    sender.stop();
    await step(Promise.all([notices.close(left()), queue.close()]));
  }

  return {
    wake(job, ...shard) {
      if (closing) return;
      call(job, shard.length > 0 ? { shard: shard[0] } : {});
    },
    every: (job, everyMs) => schedules.every(job, everyMs),
    async work(handlers) {
      if (working || closing) throw new Error('queue: work may be called once, before close');
      working = startWorker(store, options, handlers, connection);
      await working.worker.waitUntilReady();
    },
    changed: (topic) => {
      if (!closing) notices.changed(topic);
    },
    onChange: (pattern, listener, missed) => notices.onChange(pattern, listener, missed),
    flush,
    async health() {
      const away = emptyHealth(store.kind);
      const both = Promise.all([readHealth(queue), schedules.health()]);
      const seen = await within(HEALTH_MS, both, null).catch(() => null);
      const own = { unsentCalls: calls.count(), unsentNotices: notices.unsent() };
      if (!seen) return { ...away, ...own };
      const [counts, rows] = seen;
      connection.worked();
      return { ...away, ...counts, schedules: rows, reachable: true, ...own };
    },
    async failures(limit) {
      const jobs = await queue.getFailed(0, atMost(limit) - 1);
      return jobs.filter((job) => job !== undefined).map(asFailedJob);
    },
    async replay(limit) {
      const result = { called: 0, dropped: 0 };
      for (const job of await queue.getFailed(0, atMost(limit) - 1)) {
        if (!job) continue;
        // A call takes its place, so that it meets the calls for the same work made meanwhile.
        if (call(job.name, job.data)) result.called++;
        else result.dropped++;
        await job.remove();
      }
      await sender.flush();
      return result;
    },
    close(deadlineMs) {
      closing ??= stop(deadlineMs);
      return closing;
    },
  };
}

function startWorker(
  store: BullStore,
  options: QueueOptions,
  handlers: JobHandlers,
  connection: OutageLog,
): { worker: Worker; runs: Runs } {
  const lockMs = options.lockMs ?? 20_000;
  const delay = options.retryDelay ?? retryDelayMs;
  const runs = createRuns({
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

async function readHealth(queue: Queue) {
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

function emptyHealth(store: BullStore['kind']): QueueHealth {
  return {
    store,
    reachable: false,
    waiting: 0,
    active: 0,
    delayed: 0,
    failed: 0,
    oldestWaitingMs: null,
    unsentCalls: 0,
    unsentNotices: 0,
    schedules: [],
  };
}

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
