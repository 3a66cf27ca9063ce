import { drizzle, type NodePgDatabase } from 'drizzle-orm/node-postgres';
import type pg from 'pg';

/** A client inside an open transaction whose setting names the fleets it may see. */
export type Tx = Pick<pg.ClientBase, 'query'>;

/** The query builder on a transaction. */
export function builder(tx: Tx): NodePgDatabase {
  return drizzle(tx as pg.PoolClient);
}
