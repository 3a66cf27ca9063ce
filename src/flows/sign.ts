import { countTry, lockedUntil, takeBack } from '../domain/access/pin-try.ts';
import type { Competence } from '../domain/shop/competence.ts';
import { Problem } from '../errors.ts';
import { competencesAt, findPerson, findPinHash } from '../store/person.ts';
import { findSignIn, lockTries, updateTries } from '../store/sign-in.ts';
import { sha256 } from './keys.ts';
import { isPin, withHashing } from './pin-hash.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

/** A person's word: the PIN itself, or the token of a sign-in on this phone. */
export type Signature = { personId: string; pin: string } | { signIn: string };

/** What an act asks of who signs it. */
export interface SignNeed {
  /** What the person must be able to do; null: nothing but to be somebody. */
  need: Competence | null;
  /** The PIN itself, because it changes what a unit may do; else a sign-in is enough. */
  fresh?: boolean;
}

/** The phone, gateway or program through which it comes. */
export interface SigningKey {
  fleetId: number;
  keyId: string;
}

/** Whose word it is, before it is known what that person may do. */
export interface CheckedSignature {
  personId: string;
  via: 'pin' | 'sign_in';
}

/** Who signed, and what that person may do at that moment. */
export interface Signer extends CheckedSignature {
  name: string;
  keyId: string;
  competences: Competence[];
  /** Does lift work only with a countersign so far. */
  trainee: boolean;
}

/**
 * Takes one more try for wrong, of the person and of the key, before anything is compared: however
 * many come at once, none slips past the limit. Its own transaction, so that it outlives whatever
 * becomes of the request.
 *
 * @throws Problem pin_locked
 */
async function claimTry(deps: FlowDeps, key: SigningKey, personId: string) {
  const { fleetId, keyId } = key;
  return withWork(deps, fleetId, async (work) => {
    const { tx, nowMs } = work;
    const found = await findPinHash(tx, fleetId, personId);
    const counted = [{ kind: 'key', id: keyId }] as { kind: 'key' | 'person'; id: string }[];
    // An id that names nobody leaves no row: it may be made up.
    if (found) counted.push({ kind: 'person', id: personId });
    const all = [];
    for (const each of counted) {
      const tries = await lockTries(tx, fleetId, each.kind, each.id, nowMs);
      const untilMs = lockedUntil(tries, nowMs);
      if (untilMs !== null) {
        const retryAfterS = Math.ceil((untilMs - nowMs) / 1000);
        throw new Problem('pin_locked', `Nobody looks at it for ${retryAfterS} seconds.`, {
          retryAfterS,
        });
      }
      all.push({ ...each, tries });
    }
    for (const { kind, id, tries } of all) {
      await updateTries(tx, fleetId, kind, id, countTry(kind, tries, nowMs));
    }
    return found;
  });
}

/** What follows from the comparison: a right one is taken back, a wrong one that locks is told. */
async function settleTry(deps: FlowDeps, key: SigningKey, personId: string, right: boolean) {
  const { fleetId, keyId } = key;
  await withWork(deps, fleetId, async (work) => {
    const { tx, nowMs } = work;
    const both = [
      { kind: 'key', id: keyId },
      { kind: 'person', id: personId },
    ] as const;
    for (const { kind, id } of both) {
      const tries = await lockTries(tx, fleetId, kind, id, nowMs);
      if (right) await updateTries(tx, fleetId, kind, id, takeBack(kind, tries));
      const untilMs = lockedUntil(tries, nowMs);
      if (right || untilMs === null) continue;
      work.record({
        type: `${kind}.pin_locked`,
        subject: `${kind}/${id}`,
        data: { keyId, personId, wrongToday: tries.dayWrong, until: untilMs },
        occurredAtMs: nowMs,
      });
    }
  });
}

async function checkPin(
  deps: FlowDeps,
  key: SigningKey,
  { personId, pin }: { personId: string; pin: string },
): Promise<CheckedSignature> {
  return withHashing(key.keyId, async () => {
    const found = await claimTry(deps, key, personId);
    const right = await isPin(pin, found?.pinHash ?? null, deps.pinCostLog2);
    if (found) await settleTry(deps, key, personId, right);
    if (right) return { personId, via: 'pin' as const };
    if (found?.leftAtMs != null) throw new Problem('person_left', 'Who has left signs nothing.');
    if (found && found.pinHash === null) {
      throw new Problem('pin_not_set', 'A PIN must be set before this person can sign.');
    }
    throw new Problem('pin_wrong', 'There is no such person with that PIN.');
  });
}

async function checkSignIn(
  deps: FlowDeps,
  { fleetId, keyId }: SigningKey,
  token: string,
): Promise<CheckedSignature> {
  return withWork(deps, fleetId, async ({ tx, nowMs }) => {
    const row = await findSignIn(tx, fleetId, keyId, sha256(token));
    if (!row || row.endsAtMs <= nowMs) {
      throw new Problem('sign_in_ended', 'Sign in again on this phone.');
    }
    return { personId: row.personId, via: 'sign_in' };
  });
}

/**
 * Whose signature it is. Comes before the transaction of the act: comparing a PIN is slow by
 * intent and must hold no connection, and wrong tries are counted whatever becomes of the act.
 *
 * @throws Problem pin_wrong, pin_not_set, pin_locked, person_left, sign_in_ended, pin_needed,
 * rate_limited, overloaded
 */
export async function checkSignature(
  deps: FlowDeps,
  key: SigningKey,
  signature: Signature,
  fresh = false,
): Promise<CheckedSignature> {
  if (!('signIn' in signature)) return checkPin(deps, key, signature);
  if (fresh) throw new Problem('pin_needed', 'A sign-in is not enough for this.');
  return checkSignIn(deps, key, signature.signIn);
}

const needs: Record<Competence, string> = {
  lift_work: 'work on lifts',
  lift_check: 'check lift-critical work of others',
  lead: 'do what a lead does',
  dispatch: 'set and clear restrictions of dispatch',
  driving: 'drive units',
  yearly_inspection: 'do the yearly inspection',
};

/**
 * Who signed, with what that person may do now; within the transaction of the act, so that nobody
 * signs after leaving.
 *
 * @throws Problem person_left, competence_missing
 */
export async function signerOf(
  work: Work,
  keyId: string,
  { personId, via }: CheckedSignature,
  need: Competence | null,
): Promise<Signer> {
  const { tx, fleetId, nowMs } = work;
  const person = await findPerson(tx, fleetId, personId);
  if (!person || person.leftAtMs !== null) {
    throw new Problem('person_left', 'Who has left signs nothing.');
  }
  const held = (await competencesAt(tx, fleetId, [personId], nowMs)).get(personId) ?? [];
  const competences = held.map(({ competence }) => competence);
  if (need !== null && !competences.includes(need)) {
    throw new Problem('competence_missing', `Who signs this must be one who may ${needs[need]}.`);
  }
  const trainee = held.some((each) => each.competence === 'lift_work' && each.passesLeft > 0);
  return { personId, name: person.name, keyId, competences, trainee, via };
}
