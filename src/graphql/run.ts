import type { Role } from '../domain/access/role.ts';
import { actSigned } from '../flows/act-signed.ts';
import type { FlowDeps } from '../flows/work.ts';
import { InTurn } from '../store/in-turn.ts';
import { withFleet } from '../store/pool.ts';
import { ReadLater } from '../store/read-later.ts';
import type { GraphContext } from './context.ts';

/** Who asks the graph. */
export interface GraphCaller {
  fleetId: number;
  keyId: string;
  role: Role;
}
type Run<T> = (context: GraphContext) => Promise<T>;

/** A query: all of it in one transaction. */
export function reading<T>(
  deps: FlowDeps,
  { fleetId, role }: GraphCaller,
  run: Run<T>,
): Promise<T> {
  const nowMs = deps.clock.nowMs();
  const act = () => Promise.reject(new Error('a query changes nothing'));
  return withFleet(deps.pools.app, [fleetId], async (tx) => {
    const turn = new InTurn(tx);
    const context = { tx: turn.tx, fleetId, role, nowMs, act };
    const answered = await run(context).finally(() => turn.end());
    if (turn.failure !== null) throw turn.failure;
    return answered;
  });
}

/**
 * A mutation: the act in a transaction of its own, then what is asked of its result. What was done
 * stays done also when its answer cannot be read.
 */
export async function acting<T>(deps: FlowDeps, caller: GraphCaller, run: Run<T>): Promise<T> {
  const { fleetId, role } = caller;
  const later = new ReadLater(deps.pools.app, fleetId);
  const act: GraphContext['act'] = (signed) => actSigned(deps, caller, signed);
  try {
    return await run({ tx: later.tx, fleetId, role, nowMs: deps.clock.nowMs(), act });
  } finally {
    await later.close();
  }
}
