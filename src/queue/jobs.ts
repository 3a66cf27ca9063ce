import { z } from 'zod';
import { SHARDS } from '../domain/shard.ts';

/** Work that is split over the shards. */
export const shardedJobs = ['fold', 'assess', 'watch', 'sequence'] as const;
/** Work that exists once for the whole service. */
export const singleJobs = ['sweep', 'partitions', 'leave', 'compact'] as const;

export type ShardedJob = (typeof shardedJobs)[number];
export type SingleJob = (typeof singleJobs)[number];
export type JobName = ShardedJob | SingleJob;

const sharded = z.strictObject({
  shard: z
    .int()
    .min(0)
    .max(SHARDS - 1),
});
const single = z.strictObject({});

/**
 * What a job carries. A job is a wake-up call: it says where to look, never what was found there.
 *
 * - `fold`: fold the dirty lines of a shard into usage
 * - `assess`: assess the dirty units of a shard
 * - `watch`: look at the gateways of a shard whose time has come
 * - `sequence`: number the outbox rows of a shard's fleets
 * - `sweep`: send wake-up calls again for marks that nobody has worked on
 * - `leave`: go on deleting fleets that leave
 * - `compact`: join the small runs of readings of days past
 * - `partitions`: make and drop partitions of readings
 */
export const jobPayloads = {
  fold: sharded,
  assess: sharded,
  watch: sharded,
  sequence: sharded,
  sweep: single,
  partitions: single,
  leave: single,
  compact: single,
} as const satisfies Record<JobName, z.ZodType>;

export type JobPayload<J extends JobName> = z.infer<(typeof jobPayloads)[J]>;

/** A job as the queue holds it, checked. */
export type Job = { [J in JobName]: { name: J; payload: JobPayload<J> } }[JobName];

export type ParsedJob = { ok: true; job: Job } | { ok: false; problem: string };

/** Checks what came out of the queue. What does not parse can never be worked on. */
export function parseJob(name: string, data: unknown): ParsedJob {
  if (!isJobName(name)) return { ok: false, problem: `unknown job "${name.slice(0, 80)}"` };
  const parsed = jobPayloads[name].safeParse(data);
  if (!parsed.success) {
    const first = parsed.error.issues[0];
    const where = first?.path.join('.') ?? '';
    return { ok: false, problem: `payload of ${name}: ${where} ${first?.message ?? ''}`.trim() };
  }
  return { ok: true, job: { name, payload: parsed.data } as Job };
}

/** The name under which calls for the same work are one call, such as `fold.17` or `sweep`. */
export function workKey(job: Job): string {
  return 'shard' in job.payload ? `${job.name}.${job.payload.shard}` : job.name;
}

function isJobName(name: string): name is JobName {
  return Object.hasOwn(jobPayloads, name);
}
