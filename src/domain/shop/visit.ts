/** A visit as it is planned; instants in epoch milliseconds. */
export interface VisitPlan {
  yardId: string;
  bay: string;
  fromMs: number;
  toMs: number;
  /** From when dispatch can do without the unit; null: not said. */
  canSpareFromMs: number | null;
  /** When dispatch wants it back; null: not said. */
  backByMs: number | null;
  /** Who agreed for dispatch; null while nobody has. */
  agreedBy: string | null;
}

const longestMs = 366 * 86_400_000;

/** Why a visit cannot be so, in words; null when it can. */
export function refuseVisit(plan: VisitPlan, earliestMs: number): string | null {
  const { fromMs, toMs, canSpareFromMs, backByMs } = plan;
  if (fromMs < earliestMs) return 'A visit begins in 2000 at the earliest.';
  if (toMs <= fromMs) return '`to` must come after `from`.';
  if (toMs - fromMs > longestMs) return 'A visit lasts a year at most.';
  if (canSpareFromMs !== null && fromMs < canSpareFromMs) {
    return 'The visit would begin before dispatch can spare the unit.';
  }
  if (backByMs !== null && toMs > backByMs) {
    return 'The visit would end after dispatch wants the unit back.';
  }
  return null;
}

export type VisitEdit = { [name in keyof VisitPlan]?: VisitPlan[name] | undefined };

const agreedUpon = ['yardId', 'fromMs', 'toMs', 'canSpareFromMs', 'backByMs'] as const;

/**
 * The plan after a change. What dispatch agreed to holds for the times and the yard that it was
 * told: when those change, somebody must agree anew, and is named in the same change or later.
 */
export function changeVisit(plan: VisitPlan, edit: VisitEdit): VisitPlan {
  const given = Object.entries(edit).filter(([, value]) => value !== undefined);
  const changed: VisitPlan = { ...plan, ...Object.fromEntries(given) };
  const otherwise = agreedUpon.some((name) => changed[name] !== plan[name]);
  if (otherwise && edit.agreedBy === undefined) changed.agreedBy = null;
  return changed;
}
