import type { Role } from '../domain/access/role.ts';
import type { SignedAct } from '../flows/act-signed.ts';
import type { Tx } from '../store/tx.ts';

/** What resolvers are given: one view of one fleet, and who asks. */
export interface GraphContext {
  tx: Tx;
  fleetId: number;
  role: Role;
  nowMs: number;
  /** Does what a person signed, before anything of the answer is read. Only for mutations. */
  act<T>(act: SignedAct<T>): Promise<T>;
}
