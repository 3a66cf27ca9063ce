import { watchGateways } from '../src/flows/watch-gateway.ts';
import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandler } from '../src/queue/port.ts';

export const watch =
  (deps: FlowDeps): JobHandler<'watch'> =>
  async ({ shard }, { signal }) => {
    await watchGateways(deps, shard, signal);
  };
