import { foldShard } from '../src/flows/fold-usage.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const fold =
  (deps: FlowDeps): JobHandler<'fold'> =>
  async ({ shard }, { signal }) => {
    await foldShard(deps, shard, signal);
  };
