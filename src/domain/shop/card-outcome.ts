import type { MergedStep } from './merge-steps.ts';
import type { StepWork } from './step-work.ts';

export interface WorkedStep {
  stepId: string;
  work: StepWork;
  assetId: string;
  pointKey: string | null;
  tasks: readonly string[];
}

/** A card and what came of its steps. */
export interface WorkedCard {
  steps: readonly WorkedStep[];
  merged: ReadonlyMap<string, Pick<MergedStep, 'result' | 'doneAtMs'>>;
}

export interface TaskOutcome {
  assetId: string;
  taskKey: string;
  /** When the work was done; null while any of its steps was not. */
  doneAtMs: number | null;
}

/** The tasks that a card has steps of, each once, in the order of its steps. */
function tasksOf(card: WorkedCard): { assetId: string; taskKey: string }[] {
  const found = new Map<string, { assetId: string; taskKey: string }>();
  for (const { assetId, tasks } of card.steps) {
    for (const taskKey of tasks) found.set(`${assetId} ${taskKey}`, { assetId, taskKey });
  }
  return [...found.values()];
}

/**
 * What came of each task of the last card of a chain, of which each follows the one before. A task
 * is done when each of its steps is, on the last card that has the step. Where a first part of it
 * was done on an earlier card, the time of that part counts: most of it was done then, and upkeep
 * that comes a little early harms nobody.
 */
export function taskOutcomes(chain: readonly WorkedCard[]): TaskOutcome[] {
  const last = chain.at(-1);
  if (!last) return [];
  return tasksOf(last).map(({ assetId, taskKey }) => {
    const standing = new Map<string, boolean>();
    let doneAtMs: number | null = null;
    for (const card of chain) {
      let latest: number | null = null;
      for (const step of card.steps) {
        if (step.assetId !== assetId || !step.tasks.includes(taskKey)) continue;
        const merged = card.merged.get(step.stepId);
        standing.set(`${step.work} ${step.pointKey ?? ''}`, merged?.result === 'done');
        if (merged?.doneAtMs != null) latest = Math.max(latest ?? 0, merged.doneAtMs);
      }
      doneAtMs ??= latest;
    }
    const all = [...standing.values()].every((done) => done);
    return { assetId, taskKey, doneAtMs: all ? doneAtMs : null };
  });
}
