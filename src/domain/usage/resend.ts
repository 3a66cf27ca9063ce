/** Compares numbers that were settled before with what is stored for them. Pure. */

export interface HeldRun {
  firstSeq: number;
  at: ArrayLike<number>;
  raw: ArrayLike<number>;
}

export interface Comparison {
  duplicate: number;
  conflicts: { seq: number; at: number; raw: number }[];
}

/**
 * For every number from..to of a posted run: the same time and value as stored is a duplicate,
 * another is a conflict. A number that is settled but no longer stored (put away by retention) is
 * a duplicate.
 *
 * @param posted the run as it came
 * @param held stored runs that hold any of these numbers
 */
export function compareResent(
  posted: HeldRun,
  from: number,
  to: number,
  held: readonly HeldRun[],
): Comparison {
  const result: Comparison = { duplicate: to - from + 1, conflicts: [] };
  for (const run of held) {
    const first = Math.max(from, run.firstSeq);
    const last = Math.min(to, run.firstSeq + run.raw.length - 1);
    for (let seq = first; seq <= last; seq++) {
      const at = posted.at[seq - posted.firstSeq]!;
      const raw = posted.raw[seq - posted.firstSeq]!;
      const i = seq - run.firstSeq;
      if (run.at[i] === at && run.raw[i] === raw) continue;
      result.conflicts.push({ seq, at, raw });
    }
  }
  result.duplicate -= result.conflicts.length;
  return result;
}
