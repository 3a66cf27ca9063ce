import { sequenceShard } from '../src/flows/sequence-events.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const sequence =
  (deps: FlowDeps): JobHandler<'sequence'> =>
  async ({ shard }, { signal }) => {
    await sequenceShard(deps, shard, signal);
  };
