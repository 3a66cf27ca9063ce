import { localDay } from '../usage/local-day.ts';
import type { Milestone, TaskAssessment } from './assess-task.ts';
import type { Day } from './calendar.ts';
import { type Reason, reasonText } from './upkeep-reason.ts';

/** What may call a task due now, whatever its meters say. */
export const CALL_CAUSES = ['symptom', 'incident', 'walk_round', 'intake', 'person'] as const;
export type CallCause = (typeof CALL_CAUSES)[number];

/** The measure that stands for a call where meters stand otherwise. */
export const CALL = 'call';

export interface TaskCall {
  taskKey: string;
  atMs: number;
  cause: CallCause;
  /** The word of the closed list that stands for the cause. */
  what: string | null;
}

/** Calls of one task that nothing has answered: the first of them, and how many there are. */
export interface OpenCalls {
  first: TaskCall;
  count: number;
}

/**
 * Of the calls of one task those that still stand: it was not done since. What is only estimated
 * answers nothing, and neither does what was done before the call.
 */
export function openCalls(
  calls: readonly TaskCall[],
  dones: readonly { atMs: number; estimated: boolean; voided: boolean }[],
): OpenCalls | null {
  const lastDone = dones
    .filter((done) => !done.estimated && !done.voided)
    .reduce((last, { atMs }) => Math.max(last, atMs), Number.NEGATIVE_INFINITY);
  const open = calls.filter((call) => call.atMs >= lastDone);
  const [first] = open.toSorted((a, b) => a.atMs - b.atMs);
  return first ? { first, count: open.length } : null;
}

/**
 * A called task is in its window from the day of the call on. Pure; a call only ever makes a task
 * more pressing: what is overrun, or may be past its limit for all that is known, stays so.
 */
export function calledDue(plain: TaskAssessment, open: OpenCalls, zone: string): TaskAssessment {
  const day = localDay(open.first.atMs, zone);
  const { cause, what } = open.first;
  const reason: Reason = { code: 'called', day, cause, what, more: open.count - 1 };
  const said = { ...reason, text: reasonText(reason, { meters: [], zone }) };
  const called = { day, cause, what, calls: open.count };
  const opens = atLatest(plain.opens, day);
  const full = atLatest(plain.full, day);
  const unknownBecause = plain.unknownBecause.filter((meter) => mayBeBeyond(plain, meter));
  const worse = plain.status === 'overrun' || unknownBecause.length > 0;
  if (worse || plain.status === 'in_window') {
    const [first, ...rest] = plain.reasons;
    const reasons = worse && first ? [first, said, ...rest] : [said, ...plain.reasons];
    const knownStatus = plain.knownStatus === 'overrun' ? 'overrun' : 'in_window';
    return { ...plain, knownStatus, opens, full, unknownBecause, called, reasons };
  }
  return {
    ...plain,
    status: 'in_window',
    knownStatus: 'in_window',
    driver: CALL,
    opens,
    full,
    unknownBecause: [],
    called,
    reasons: [said, ...plain.reasons],
  };
}

/** A day that the meters came to before stays. */
function atLatest(plain: Milestone, day: Day): Milestone {
  if (plain.past && plain.day !== null && plain.day <= day) return plain;
  return { day, past: true, by: CALL, noDay: null };
}

/** Whether a silent meter hides that the task is past its limit. */
function mayBeBeyond(plain: TaskAssessment, meter: string): boolean {
  return plain.reasons.some(
    (reason) =>
      (reason.code === 'silent' || reason.code === 'no_source') &&
      reason.measure === meter &&
      reason.could === 'beyond_limit',
  );
}
