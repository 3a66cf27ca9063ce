import type { Log } from '../log.ts';
import type { JobName, JobPayload, ShardedJob, SingleJob } from './jobs.ts';

/** What a handler is told about its run. */
export interface RunContext {
  /**
   * Aborted when the run should end: the process shuts down, the run takes longer than allowed, or
   * another worker may have been given the job. Finish the batch or throw; marks not worked on
   * stay.
   */
  signal: AbortSignal;
  /** 1 for the first attempt. A run that ended because of a shutdown is not an attempt. */
  attempt: number;
  /** When the call was put in the queue, milliseconds. */
  queuedAtMs: number;
}

export type JobHandler<J extends JobName> = (
  payload: JobPayload<J>,
  context: RunContext,
) => Promise<void>;

export type JobHandlers = { [J in JobName]: JobHandler<J> };

export interface ScheduleHealth {
  job: SingleJob;
  everyMs: number;
  /** How long the next tick is overdue, milliseconds; null when the schedule is not there. */
  lateMs: number | null;
  /** Ticks since the schedule was registered. */
  ticks: number;
}

export interface QueueHealth {
  store: 'redis' | 'postgres';
  /** False when the queue's store does not answer in time; the counts are then zero. */
  reachable: boolean;
  waiting: number;
  active: number;
  /** Waiting for their next attempt, or for their tick. */
  delayed: number;
  failed: number;
  /** Age of the oldest waiting call, milliseconds; null when none waits. */
  oldestWaitingMs: number | null;
  /** Calls and notices of this process that could not be sent since it started. */
  unsentCalls: number;
  unsentNotices: number;
  schedules: ScheduleHealth[];
}

export interface FailedJob {
  id: string;
  name: string;
  payload: unknown;
  error: string;
  attempts: number;
  failedAtMs: number | null;
}

/**
 * Wake-up calls and change notices between processes. Nothing here is the truth: what must happen
 * is written as marks in the database, and a lost call is sent again by the sweep.
 */
export interface QueuePort {
  /**
   * Says that there is work. Returns at once and never throws: a call that cannot be sent is logged
   * and left to the sweep. Calls for the same (job, shard) are one call; calls during a run of it
   * give exactly one more run after it; two runs of it are never at work together.
   */
  wake<J extends JobName>(job: J, ...shard: J extends ShardedJob ? [shard: number] : []): void;

  /**
   * Calls `job` every so many milliseconds of real time (250 ms to a day), once for all processes.
   * A tick is a hint: late, missing and doubled ticks must do no harm. Restores a schedule that the
   * store has lost. Never throws for a store that is away.
   */
  every(job: SingleJob, everyMs: number): Promise<void>;

  /** Starts to work on jobs in this process. May be called once. */
  work(handlers: JobHandlers): Promise<void>;

  /**
   * Tells all processes that something changed. Topics are words of letters, digits, `_`, `:`, `-`,
   * joined by dots, such as `fleet.7.readiness`. Same promise as `wake`: returns at once, never
   * throws.
   */
  changed(topic: string): void;

  /**
   * Hears notices of all processes, this one too. In the pattern `*` is one word and a last `>` any
   * number of words. `missed` is called when notices may have been lost: look at everything again.
   *
   * @returns a function that ends it
   * @throws when the store is away
   */
  onChange(
    pattern: string,
    listener: (topic: string) => void,
    missed?: () => void,
  ): Promise<() => Promise<void>>;

  /** Resolves when the calls and notices given so far are sent, or have failed. */
  flush(): Promise<void>;

  /** Never throws and answers within a few seconds. */
  health(): Promise<QueueHealth>;

  /** The newest jobs of the failed set, at most `limit` (1 to 500), with their last error. */
  failures(limit: number): Promise<FailedJob[]>;

  /**
   * Calls the failed jobs again, at most `limit` (1 to 500), and takes them from the failed set.
   * Those that can never be worked on are only taken out.
   */
  replay(limit: number): Promise<{ called: number; dropped: number }>;

  /**
   * Stops within `deadlineMs`, never throws. Running handlers get their signal; one that ends by
   * throwing goes back to the queue without an attempt spent; one that does not end in time keeps
   * its lock until it runs out, then another worker does the job.
   */
  close(deadlineMs: number): Promise<void>;
}

export interface QueueOptions {
  log: Log;
  /** Keeps services that share a store apart; letters, digits, `_`, `-`. Default `liftwright`. */
  name?: string;
  /** Jobs at work at the same time in this process. Default 4. */
  concurrency?: number;
  /** How long a call waits after one for the same work, milliseconds. Default 50. */
  restMs?: number;
  /** How long a dead worker's job stays locked, milliseconds. Default 20 000. */
  lockMs?: number;
  /** After how long a handler is told to end, milliseconds. Default 60 000. */
  maxRunMs?: number;
  /** The wait after a failed attempt, milliseconds. Default `retryDelayMs`. */
  retryDelay?: (attemptsMade: number, spread: number) => number;
}
