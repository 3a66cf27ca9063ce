/**
 * Time engaged, from samples of a state (SPN 3948: is at least one PTO engaged?). Pure.
 *
 * The time from one sample to the next counts when the earlier one said "engaged", the later one
 * says "engaged" or "not engaged", and they are at most a minute apart. An error, "not available"
 * or a longer silence counts nothing, before or after it: what nobody saw is not made up. A minute
 * is common practice, no source: loggers that ask once a minute must count, and what a lost frame
 * can add stays small. Whole milliseconds throughout.
 */

/** Samples further apart than this say nothing of the time between them. */
export const engagementGapMs = 60_000;

export interface EngagementState {
  /** Time of the last sample, whatever it said. */
  readonly sampledMs: number;
  /** Null: it said neither. */
  readonly engaged: boolean | null;
  readonly totalMs: number;
}

export interface EngagementSample {
  readonly atMs: number;
  readonly engaged: boolean | null;
}

export interface EngagedTotal {
  readonly atMs: number;
  readonly totalMs: number;
}

export interface Integrated {
  readonly state: EngagementState | null;
  /** The total at every sample that said something. */
  readonly totals: readonly EngagedTotal[];
  /** Times after "engaged" that counted, and those that were too long to. */
  readonly counted: number;
  readonly unseen: number;
}

/**
 * Goes on from `before` over samples in strict order of time, all later than it; cutting the
 * samples elsewhere changes nothing.
 */
export function integrateEngagement(
  before: EngagementState | null,
  samples: readonly EngagementSample[],
): Integrated {
  let state = before;
  const totals: EngagedTotal[] = [];
  let counted = 0;
  let unseen = 0;
  for (const { atMs, engaged } of samples) {
    const elapsedMs = state === null ? 0 : atMs - state.sampledMs;
    const isSeen = elapsedMs <= engagementGapMs;
    const counts = state?.engaged === true && engaged !== null && isSeen;
    if (counts) counted += 1;
    else if (state?.engaged === true && !isSeen) unseen += 1;
    const totalMs = (state?.totalMs ?? 0) + (counts ? elapsedMs : 0);
    state = { sampledMs: atMs, engaged, totalMs };
    if (engaged !== null) totals.push({ atMs, totalMs });
  }
  return { state, totals, counted, unseen };
}
