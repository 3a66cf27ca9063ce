import { createHash, randomBytes } from 'node:crypto';
import { v7 as uuid } from 'uuid';
import type { Role } from '../domain/access/role.ts';
import { Problem } from '../errors.ts';
import { foundFirstFleet, insertKey, revokeKey } from '../store/api-key.ts';
import type { FlowDeps, Work } from './work.ts';

/** A key as it is shown once. */
export interface NewKey {
  keyId: string;
  prefix: string;
  secret: string;
}

export const sha256 = (text: string): Buffer => createHash('sha256').update(text).digest();

/**
 * Makes the text of a key: `lw_<fleet>_<8 hex>_<43 characters>`. The part before the last `_` is
 * its visible prefix; the rest is 256 random bits. Only its SHA-256 is stored: a secret of that
 * size needs no slow hash, and a slow one would stall every request.
 */
export function makeKey(fleetId: number): NewKey {
  const prefix = `lw_${fleetId}_${randomBytes(4).toString('hex')}`;
  const secret = `${prefix}_${randomBytes(32).toString('base64url')}`;
  return { keyId: uuid(), prefix, secret };
}

/** Makes a key of a role; the answer is the only time that its secret is seen. */
export async function createKey(
  work: Work,
  input: { role: Role; name: string; gatewayId: string | null },
): Promise<NewKey> {
  const key = makeKey(work.fleetId);
  await insertKey(work.tx, {
    fleetId: work.fleetId,
    keyId: key.keyId,
    prefix: key.prefix,
    sha256: sha256(key.secret),
    createdAtMs: work.nowMs,
    ...input,
  });
  work.record({
    type: 'key.made',
    subject: `key/${key.keyId}`,
    data: { role: input.role, prefix: key.prefix, gatewayId: input.gatewayId },
    occurredAtMs: work.nowMs,
  });
  return key;
}

/** Ends a key. @throws Problem not_found when no live key has that id */
export async function endKey(work: Work, keyId: string): Promise<void> {
  if (!(await revokeKey(work.tx, work.fleetId, keyId, work.nowMs))) {
    throw new Problem('not_found', 'There is no live key with that id.');
  }
  work.record({
    type: 'key.ended',
    subject: `key/${keyId}`,
    data: {},
    occurredAtMs: work.nowMs,
  });
}

/**
 * An empty database gets its first fleet and admin key. Answers the key when this call made it,
 * null when there is a fleet already.
 */
export async function foundFleet(
  deps: FlowDeps,
  input: { name: string; adminKey: string | null },
): Promise<string | null> {
  const made = makeKey(1);
  const secret = input.adminKey ?? made.secret;
  const fleetId = await foundFirstFleet(deps.pools.app, {
    name: input.name,
    keyId: made.keyId,
    prefix: input.adminKey === null ? made.prefix : 'given',
    sha256: sha256(secret),
    atMs: deps.clock.nowMs(),
  });
  return fleetId === null ? null : secret;
}
