import { type Job as BullJob, UnrecoverableError, WaitingError } from 'bullmq';
import type { Log } from '../log.ts';
import { within } from '../within.ts';
import { type Job, parseJob, type SingleJob, singleJobs, workKey } from './jobs.ts';
import type { JobHandler, JobHandlers, RunContext } from './port.ts';

/** The name of the jobs that a schedule makes; each of them only calls the job it is for. */
export const TICK = 'tick';

export interface RunsOptions {
  handlers: JobHandlers;
  log: Log;
  maxRunMs: number;
  /** Puts the call of a tick in the queue. */
  call(job: SingleJob): Promise<void>;
}

class Interruption extends Error {
  override name = 'Interruption';
}

interface Run {
  jobId: string;
  controller: AbortController;
  done: Promise<void>;
}

/**
 * Runs handlers: checks payloads, gives each run its signal, and tells apart a failed attempt, a
 * job that can never work, and a run that a shutdown interrupted.
 */
export class Runs {
  readonly #options: RunsOptions;
  /** By work key. */
  readonly #running = new Map<string, Run>();
  #stopping = false;

  constructor(options: RunsOptions) {
    this.#options = options;
  }

  /** The worker's processor. */
  async process(job: BullJob, token: string | undefined): Promise<void> {
    if (this.#stopping) return handBack(job, token);
    if (job.name === TICK) return this.#options.call(tickOf(job));
    const parsed = parseJob(job.name, job.data);
    if (!parsed.ok) throw new UnrecoverableError(parsed.problem);
    const key = workKey(parsed.job);
    // A store that lost its data hands out work that this process still has in hand.
    while (this.#running.has(key)) await this.#running.get(key)?.done;
    if (this.#stopping) return handBack(job, token);
    const controller = new AbortController();
    const work = this.#handle(parsed.job, job, controller);
    const done = work.catch(() => undefined);
    this.#running.set(key, { jobId: job.id ?? '', controller, done });
    try {
      await work;
    } catch (error) {
      if (this.#stopping) return handBack(job, token);
      throw error instanceof Error ? error : new Error(String(error));
    } finally {
      this.#running.delete(key);
    }
  }

  /** The lock of these jobs may be another worker's by now: tells their handlers to end. */
  lostLocks(jobIds: readonly string[]): void {
    for (const run of this.#running.values()) {
      if (!jobIds.includes(run.jobId)) continue;
      run.controller.abort(new Interruption('the lock of this job could not be renewed'));
    }
  }

  /** Tells all handlers to end, and hands back what is fetched from now on. */
  stop(): void {
    this.#stopping = true;
    const reason = new Interruption('the process is shutting down');
    for (const run of this.#running.values()) run.controller.abort(reason);
  }

  /** @returns true when no handler runs any more, false after `waitMs` */
  idle(waitMs: number): Promise<boolean> {
    const all = [...this.#running.values()].map((run) => run.done);
    return within(
      waitMs,
      Promise.all(all).then(() => true),
      false,
    );
  }

  async #handle(job: Job, bull: BullJob, controller: AbortController): Promise<void> {
    const { handlers, log, maxRunMs } = this.#options;
    const context: RunContext = {
      signal: controller.signal,
      attempt: bull.attemptsMade + 1,
      queuedAtMs: bull.timestamp,
    };
    const late = new Interruption(`${job.name} ran longer than ${maxRunMs} ms`);
    const timer = setTimeout(() => {
      log.warn({ job: workKey(job) }, `queue: ${late.message}; told to end`);
      controller.abort(late);
    }, maxRunMs);
    try {
      // The job's name decides the payload's type; TypeScript cannot follow that through the map.
      await (handlers[job.name] as JobHandler<Job['name']>)(job.payload, context);
    } finally {
      clearTimeout(timer);
    }
  }
}

/** Puts the job back in the queue as it was: a run that was interrupted is not a failed attempt. */
async function handBack(job: BullJob, token: string | undefined): Promise<never> {
  await job.moveToWait(token);
  throw new WaitingError();
}

function tickOf(job: BullJob): SingleJob {
  const data: unknown = job.data;
  const name = typeof data === 'object' && data !== null && 'job' in data ? data.job : undefined;
  const known = singleJobs.find((single) => single === name);
  if (!known) throw new UnrecoverableError('tick of an unknown job');
  return known;
}
