import { deleteLeaving } from '../src/flows/leave-fleet.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const leave =
  (deps: FlowDeps): JobHandler<'leave'> =>
  async (_payload, { signal }) => {
    await deleteLeaving(deps, signal);
  };
