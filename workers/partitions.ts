import { keepMonths } from '../src/flows/put-away-readings.ts';
import { keepHouse } from '../src/flows/sweep.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const partitions =
  (deps: FlowDeps): JobHandler<'partitions'> =>
  async (_payload, { signal }) => {
    await keepHouse(deps);
    await keepMonths(deps, signal);
  };
