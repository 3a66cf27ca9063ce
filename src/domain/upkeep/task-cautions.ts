import type { ServicePoint } from './service-point.ts';

/** Most sentences with one task; where there are more, the last one says so. */
export const MAX_TASK_CAUTIONS = 60;
export const MORE_CAUTIONS =
  'There are more cautions than are shown: read those of each service point in the pattern first.';

interface WithPoints {
  points: readonly string[];
  cautions: readonly string[];
}

/**
 * What whoever does the task must be told: the cautions of the task, then those of its service
 * points in their order, each sentence once. Cautions come with the work, wherever they were
 * written down.
 */
export function taskCautions(
  task: WithPoints,
  points: ReadonlyMap<string, Pick<ServicePoint, 'cautions'>>,
): string[] {
  const said = new Set(task.cautions);
  for (const key of task.points) {
    for (const sentence of points.get(key)?.cautions ?? []) said.add(sentence);
    if (said.size > MAX_TASK_CAUTIONS) {
      return [...[...said].slice(0, MAX_TASK_CAUTIONS - 1), MORE_CAUTIONS];
    }
  }
  return [...said];
}
