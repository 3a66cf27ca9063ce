import type { Role } from '../domain/access/role.ts';
import type { Tx } from '../store/tx.ts';

/** What resolvers are given: one transaction of one fleet, and who asks. */
export interface GraphContext {
  tx: Tx;
  fleetId: number;
  role: Role;
  nowMs: number;
}
