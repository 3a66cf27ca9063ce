import {
  type CheckedAs,
  mayCheck,
  mayDoSteps,
  refuseCountersign,
  type WhoRefusal,
} from '../domain/shop/who-may.ts';
import { Problem } from '../errors.ts';
import { countHolders } from '../store/competence.ts';
import { findFleet } from '../store/fleet.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

const refusals: Record<WhoRefusal, ConstructorParameters<typeof Problem>> = {
  own_work: ['second_person_needed', 'Nobody checks or countersigns what he did himself.'],
  trainee: ['competence_missing', 'A trainee does not answer for the work of others.'],
  not_competent: ['competence_missing', 'Who signs this may not check or countersign lift work.'],
};
const refuse = (why: WhoRefusal) => new Problem(...refusals[why]);

/**
 * Whether what this person does needs a countersign.
 *
 * @throws Problem competence_missing
 */
export function needsCountersign(signer: Signer): boolean {
  const may = mayDoSteps(signer);
  if (may === 'no') {
    throw new Problem('competence_missing', 'Who does steps must be one who may work on lifts.');
  }
  return may === 'countersign';
}

/** @throws Problem second_person_needed, competence_missing */
export function mustMayCountersign(signer: Signer, doerId: string): void {
  const refusal = refuseCountersign(signer, doerId);
  if (refusal !== null) throw refuse(refusal);
}

/**
 * As what this person checks lift-critical work that others, or in a fleet of one he himself, did.
 *
 * @throws Problem second_person_needed, competence_missing
 */
export async function mustMayCheck(
  work: Work,
  signer: Signer,
  doerIds: readonly string[],
): Promise<CheckedAs> {
  const { tx, fleetId, nowMs } = work;
  const declared = (await findFleet(tx, fleetId)).oneMan;
  const holders = declared
    ? await countHolders(tx, fleetId, ['lift_work', 'lift_check'], nowMs)
    : 0;
  const may = mayCheck(signer, doerIds, declared && holders <= 1);
  if ('refusal' in may) throw refuse(may.refusal);
  return may.as;
}
