/**
 * How often a job is tried before it goes to the failed set. The marks that it was called for stay,
 * so the sweep calls again after a longer outage: the failed set is a record, not lost work.
 */
export const MAX_ATTEMPTS = 5;

const FIRST_MS = 1_000;
const FACTOR = 4;
const CAP_MS = 60_000;

/**
 * How long to wait after a failed attempt: 1 s, 4 s, 16 s, 60 s, each moved by up to a quarter
 * either way, so that the shards of a database that comes back do not all call at the same moment.
 *
 * @param attemptsMade failed attempts so far, 1 or more
 * @param spread where in the spread this job lies, 0 to 63 (its shard, or anything stable)
 * @returns milliseconds, from 750 to 75 000
 */
export function retryDelayMs(attemptsMade: number, spread: number): number {
  const steps = Math.max(0, Math.min(Math.floor(attemptsMade), MAX_ATTEMPTS) - 1);
  const plain = Math.min(CAP_MS, FIRST_MS * FACTOR ** steps);
  const share = (((Math.floor(spread) % 64) + 64) % 64) / 63;
  return Math.round(plain * (0.75 + 0.5 * share));
}
