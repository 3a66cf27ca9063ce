/**
 * What became of a reading: the closed list.
 *
 * - `baseline`: starts the count; adds nothing.
 * - `carried`: the first reading of a new stream, judged against the last value known.
 * - `accepted`: an ordinary rise.
 * - `jitter`: a few steps down; the old maximum stands.
 * - `rollover`: the counter passed its last value and began again at zero.
 * - `reset`: the counter was set to zero; it counts from there.
 * - `set_aside`: does not fit; waits for what follows. Still open.
 * - `spike`: was set aside, and what followed did not bear it out. Adds nothing.
 * - `rebase`: was set aside, and what followed goes on from it. The jump adds nothing; a person
 *   confirms.
 * - `clock_suspect`: the device's time cannot be right; it lies between its trusted neighbours.
 */
export const foldVerdicts = [
  'baseline',
  'carried',
  'accepted',
  'jitter',
  'rollover',
  'reset',
  'set_aside',
  'spike',
  'rebase',
  'clock_suspect',
] as const;
export type FoldVerdict = (typeof foldVerdicts)[number];

/** Why a verdict was given, where the kind alone does not say it; a closed list. */
export const verdictReasons = [
  /** The first reading of the line, or of a controller that was replaced. */
  'start',
  /** The device declared it when it asked for a new epoch. */
  'declared',
  /** Shown by the values alone. */
  'by_value',
  /** A person said so. */
  'decided',
  /** Rises faster than time allows. */
  'too_fast',
  /** Falls without evidence of a reset or a rollover. */
  'fall',
  /** What followed did not go on from it. */
  'not_borne_out',
  /** What followed went on from it. */
  'borne_out',
  /** The device's time is earlier than a trusted reading before it. */
  'behind',
  /** The device's time is later than the moment it arrived. */
  'ahead',
  /** The device's time is earlier than any that can be its own. */
  'too_early',
  /** The post proved the device's clock fast; the time was put right by that much. */
  'fast_clock',
] as const;
export type VerdictReason = (typeof verdictReasons)[number];

export interface VerdictDetail {
  readonly reason: VerdictReason;
  /** The value in ticks that the reading was judged against; null when there was none. */
  readonly against: number | null;
}

/**
 * Waits for a person: whether a jump was a new counter or use that nobody saw, nobody else can
 * tell.
 */
export function needsPerson(verdict: FoldVerdict): boolean {
  return verdict === 'rebase' || verdict === 'set_aside';
}
