import { randomBytes, timingSafeEqual } from 'node:crypto';
import { Problem } from '../errors.ts';
import {
  deleteBatch,
  fleetName,
  leavingFleets,
  lockDeletion,
  revokeAllKeys,
  saveConfirmation,
  saveFinished,
  saveQuestion,
} from '../store/fleet-deletion.ts';
import { countRows, fleetTables } from '../store/fleet-tables.ts';
import { withFleet } from '../store/pool.ts';
import { Faults } from './faults.ts';
import { sha256 } from './keys.ts';
import { mustNotBePreserved } from './preserve-records.ts';
import type { FlowDeps, Work } from './work.ts';

/** How long a deletion can be confirmed after it was asked for. */
const tokenMs = 3_600_000;
/**
 * From confirming to deleting: longer than a key lives on in a process that has just seen it, and
 * than any request or statement may take, so that nothing is written behind the deletion.
 */
const graceMs = 120_000;
/** A finished deletion is looked after for so long. */
const afterMs = 3_600_000;
const rowsAtOnce = 5_000;
/** One call deletes at most so many batches; the next goes on. */
const batchesMost = 400;

export interface DeletionQuestion {
  fleetId: number;
  name: string;
  token: string;
  tokenUntilMs: number;
  rows: Record<string, number>;
}

/**
 * Asks for the deletion of the whole fleet: nothing is deleted yet.
 *
 * @throws Problem fleet_leaving, records_preserved
 */
export async function askDeletion(work: Work): Promise<DeletionQuestion> {
  const { tx, fleetId, nowMs } = work;
  await mustNotBePreserved(tx, fleetId);
  const before = await lockDeletion(tx, fleetId);
  if (before && before.confirmedAtMs !== null) {
    throw new Problem('fleet_leaving', 'Its deletion is confirmed already.');
  }
  const rows: Record<string, number> = {};
  for (const { name } of await fleetTables(tx)) {
    const count = await countRows(tx, fleetId, name);
    if (count > 0 && name !== 'fleet_deletion') rows[name] = count;
  }
  const token = randomBytes(24).toString('base64url');
  const tokenUntilMs = nowMs + tokenMs;
  await saveQuestion(tx, { fleetId, askedAtMs: nowMs, tokenSha256: sha256(token), tokenUntilMs });
  work.record({
    type: 'fleet.deletion_asked',
    subject: `fleet/${fleetId}`,
    data: {},
    occurredAtMs: nowMs,
  });
  const name = (await fleetName(tx, fleetId)) ?? '';
  return { fleetId, name, token, tokenUntilMs, rows };
}

/**
 * Confirms it: every key of the fleet ends, and the deletion begins after a short while.
 *
 * @throws Problem confirmation_invalid, fleet_leaving, records_preserved
 */
export async function confirmDeletion(
  work: Work,
  input: { token: string; name: string },
): Promise<{ confirmedAtMs: number; beginsAtMs: number }> {
  const { tx, fleetId, nowMs } = work;
  await mustNotBePreserved(tx, fleetId);
  const asked = await lockDeletion(tx, fleetId);
  if (asked && asked.confirmedAtMs !== null) {
    throw new Problem('fleet_leaving', 'Its deletion is confirmed already.');
  }
  const fits = asked?.tokenSha256 && timingSafeEqual(asked.tokenSha256, sha256(input.token));
  if (!asked || !fits || asked.tokenUntilMs < nowMs) {
    throw new Problem('confirmation_invalid', 'The token is not that of a question of this hour.');
  }
  if (input.name !== (await fleetName(tx, fleetId))) {
    throw new Problem('confirmation_invalid', "`name` must be the fleet's name, letter by letter.");
  }
  await saveConfirmation(tx, fleetId, nowMs);
  await revokeAllKeys(tx, fleetId, nowMs);
  return { confirmedAtMs: nowMs, beginsAtMs: nowMs + graceMs };
}

/** Deletes batches of one fleet, each in its own transaction. True when nothing of it is left. */
async function deleteSome(
  deps: FlowDeps,
  fleetId: number,
  signal: AbortSignal | undefined,
  batches: number,
): Promise<boolean> {
  for (let batch = 0; batch < batches; batch += 1) {
    if (signal?.aborted) return false;
    const more = await withFleet(deps.pools.app, [fleetId], async (tx) => {
      if (await deleteBatch(tx, fleetId, rowsAtOnce)) return true;
      await saveFinished(tx, fleetId, deps.clock.nowMs());
      return false;
    });
    if (!more) return true;
  }
  return false;
}

/**
 * Goes on with the deletion of the fleets that leave; what was begun by a process that was killed
 * is found here. Answers how many are gone for good.
 */
export async function deleteLeaving(
  deps: FlowDeps,
  signal?: AbortSignal,
  batches = batchesMost,
): Promise<number> {
  const nowMs = deps.clock.nowMs();
  const { scheduler } = deps.pools;
  let gone = 0;
  const faults = new Faults();
  for (const fleetId of await leavingFleets(scheduler, nowMs - graceMs, nowMs - afterMs)) {
    const remove = () => deleteSome(deps, fleetId, signal, batches);
    if (await faults.pass(String(fleetId), remove)) gone += 1;
  }
  faults.tell();
  return gone;
}
