import type { Tx } from './tx.ts';

export interface Receipt {
  route: string;
  bodySha256: Buffer;
  status: number;
  body: unknown;
}

/**
 * Claims a key for this transaction. Answers null when it is ours now, or the receipt that exists.
 * Waits (bounded by lock_timeout) for a transaction that is just using the same key.
 */
export async function claimReceipt(
  tx: Tx,
  key: {
    fleetId: number;
    client: string;
    key: string;
    route: string;
    bodySha256: Buffer;
  },
  nowMs: number,
): Promise<Receipt | null> {
  await tx.query(`select set_config('lock_timeout', '5s', true)`);
  const { rowCount } = await tx.query(
    `insert into liftwright.idempotency (fleet_id, client, key, route, body_sha256, created_at)
     values ($1, $2, $3, $4, $5, to_timestamp($6::float8 / 1000)) on conflict do nothing`,
    [key.fleetId, key.client, key.key, key.route, key.bodySha256, nowMs],
  );
  if (rowCount === 1) return null;
  const { rows } = await tx.query(
    `select route, body_sha256, status, body from liftwright.idempotency
     where fleet_id = $1 and client = $2 and key = $3`,
    [key.fleetId, key.client, key.key],
  );
  const row = rows[0];
  return {
    route: row.route,
    bodySha256: row.body_sha256,
    status: row.status,
    body: row.body,
  };
}

export async function completeReceipt(
  tx: Tx,
  key: { fleetId: number; client: string; key: string },
  answer: { status: number; body: unknown },
): Promise<void> {
  await tx.query(
    `update liftwright.idempotency set status = $4, body = $5
     where fleet_id = $1 and client = $2 and key = $3`,
    [key.fleetId, key.client, key.key, answer.status, JSON.stringify(answer.body)],
  );
}

/** Receipts are kept for two days; answers how many were dropped. */
export async function dropOldReceipts(tx: Tx, fleetId: number, beforeMs: number): Promise<number> {
  const { rowCount } = await tx.query(
    `delete from liftwright.idempotency
     where fleet_id = $1 and created_at < to_timestamp($2::float8 / 1000)`,
    [fleetId, beforeMs],
  );
  return rowCount ?? 0;
}
