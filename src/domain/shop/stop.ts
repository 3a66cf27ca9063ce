import type { UnitFunction } from '../upkeep/service-point.ts';

/**
 * What takes readiness away: `work_lock` (a person is in it), `defect` (the shop's), `officer` (an
 * inspector's order), `restriction` (dispatch's).
 */
export const STOP_KINDS = ['work_lock', 'defect', 'officer', 'restriction'] as const;
export type StopKind = (typeof STOP_KINDS)[number];

/** `waits_for_drop`: the load that is on may be taken to its place, no new call. */
export const STOP_STATES = ['waits_for_drop', 'standing', 'cleared'] as const;
export type StopState = (typeof STOP_STATES)[number];

export const STOP_EFFECTIVES = ['at_once', 'after_drop'] as const;
export type StopEffective = (typeof STOP_EFFECTIVES)[number];

export const STOP_EFFECTS = ['limited', 'no'] as const;
export type StopEffect = (typeof STOP_EFFECTS)[number];

/**
 * What can happen to a stop that is set. `dropped`: the load is off. `hasten`: it will not wait for
 * the drop. `extend`: another time is expected. `clear_by_procedure`: a lead lifts the work lock of
 * a person who has gone. `clear_by_repair`: what caused it is mended, or certified as repaired.
 */
export const STOP_ACTS = [
  'dropped',
  'hasten',
  'extend',
  'clear',
  'clear_by_procedure',
  'clear_by_repair',
] as const;
export type StopAct = (typeof STOP_ACTS)[number];

const cleared = {
  clear: 'cleared',
  clear_by_procedure: 'cleared',
  clear_by_repair: 'cleared',
} as const;

/** Every move there is; what stands nowhere here cannot happen. */
export const STOP_MOVES: Readonly<Record<StopState, Partial<Record<StopAct, StopState>>>> = {
  waits_for_drop: {
    dropped: 'standing',
    hasten: 'standing',
    extend: 'waits_for_drop',
    ...cleared,
  },
  standing: { extend: 'standing', ...cleared },
  cleared: {},
};

/** Where an act takes a stop; null when it cannot happen in that state. */
export function nextStopState(state: StopState, act: StopAct): StopState | null {
  return STOP_MOVES[state][act] ?? null;
}

export function firstStopState(effective: StopEffective): StopState {
  return effective === 'after_drop' ? 'waits_for_drop' : 'standing';
}

/**
 * Who may do an act. `placer`: the person who placed it and nobody else. `other_lead`: a lead who
 * did not place it, with the written procedure. `anyone`: it only makes the unit safer, or says
 * what happened.
 */
export type MayAct = 'anyone' | 'placer' | 'lead' | 'other_lead' | 'dispatch' | 'nobody';

export const STOP_MAY: Readonly<Record<StopKind, Readonly<Record<StopAct, MayAct>>>> = {
  work_lock: {
    dropped: 'nobody',
    hasten: 'nobody',
    extend: 'placer',
    clear: 'placer',
    clear_by_procedure: 'other_lead',
    clear_by_repair: 'nobody',
  },
  defect: {
    dropped: 'anyone',
    hasten: 'anyone',
    extend: 'lead',
    clear: 'lead',
    clear_by_procedure: 'nobody',
    clear_by_repair: 'lead',
  },
  officer: {
    dropped: 'anyone',
    hasten: 'anyone',
    extend: 'lead',
    clear: 'nobody',
    clear_by_procedure: 'nobody',
    clear_by_repair: 'lead',
  },
  restriction: {
    dropped: 'anyone',
    hasten: 'anyone',
    extend: 'dispatch',
    clear: 'dispatch',
    clear_by_procedure: 'nobody',
    clear_by_repair: 'nobody',
  },
};

/** The person who acts; null when only a key is known. */
export interface StopSigner {
  personId: string;
  competences: readonly string[];
}

/** Whether this person may do the act with a stop of that kind, placed by that person. */
export function mayActOnStop(
  stop: { kind: StopKind; placedByPerson: string | null },
  act: StopAct,
  signer: StopSigner | null,
): boolean {
  const rule = STOP_MAY[stop.kind][act];
  if (rule === 'anyone') return true;
  if (rule === 'nobody' || signer === null) return false;
  const placedIt = signer.personId === stop.placedByPerson;
  if (rule === 'placer') return placedIt;
  const needed = rule === 'dispatch' ? 'dispatch' : 'lead';
  return signer.competences.includes(needed) && !(rule === 'other_lead' && placedIt);
}

export const ALL_FUNCTIONS: readonly UnitFunction[] = [
  'wheel_lift',
  'winch',
  'boom',
  'dollies',
  'road',
];

/** Whether a stop counts no more because its time is over: only a restriction ends by itself. */
export function hasRunOut(
  stop: { kind: StopKind; untilAtMs: number | null },
  nowMs: number,
): boolean {
  return stop.kind === 'restriction' && stop.untilAtMs !== null && nowMs >= stop.untilAtMs;
}
