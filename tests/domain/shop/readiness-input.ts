import type { ReadinessInput } from '../../../src/domain/shop/readiness.ts';
import type {
  ReadinessDeferral,
  ReadinessFinding,
  ReadinessStop,
  ReadinessTask,
} from '../../../src/domain/shop/readiness-reason.ts';

/** 2026-03-02, noon in Chicago. */
export const nowMs = Date.UTC(2026, 2, 2, 18);
export const today = '2026-03-02';
export const hourMs = 3_600_000;

/** A unit with a lift and a winch on which nothing is wrong. */
export const input = (more: Partial<ReadinessInput> = {}): ReadinessInput => ({
  nowMs,
  today,
  fitted: ['wheel_lift', 'winch', 'road'],
  stops: [],
  findings: [],
  tasks: [],
  deferrals: [],
  notices: [],
  unassessed: [],
  needs: [],
  ...more,
});

export const stop = (more: Partial<ReadinessStop> = {}): ReadinessStop => ({
  stopId: 's1',
  kind: 'defect',
  state: 'standing',
  effect: 'no',
  functions: ['wheel_lift'],
  limits: {},
  reason: 'the crossbar is bent',
  untilAtMs: null,
  placedAtMs: nowMs - hourMs,
  placedByName: 'A. Penn',
  findingId: null,
  assetId: 'lift',
  pointKey: null,
  ...more,
});

export const finding = (more: Partial<ReadinessFinding> = {}): ReadinessFinding => ({
  findingId: 'f1',
  grade: 'unfit',
  words: 'cracked pin',
  functions: ['wheel_lift'],
  mendByDay: null,
  mendByUse: {},
  usedSince: {},
  silentMeters: [],
  reports: 1,
  foundAtMs: nowMs - 2 * hourMs,
  gradedAtMs: nowMs - 2 * hourMs,
  assetId: 'lift',
  pointKey: 'fold_pin',
  ...more,
});

export const task = (more: Partial<ReadinessTask> = {}): ReadinessTask => ({
  assetId: 'lift',
  taskKey: 'grease',
  name: 'Grease all fittings',
  status: 'overrun',
  effect: 'no',
  functions: ['wheel_lift'],
  words: 'Past its limit since 2026-02-20: 40 of 30 days.',
  sinceMs: nowMs - 240 * hourMs,
  silentSinceMs: null,
  neverDone: false,
  mayExtend: 'lead',
  knownAtMs: nowMs - hourMs,
  ...more,
});

export const deferral = (more: Partial<ReadinessDeferral> = {}): ReadinessDeferral => ({
  deferralId: 'd1',
  assetId: 'lift',
  name: 'Grease all fittings',
  effect: 'limited',
  functions: ['wheel_lift'],
  limits: { loadKg: 1_000 },
  restriction: '',
  approver: 'L. Moss',
  untilDay: '2026-03-05',
  untilMs: nowMs + 84 * hourMs,
  fromAtMs: nowMs - hourMs,
  ...more,
});
