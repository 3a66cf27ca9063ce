import { keepHouse } from '../src/flows/sweep.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const partitions =
  (deps: FlowDeps): JobHandler<'partitions'> =>
  async () => {
    await keepHouse(deps);
  };
