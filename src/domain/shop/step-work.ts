import type { PointTap } from '../upkeep/point-tap.ts';
import type { PointKind } from '../upkeep/service-point.ts';
import type { WorkKind } from '../upkeep/task-work.ts';

/**
 * What is done in a step, in the order of the work: looking before anything is touched, cleaning,
 * looking again, measuring, then the work itself, trying it, and a last look. `move` steps stand
 * between them wherever the lift must stand otherwise.
 */
export const stepWorks = [
  'first_look',
  'look',
  'clean',
  'look_again',
  'measure',
  'mend',
  'fasten',
  'grease',
  'fill',
  'replace',
  'test',
  'function_test',
  'look_last',
  'wipe_and_look',
  'move',
] as const;
export type StepWork = (typeof stepWorks)[number];

/** The step that a task's work on a point becomes: hoses are looked at last, when all is run. */
export function stepWorkOf(work: WorkKind | 'mend', kind: PointKind | null): StepWork {
  return work === 'look' && kind === 'hose' ? 'look_last' : work;
}

/** A find of the first looks that makes it unfit ends the card: nobody works on below it. */
export function endsCardIfUnfit(work: StepWork): boolean {
  return work === 'first_look' || work === 'look';
}

const moved: readonly PointKind[] = ['control', 'valve', 'cylinder', 'brake'];

/** The lift moves in it, so one named person stands at the controls. */
export function needsControls(work: StepWork, kind: PointKind | null): boolean {
  if (work === 'move' || work === 'function_test') return true;
  return work === 'test' && kind !== null && moved.includes(kind);
}

const ofSteel: readonly PointTap[] = ['sound', 'bent', 'cracked', 'missing'];

const wholeTaps: Partial<Record<StepWork, readonly PointTap[]>> = {
  first_look: [...ofSteel, 'wet', 'loose'],
  clean: ['cleaned'],
  look_again: [...ofSteel, 'thread_damaged'],
  function_test: ['works', 'sticks', 'does_not_hold'],
  wipe_and_look: ['sound', 'wet', 'loose'],
};

/** The taps of a step over a whole asset. */
export function tapsOverAll(work: StepWork): PointTap[] {
  return [...(wholeTaps[work] ?? [])];
}
