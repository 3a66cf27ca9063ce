import { randomBytes } from 'node:crypto';
import { v7 as uuid } from 'uuid';
import { weakness } from '../domain/access/pin.ts';
import { noTries } from '../domain/access/pin-try.ts';
import { roleMay } from '../domain/access/role.ts';
import { Problem } from '../errors.ts';
import {
  findPerson,
  insertPerson,
  lockPerson,
  type PersonRow,
  setPinHash,
  updatePerson,
} from '../store/person.ts';
import { endSignIns, lockTries, putSignIn, type SignInRow, updateTries } from '../store/sign-in.ts';
import { earliestMs } from './keep-fleet.ts';
import { sha256 } from './keys.ts';
import { absent } from './must-find.ts';
import { hashPin, withHashing } from './pin-hash.ts';
import type { Recorder } from './record-upkeep.ts';
import type { CheckedSignature, SigningKey } from './sign.ts';
import type { FlowDeps, Work } from './work.ts';

/** @throws Problem not_found */
export async function mustFindPerson(
  tx: Work['tx'],
  fleetId: number,
  personId: string,
): Promise<PersonRow> {
  const row = await findPerson(tx, fleetId, personId);
  if (!row) throw absent('person');
  return row;
}

/** Somebody who works here. Signs nothing before there is a PIN. */
export async function addPerson(
  work: Work,
  by: Recorder,
  { name }: { name: string },
): Promise<PersonRow> {
  const { tx, fleetId, nowMs } = work;
  const personId = uuid();
  await insertPerson(tx, { fleetId, personId, name, createdAtMs: nowMs });
  work.record({
    type: 'person.added',
    subject: `person/${personId}`,
    data: {},
    personal: { name, by: by.name },
    occurredAtMs: nowMs,
  });
  return mustFindPerson(tx, fleetId, personId);
}

/**
 * Another name; or leaving, which takes the PIN and every sign-in; or coming back, without them.
 *
 * @throws Problem not_found, time_invalid
 */
export async function editPerson(
  work: Work,
  by: Recorder,
  personId: string,
  set: { name?: string | undefined; leftAtMs?: number | null | undefined },
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const before = await mustFindPerson(tx, fleetId, personId);
  const name = set.name === before.name ? undefined : set.name;
  const leftAtMs = set.leftAtMs === before.leftAtMs ? undefined : set.leftAtMs;
  if (leftAtMs != null && (leftAtMs > nowMs || leftAtMs < earliestMs)) {
    throw new Problem('time_invalid', 'Somebody leaves now or has left, since 2000.');
  }
  if (name === undefined && leftAtMs === undefined) return;
  if (leftAtMs != null) {
    await setPinHash(tx, fleetId, personId, null);
    await endSignIns(tx, fleetId, personId, null);
  }
  await updatePerson(tx, fleetId, personId, { name, leftAtMs });
  work.record({
    type: leftAtMs === undefined ? 'person.changed' : `person.${leftAtMs ? 'left' : 'came_back'}`,
    subject: `person/${personId}`,
    data: leftAtMs == null ? {} : { leftAt: leftAtMs },
    personal: {
      by: by.name,
      ...(name === undefined ? {} : { name: { from: before.name, to: name } }),
    },
    occurredAtMs: leftAtMs ?? nowMs,
  });
}

/**
 * What is stored of a new PIN: made before any transaction, because it takes long.
 *
 * @throws Problem pin_weak, rate_limited, overloaded
 */
export async function preparePin(deps: FlowDeps, keyId: string, pin: string): Promise<string> {
  const weak = weakness(pin);
  if (weak !== null) throw new Problem('pin_weak', weak);
  return withHashing(keyId, () => hashPin(pin, deps.pinCostLog2));
}

/**
 * Another PIN: by who signs with the one of now, or by who keeps the people, when it is the first
 * or was forgotten. Ends every sign-in and the locks of wrong tries.
 *
 * @throws Problem not_found, person_left, signature_missing
 */
export async function setPin(
  work: Work,
  by: Recorder,
  personId: string,
  { hash, signer }: { hash: string; signer: { personId: string } | null },
): Promise<PersonRow> {
  const { tx, fleetId, nowMs } = work;
  await lockPerson(tx, fleetId, personId);
  const person = await mustFindPerson(tx, fleetId, personId);
  if (person.leftAtMs !== null) throw new Problem('person_left', 'Who has left needs no PIN.');
  const own = signer?.personId === personId;
  if (!own && !roleMay(by.role, 'keep_people')) {
    throw new Problem('signature_missing', 'Sign with the PIN of now, or ask a lead.');
  }
  await setPinHash(tx, fleetId, personId, { hash, atMs: nowMs });
  await endSignIns(tx, fleetId, personId, null);
  const tries = await lockTries(tx, fleetId, 'person', personId, nowMs);
  // The count of the day stays: whoever gives a new PIN does not give new guesses with it.
  const freed = { ...noTries(nowMs), dayBeganAtMs: tries.dayBeganAtMs, dayWrong: tries.dayWrong };
  await updateTries(tx, fleetId, 'person', personId, own ? freed : noTries(nowMs));
  work.record({
    type: 'person.pin_set',
    subject: `person/${personId}`,
    data: { byThemselves: own, keyId: by.keyId },
    personal: { by: by.name },
    occurredAtMs: nowMs,
  });
  return mustFindPerson(tx, fleetId, personId);
}

/** A sign-in and its token, which is seen this once. */
export interface NewSignIn extends Omit<SignInRow, 'tokenSha256'> {
  token: string;
}

/**
 * Lets a person sign on this phone for a while without the PIN, for what a sign-in is enough for.
 * It goes with the key that asked, and ends with it, with the PIN, and when the person leaves.
 */
export async function beginSignIn(
  work: Work,
  { keyId }: SigningKey,
  { personId }: CheckedSignature,
  lastsMs: number,
): Promise<NewSignIn> {
  const { tx, fleetId, nowMs } = work;
  const token = `lws_${randomBytes(32).toString('base64url')}`;
  const row = {
    fleetId,
    keyId,
    personId,
    signInId: uuid(),
    beganAtMs: nowMs,
    endsAtMs: nowMs + lastsMs,
  };
  await putSignIn(tx, { ...row, tokenSha256: sha256(token) });
  work.record({
    type: 'person.signed_in',
    subject: `person/${personId}`,
    data: { signInId: row.signInId, keyId, endsAt: row.endsAtMs },
    occurredAtMs: nowMs,
  });
  return { ...row, token };
}

/** Ends a sign-in before its time. @throws Problem not_found */
export async function endSignIn(work: Work, personId: string, signInId: string): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  if ((await endSignIns(tx, fleetId, personId, signInId)) === 0) throw absent('sign-in');
  work.record({
    type: 'person.signed_out',
    subject: `person/${personId}`,
    data: { signInId },
    occurredAtMs: nowMs,
  });
}
