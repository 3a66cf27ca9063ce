import { compactReadings } from '../src/flows/compact-readings.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const compact =
  (deps: FlowDeps): JobHandler<'compact'> =>
  async (_payload, { signal }) => {
    await compactReadings(deps, signal);
  };
