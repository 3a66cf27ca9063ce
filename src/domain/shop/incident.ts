import type { LiftPattern } from '../upkeep/lift-pattern.ts';
import { type WorkKind, workOn } from '../upkeep/task-work.ts';
import type { AssetKind } from '../usage/meter.ts';

/** What can happen to a unit that nobody would send on without a full inspection. */
export const INCIDENTS = ['collision', 'overload', 'shock_load', 'drop'] as const;
export type Incident = (typeof INCIDENTS)[number];

export const incidentWords: Readonly<Record<Incident, string>> = {
  collision: 'It was hit, or hit something.',
  overload: 'It carried or pulled more than it is rated for.',
  shock_load: 'A load came on with a jerk.',
  drop: 'A load fell, or the lift fell with it.',
};

/** What is inspected: what bore the load; after a collision the chassis too. */
export function inspectedKinds(incident: Incident): readonly AssetKind[] {
  const bears: AssetKind[] = ['lift', 'winch', 'dolly_set'];
  return incident === 'collision' ? [...bears, 'chassis'] : bears;
}

const INSPECTING: readonly WorkKind[] = ['look', 'measure', 'fasten', 'test'];

/** The tasks of a full inspection: all that look, measure, tighten or try anything. */
export function inspectionTasks(pattern: Pick<LiftPattern, 'tasks' | 'servicePoints'>): string[] {
  const points = new Map(pattern.servicePoints.map((point) => [point.key, point]));
  return pattern.tasks
    .filter((task) => {
      const works = task.points.map((key) => workOn(task, points.get(key)!));
      if (works.length === 0 && task.work !== null) works.push(task.work);
      return works.some((work) => INSPECTING.includes(work));
    })
    .map((task) => task.key);
}
