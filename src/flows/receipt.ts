import { createHash } from 'node:crypto';
import { Problem } from '../errors.ts';
import { claimReceipt, completeReceipt } from '../store/idempotency.ts';
import type { Work } from './work.ts';

/** A request that a client may send again and have done once. */
export interface Repeatable {
  /** Who sends it: the key. */
  client: string;
  /** The client's own name of it. */
  key: string;
  /** What is asked for. */
  route: string;
  /**
   * What makes it the same besides. A digest of it is kept, from which few digits would be found by
   * trying, so a PIN is never in it.
   */
  same: unknown;
}

const routeMost = 500;
const digestOf = (text: string) => createHash('sha256').update(text);

/**
 * Does it once. The receipt is written in the transaction of the effect, so a crash leaves both or
 * neither; a repeat gets the first answer again and has no effect.
 *
 * @throws Problem idempotency_key_reused, and what `fn` throws
 */
export async function doneOnce<A extends { status: number; body: unknown }>(
  work: Work,
  { client, key, route, same }: Repeatable,
  fn: () => Promise<A>,
): Promise<{ answer: A | { status: number; body: A['body'] }; replayed: boolean }> {
  const { fleetId, nowMs, tx } = work;
  // A path is longer than is kept when its parts are percent-encoded.
  const digest = `${route.split(' ')[0]} ${digestOf(route).digest('hex')}`;
  const short = route.length <= routeMost ? route : digest;
  const bodySha256 = digestOf(JSON.stringify(same ?? null)).digest();
  const receipt = { fleetId, client, key, route: short, bodySha256 };
  const earlier = await claimReceipt(tx, receipt, nowMs);
  if (earlier === null) {
    const fresh = await fn();
    await completeReceipt(tx, receipt, fresh);
    return { answer: fresh, replayed: false };
  }
  if (earlier.route !== short || !earlier.bodySha256.equals(bodySha256)) {
    throw new Problem('idempotency_key_reused', 'That key came with another route or body.');
  }
  return { answer: { status: earlier.status, body: earlier.body as A['body'] }, replayed: true };
}
