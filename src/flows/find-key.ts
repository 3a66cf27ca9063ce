import type pg from 'pg';
import { type ResolvedKey, resolveKey, touchKey } from '../store/api-key.ts';
import { withFleet } from '../store/pool.ts';
import { sha256 } from './keys.ts';

/** The live key with this secret, or null. */
export function findKey(pool: pg.Pool, secret: string): Promise<ResolvedKey | null> {
  return resolveKey(pool, sha256(secret));
}

/** Writes down that a key was used. */
export async function noteKeyUse(
  pool: pg.Pool,
  fleetId: number,
  keyId: string,
  atMs: number,
): Promise<void> {
  await withFleet(pool, [fleetId], (tx) => touchKey(tx, fleetId, keyId, atMs));
}
