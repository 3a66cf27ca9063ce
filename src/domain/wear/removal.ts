/**
 * Rope, chain, hooks, slings and hoses are held against published removal figures. These do not
 * bind a tow truck in law: they are shown as benchmarks, and the maker's limit and local rules come
 * first. Where two disagree the stricter decides, and each rule that spoke is kept by name.
 */
export const REMOVAL_DECISIONS = ['keep', 'keep_watch', 'competent_person', 'remove'] as const;
export type RemovalDecision = (typeof REMOVAL_DECISIONS)[number];

/** A rule that spoke: what it asks, whose it is, and the words for people. */
export interface FiredRule {
  rule: string;
  decision: RemovalDecision;
  benchmark: string;
  words: string;
}

export interface Removal {
  decision: RemovalDecision;
  /** The strictest first. */
  fired: FiredRule[];
  /** A cut-off and a new end may cure it, after which it is looked at again. Rope only. */
  cutOffMayCure: boolean;
  /** Nothing may be lifted or pulled with it until the decision is followed. */
  hold: boolean;
}

export const removalCaution =
  'Benchmarks only: the maker of the equipment, local rules and a competent person come first.';
export const practice = 'common practice, no source';

const weight = (decision: RemovalDecision) => REMOVAL_DECISIONS.indexOf(decision);

export function decide(fired: readonly FiredRule[], cutOffMayCure = false): Removal {
  const sorted = fired.toSorted((a, b) => weight(b.decision) - weight(a.decision));
  const decision = sorted[0]?.decision ?? 'keep';
  const hold = weight(decision) >= weight('competent_person');
  return { decision, fired: sorted, cutOffMayCure: hold && cutOffMayCure, hold };
}

/** Whether a loss is more than so many hundredths of what was there, in whole numbers. */
export const losesMoreThan = (before: number, now: number, percent: number): boolean =>
  100 * (before - now) > percent * before;
