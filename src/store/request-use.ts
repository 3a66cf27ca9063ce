import type { Tx } from './tx.ts';

/** Notes requests of a key and borrows more; see the SQL function. */
export async function lendRequests(
  tx: Tx,
  fleetId: number,
  keyId: string,
  ask: { window: number; used: number; want: number; most: number },
): Promise<{ lent: number; usedInAll: number }> {
  const { rows } = await tx.query({
    name: 'lend_requests',
    text: `select lent::float8, used_in_all::float8
           from liftwright.lend_requests($1, $2, $3, $4, $5, $6)`,
    values: [fleetId, keyId, ask.window, ask.used, ask.want, ask.most],
  });
  return { lent: rows[0].lent, usedInAll: rows[0].used_in_all };
}
