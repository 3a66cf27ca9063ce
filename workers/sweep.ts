import { sweep } from '../src/flows/sweep.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const sweepMarks =
  (deps: FlowDeps): JobHandler<'sweep'> =>
  async () => {
    await sweep(deps);
  };
