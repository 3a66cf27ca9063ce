import type { Day } from '../upkeep/calendar.ts';
import type { UnitFunction } from '../upkeep/service-point.ts';
import type { ExtendingRole, OverrunEffect } from '../upkeep/task-rule.ts';
import type { FindingGrade } from './finding.ts';
import { type Limits, limitsText } from './limit.ts';
import { hasRunOut, type StopEffect, type StopKind, type StopState } from './stop.ts';

/** What a reason does to an answer; a `note` does nothing and is only to be known. */
export const REASON_EFFECTS = ['note', 'limited', 'unknown', 'no'] as const;
export type ReasonEffect = (typeof REASON_EFFECTS)[number];

export const REASON_SOURCES = [
  'stop',
  'finding',
  'task',
  'deferral',
  'not_assessed',
  'not_fitted',
  'notice',
] as const;
export type ReasonSource = (typeof REASON_SOURCES)[number];

/** Why a unit is not simply ready, in words that are plain at two in the morning. */
export interface ReadinessReason {
  what: ReasonSource;
  /** Of the stop, finding or deferral; of a task 'assetId key'. */
  id: string;
  /** Of a stop: whose it is. */
  kind: StopKind | null;
  effect: ReasonEffect;
  functions: UnitFunction[];
  limits: Limits;
  text: string;
  sinceMs: number | null;
  /** When it is expected to be over; null: nobody has said. */
  untilMs: number | null;
  whoCanClear: string;
  /** Up to when what it rests on is known. */
  dataAtMs: number;
  /** Where it sits, for functions that rest on that place. */
  assetId: string | null;
  pointKey: string | null;
}

export interface ReadinessStop {
  stopId: string;
  kind: StopKind;
  state: StopState;
  effect: StopEffect;
  functions: readonly UnitFunction[];
  limits: Limits;
  reason: string;
  untilAtMs: number | null;
  placedAtMs: number;
  placedByName: string;
  findingId: string | null;
  assetId: string | null;
  pointKey: string | null;
}

export interface ReadinessFinding {
  findingId: string;
  grade: FindingGrade;
  words: string;
  functions: readonly UnitFunction[];
  mendByDay: Day | null;
  /** {meter: grains} since it was graded: what may be used, and what was. */
  mendByUse: Readonly<Record<string, number>>;
  usedSince: Readonly<Record<string, number>>;
  /** Meters of `mendByUse` that nobody hears from. */
  silentMeters: readonly string[];
  reports: number;
  foundAtMs: number;
  gradedAtMs: number;
  assetId: string | null;
  pointKey: string | null;
}

/** A task that is overrun, or that may be: nothing else takes anything away. */
export interface ReadinessTask {
  assetId: string;
  taskKey: string;
  name: string;
  status: 'overrun' | 'unknown';
  effect: OverrunEffect;
  functions: readonly UnitFunction[];
  /** The first thing that its assessment says. */
  words: string;
  sinceMs: number | null;
  /** Since when a meter is silent that could change the answer. */
  silentSinceMs: number | null;
  neverDone: boolean;
  mayExtend: ExtendingRole;
  /** Up to when the use is known that it rests on, where no meter is silent. */
  knownAtMs: number;
}

export interface ReadinessDeferral {
  deferralId: string;
  assetId: string;
  name: string;
  effect: 'none' | StopEffect;
  functions: readonly UnitFunction[];
  limits: Limits;
  restriction: string;
  approver: string;
  untilDay: Day;
  untilMs: number;
  fromAtMs: number;
}

/** Something to be known before the unit goes, that takes nothing away. */
export interface ReadinessNotice {
  id: string;
  functions: readonly UnitFunction[];
  text: string;
  sinceMs: number | null;
  whoCanClear: string;
}

const stopped: Record<StopKind, string> = {
  work_lock: 'is working in it',
  defect: 'The shop stopped it',
  officer: 'An inspector ordered it out of service',
  restriction: 'Dispatch holds it back',
};

const sentence = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`);

function stopText(stop: ReadinessStop, waits: boolean, late: boolean): string {
  const { kind, placedByName, reason, limits } = stop;
  const lock = kind === 'work_lock';
  const said = sentence(`${lock ? `${placedByName} ${stopped[kind]}` : stopped[kind]}: ${reason}`);
  const only = !waits && stop.effect === 'limited' ? [`Allowed: ${limitsText(limits)}.`] : [];
  const drop = waits ? ['Finish the drop, take no new call.'] : [];
  const overdue = late ? ['It was to be over by now; nobody has cleared it.'] : [];
  return [...drop, said, ...only, ...overdue].join(' ');
}

/** Who may end a stop, in words. */
export function whoClearsStop(stop: Pick<ReadinessStop, 'kind' | 'placedByName'>): string {
  switch (stop.kind) {
    case 'work_lock':
      return `${stop.placedByName}, who placed it; once gone, a lead by the written procedure`;
    case 'defect':
      return 'a lead, when it is mended and checked';
    case 'officer':
      return 'a lead, when the repairs are certified';
    case 'restriction':
      return 'dispatch';
  }
}

/** Null: it counts no more. */
export function reasonOfStop(stop: ReadinessStop, nowMs: number): ReadinessReason | null {
  if (stop.state === 'cleared' || hasRunOut(stop, nowMs)) return null;
  const waits = stop.state === 'waits_for_drop';
  const late = stop.untilAtMs !== null && stop.untilAtMs <= nowMs;
  return {
    what: 'stop',
    id: stop.stopId,
    kind: stop.kind,
    effect: waits ? 'limited' : stop.effect,
    functions: [...stop.functions],
    limits: waits ? { presentLoadOnly: true } : stop.limits,
    text: stopText(stop, waits, late),
    sinceMs: stop.placedAtMs,
    untilMs: late ? null : stop.untilAtMs,
    whoCanClear: whoClearsStop(stop),
    dataAtMs: nowMs,
    assetId: stop.assetId,
    pointKey: stop.pointKey,
  };
}

function findingEffect(
  finding: ReadinessFinding,
  today: Day,
): { effect: ReasonEffect; words: string } | null {
  const { grade, mendByDay, mendByUse, usedSince, silentMeters } = finding;
  if (grade === 'sound') return null;
  if (grade === 'unfit') return { effect: 'no', words: 'Found unfit' };
  if (grade === 'keep_watch') return { effect: 'note', words: 'To be watched' };
  const used = Object.entries(mendByUse).some(([meter, most]) => (usedSince[meter] ?? 0) > most);
  if (used || (mendByDay !== null && today > mendByDay)) {
    return { effect: 'no', words: 'Was to be mended by now' };
  }
  if (silentMeters.length > 0) {
    return { effect: 'unknown', words: 'To be mended after so much use, and nobody counts it now' };
  }
  const by = mendByDay === null ? 'after some more use' : `by ${mendByDay}`;
  return { effect: 'note', words: `To be mended ${by}` };
}

/** Null: it says nothing. */
export function reasonOfFinding(
  finding: ReadinessFinding,
  today: Day,
  nowMs: number,
): ReadinessReason | null {
  const found = findingEffect(finding, today);
  if (!found) return null;
  const again = finding.reports > 1 ? ` (reported ${finding.reports} times)` : '';
  const words = finding.words === '' ? '' : `: ${finding.words}`;
  return {
    what: 'finding',
    id: finding.findingId,
    kind: null,
    effect: found.effect,
    functions: [...finding.functions],
    limits: {},
    text: sentence(`${found.words}${again}${words}`),
    sinceMs: finding.foundAtMs,
    untilMs: null,
    whoCanClear: 'the shop mends it, a lead closes it',
    dataAtMs: nowMs,
    assetId: finding.assetId,
    pointKey: finding.pointKey,
  };
}

const extending: Record<ExtendingRole, string> = {
  nobody: 'nobody may put it off',
  lead: 'a lead may put it off',
  admin: 'an admin may put it off',
};

function taskClearer(task: ReadinessTask): string {
  if (task.neverDone) return 'the shop, by saying when it was last done, or by doing it';
  if (task.status === 'unknown') return 'whoever gets the meter to report, or reads its dial';
  return `the shop, by doing it; ${extending[task.mayExtend]}`;
}

function taskEffect({ status, effect }: ReadinessTask): ReasonEffect | null {
  if (effect === 'none') return null;
  if (effect === 'warn') return 'note';
  return status === 'unknown' ? 'unknown' : effect;
}

/** Null: being overrun changes nothing. */
export function reasonOfTask(task: ReadinessTask): ReadinessReason | null {
  const effect = taskEffect(task);
  if (effect === null) return null;
  const limited = effect === 'limited';
  return {
    what: 'task',
    id: `${task.assetId} ${task.taskKey}`,
    kind: null,
    effect,
    functions: [...task.functions],
    limits: limited ? { words: [`ask a lead first: ${task.name} is overdue`] } : {},
    text: sentence(`${task.name}: ${task.words}`),
    sinceMs: task.sinceMs,
    untilMs: null,
    whoCanClear: taskClearer(task),
    dataAtMs: Math.min(task.silentSinceMs ?? task.knownAtMs, task.knownAtMs),
    assetId: task.assetId,
    pointKey: null,
  };
}

export function reasonOfDeferral(deferral: ReadinessDeferral, nowMs: number): ReadinessReason {
  const { effect, name, untilDay, approver, restriction, limits } = deferral;
  const words = limitsText(limits);
  const all = [restriction, restriction === words ? '' : words].filter((each) => each !== '');
  const but = all.length > 0 ? `: ${all.join('; ')}` : '';
  return {
    what: 'deferral',
    id: deferral.deferralId,
    kind: null,
    effect: effect === 'none' ? 'note' : effect,
    functions: [...deferral.functions],
    limits: effect === 'limited' ? limits : {},
    text: sentence(`${name} is put off until ${untilDay} by ${approver}${but}`),
    sinceMs: deferral.fromAtMs,
    untilMs: deferral.untilMs,
    whoCanClear: 'the shop, by doing it',
    dataAtMs: nowMs,
    assetId: deferral.assetId,
    pointKey: null,
  };
}

export const reasonOfNotice = (notice: ReadinessNotice, nowMs: number): ReadinessReason => ({
  what: 'notice',
  id: notice.id,
  kind: null,
  effect: 'note',
  functions: [...notice.functions],
  limits: {},
  text: sentence(notice.text),
  sinceMs: notice.sinceMs,
  untilMs: null,
  whoCanClear: notice.whoCanClear,
  dataAtMs: nowMs,
  assetId: null,
  pointKey: null,
});

/** The upkeep of an asset that nobody has looked at yet. */
export const reasonOfUnassessed = (
  asset: { assetId: string; functions: readonly UnitFunction[] },
  nowMs: number,
): ReadinessReason => ({
  what: 'not_assessed',
  id: asset.assetId,
  kind: null,
  effect: 'unknown',
  functions: [...asset.functions],
  limits: {},
  text: 'Its upkeep is being worked out; ask again in a moment.',
  sinceMs: null,
  untilMs: null,
  whoCanClear: 'nobody needs to',
  dataAtMs: nowMs,
  assetId: asset.assetId,
  pointKey: null,
});
