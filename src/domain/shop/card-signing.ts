import type { MergedStep, StepCommand } from './merge-steps.ts';

/** What a person puts a name to on a card. */
export const signedActs = [
  'begin',
  'leave',
  'set_down',
  'end_work',
  'send_back',
  'check',
  'self_check',
  'countersign',
  'sign_off',
  'withdraw',
] as const;
export type SignedAct = (typeof signedActs)[number];

export interface SignedStep {
  act: SignedAct;
  stepId: string | null;
  personId: string;
  /** The commands that held when it was signed: what came later it does not speak of. */
  covers: readonly string[];
}

export interface SignedCommand extends StepCommand {
  /** Whoever did it learns it still: somebody who may must countersign. */
  trainee: boolean;
}

export interface StepToSign {
  stepId: string;
  liftCritical: boolean;
}

/** Why a card cannot be signed off yet. */
export const lackCodes = ['no_result', 'needs_check', 'needs_countersign'] as const;
export interface Lack {
  code: (typeof lackCodes)[number];
  stepId: string;
}

const speaksOf = (signed: SignedStep, step: MergedStep<SignedCommand>) =>
  step.holding.every(({ clientId }) => signed.covers.includes(clientId));

/** Whether a second person, or in a one-man fleet the doer himself, checked what holds now. */
export function isChecked(
  step: MergedStep<SignedCommand>,
  signed: readonly SignedStep[],
): 'check' | 'self_check' | null {
  const mine = signed.filter((each) => speaksOf(each, step));
  const second = mine.some(
    ({ act, personId }) => act === 'check' && !step.people.includes(personId),
  );
  if (second) return 'check';
  return mine.some(({ act }) => act === 'self_check') ? 'self_check' : null;
}

export const needsCheck = (step: StepToSign, merged: MergedStep<SignedCommand> | undefined) =>
  step.liftCritical && merged?.result === 'done';

export const needsCountersign = (merged: MergedStep<SignedCommand> | undefined) =>
  merged?.result === 'done' && merged.holding.some(({ trainee }) => trainee);

/** Whether somebody else who may countersigned what holds now. */
export function isCountersigned(
  step: MergedStep<SignedCommand>,
  signed: readonly SignedStep[],
): boolean {
  return signed.some(
    (each) =>
      each.act === 'countersign' && speaksOf(each, step) && !step.people.includes(each.personId),
  );
}

/** What is still lacking before a card can be signed off, step by step. */
export function lacking(card: {
  steps: readonly StepToSign[];
  merged: ReadonlyMap<string, MergedStep<SignedCommand>>;
  signed: readonly SignedStep[];
  /** Why what has no result was not done; null: it was not said. */
  restReason: string | null;
}): Lack[] {
  const found: Lack[] = [];
  for (const step of card.steps) {
    const { stepId } = step;
    const merged = card.merged.get(stepId);
    const signed = card.signed.filter((each) => each.stepId === stepId);
    if (!merged) {
      if (card.restReason === null) found.push({ code: 'no_result', stepId });
      continue;
    }
    if (needsCheck(step, merged) && isChecked(merged, signed) === null) {
      found.push({ code: 'needs_check', stepId });
    }
    if (needsCountersign(merged) && !isCountersigned(merged, signed)) {
      found.push({ code: 'needs_countersign', stepId });
    }
  }
  return found;
}
