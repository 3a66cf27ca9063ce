import type { TaskAssessment } from './assess-task.ts';
import type { Day } from './calendar.ts';
import type { OverrunEffect } from './task-rule.ts';
import type { TaskStatus } from './task-working.ts';

/**
 * How pressing a task is; 1 is the most pressing.
 * 1 overrun, and a function may not be used; 2 overrun, and it is limited; 3 overrun, a warning or
 * nothing; 4 in its window, or a silent meter hides how far it is; 5 never recorded; 6 ahead.
 * More use, or a later day, never makes the number greater.
 */
export type Rank = 1 | 2 | 3 | 4 | 5 | 6;

const OVERRUN_RANK: Record<OverrunEffect, Rank> = { no: 1, limited: 2, warn: 3, none: 3 };

export function rankTask(assessment: TaskAssessment): Rank {
  if (assessment.status === 'overrun') return OVERRUN_RANK[assessment.effect?.effect ?? 'none'];
  if (assessment.status === 'ahead') return 6;
  // What a silent meter hides may be past its limit: as pressing as a window that is open.
  const mayBe = assessment.status === 'in_window' || assessment.unknownBecause.length > 0;
  return mayBe ? 4 : 5;
}

/**
 * The day that orders tasks of one rank: since when it is overrun; else the last day inside (as far
 * as dates can be given), or the day it was called due where that comes first; for a task ahead the
 * day on which it opens.
 */
export function orderDayOf(assessment: TaskAssessment): Day | null {
  if (assessment.status === 'overrun') return assessment.overrunSince;
  if (assessment.status === 'ahead') return assessment.opens.day;
  const last = assessment.limit.day ?? assessment.full.day ?? assessment.opens.day;
  const called = assessment.called?.day ?? null;
  return called !== null && (last === null || called < last) ? called : last;
}

/** One task of one of the unit's assets. */
export interface UnitTask {
  asset: string;
  assessment: TaskAssessment;
}

export interface UnitReason {
  /** Null when the reason is the unit's own. */
  asset: string | null;
  task: string | null;
  rank: Rank;
  status: TaskStatus;
  text: string;
}

export interface UnitRank {
  rank: Rank;
  status: TaskStatus;
  orderDay: Day | null;
  /** The most pressing tasks, each with its first reason. */
  reasons: UnitReason[];
  /** Tasks as pressing as `ahead` are not reasons; of the others, how many were left out. */
  moreReasons: number;
}

/** What two things are ordered by: rank, then the day, those without a day last. */
export interface Ordered {
  rank: Rank;
  orderDay: Day | null;
}

export function comparePressing(a: Ordered, b: Ordered): number {
  if (a.rank !== b.rank) return a.rank - b.rank;
  if (a.orderDay === b.orderDay) return 0;
  if (a.orderDay === null || b.orderDay === null) return a.orderDay === null ? 1 : -1;
  return a.orderDay < b.orderDay ? -1 : 1;
}

/**
 * A unit is as pressing as its most pressing task; where none is overrun and one is unknown, so is
 * the unit. A unit without any task is unknown: that nobody gave it a pattern does not make it
 * sound.
 */
export function rankUnit(tasks: readonly UnitTask[], maxReasons: number): UnitRank {
  const ordered = tasks
    .map((task) => ({
      ...task,
      rank: rankTask(task.assessment),
      orderDay: orderDayOf(task.assessment),
    }))
    .sort((a, b) => comparePressing(a, b) || compareKeys(a, b));
  const first = ordered[0];
  if (!first) {
    const text = 'Nothing on this unit has a pattern, so nobody knows what is due.';
    const why = { asset: null, task: null, rank: 5 as const, status: 'unknown' as const, text };
    return { rank: 5, status: 'unknown', orderDay: null, reasons: [why], moreReasons: 0 };
  }
  const pressing = first.rank === 6 ? ordered.slice(0, 1) : ordered.filter((t) => t.rank < 6);
  // What is not known must show, also where something else on the unit is known.
  const hidden = ordered.some(
    ({ assessment, rank }) => rank < 6 && assessment.status === 'unknown',
  );
  const reasons = pressing.slice(0, maxReasons).map(({ asset, assessment, rank }) => ({
    asset,
    task: assessment.task,
    rank,
    status: assessment.status,
    text: assessment.reasons[0]?.text ?? '',
  }));
  return {
    rank: first.rank,
    status: hidden && first.rank > 3 ? 'unknown' : first.assessment.status,
    orderDay: first.orderDay,
    reasons,
    moreReasons: pressing.length - reasons.length,
  };
}

/** So that the same tasks always come in the same order. */
function compareKeys(a: UnitTask, b: UnitTask): number {
  const [x, y] = [`${a.asset} ${a.assessment.task}`, `${b.asset} ${b.assessment.task}`];
  return x < y ? -1 : x > y ? 1 : 0;
}
