import { assessShard } from '../src/flows/assess-unit.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const assess =
  (deps: FlowDeps): JobHandler<'assess'> =>
  async ({ shard }, { signal }) => {
    await assessShard(deps, shard, signal);
  };
