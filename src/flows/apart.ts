import { Problem } from '../errors.ts';
import type { NewEvent } from '../store/outbox.ts';
import { keepSince, setSavepoint, takeBackSince } from '../store/savepoint.ts';
import type { Work } from './work.ts';

/**
 * One of several things done in one transaction, so that its refusal harms no other: what it wrote,
 * its events and its wake-up calls are kept together or not at all. A refusal is answered; any
 * other error ends the transaction.
 */
export async function apart<T>(work: Work, fn: (work: Work) => Promise<T>): Promise<T | Problem> {
  const events: NewEvent[] = [];
  const calls: (() => void)[] = [];
  await setSavepoint(work.tx);
  try {
    const value = await fn({
      ...work,
      record: (...more) => events.push(...more),
      wake: (job, shard) => calls.push(() => work.wake(job, shard)),
      changed: (topic) => calls.push(() => work.changed(topic)),
    });
    await keepSince(work.tx);
    work.record(...events);
    for (const call of calls) call();
    return value;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    await takeBackSince(work.tx);
    return error;
  }
}
