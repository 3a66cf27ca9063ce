import type { Competence } from './competence.ts';

/** Somebody who signs work, with what that person may do at that moment. */
export interface Worker {
  personId: string;
  competences: readonly Competence[];
  /** Does lift work only with a countersign so far. */
  trainee: boolean;
}

/** Why somebody may not do it. */
export type WhoRefusal =
  /** The competence is not there. */
  | 'not_competent'
  /** A trainee, where it takes somebody who works alone. */
  | 'trainee'
  /** Nobody watches over, or checks, what he did himself. */
  | 'own_work';

/** Whether somebody may do steps on a lift; a trainee's need a countersign. */
export function mayDoSteps({ competences, trainee }: Worker): 'yes' | 'countersign' | 'no' {
  if (!competences.includes('lift_work')) return 'no';
  return trainee ? 'countersign' : 'yes';
}

/** Whether somebody may countersign what a trainee did; null: yes. */
export function refuseCountersign(who: Worker, doerId: string): WhoRefusal | null {
  if (who.personId === doerId) return 'own_work';
  const { competences } = who;
  if (competences.includes('lift_check') || competences.includes('lead')) return null;
  if (!competences.includes('lift_work')) return 'not_competent';
  return who.trainee ? 'trainee' : null;
}

/** Who checks: somebody else, or, in a fleet of one, the one who did it, which is then declared. */
export type CheckedAs = 'second_person' | 'declared_self_check';

/**
 * Whether somebody may check lift-critical work, and as what. Never the one who did any of it,
 * unless nobody else is there: `alone` says that the fleet has declared so and that it is true.
 *
 * `doerIds`: who did lift-critical steps of the card.
 */
export function mayCheck(
  who: Worker,
  doerIds: readonly string[],
  alone: boolean,
): { as: CheckedAs } | { refusal: WhoRefusal } {
  const { competences } = who;
  if (!doerIds.includes(who.personId)) {
    if (!competences.includes('lift_check')) return { refusal: 'not_competent' };
    return who.trainee ? { refusal: 'trainee' } : { as: 'second_person' };
  }
  if (!alone) return { refusal: 'own_work' };
  if (who.trainee) return { refusal: 'trainee' };
  if (!competences.includes('lift_work')) return { refusal: 'not_competent' };
  return { as: 'declared_self_check' };
}
