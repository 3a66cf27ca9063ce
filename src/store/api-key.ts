import { and, asc, eq, gt } from 'drizzle-orm';
import type pg from 'pg';
import { apiKey } from '../../db/schema/index.ts';
import type { Role } from '../domain/access/role.ts';
import { builder, type Tx } from './tx.ts';

export interface ResolvedKey {
  fleetId: number;
  keyId: string;
  role: Role;
  gatewayId: string | null;
  name: string;
  lastUsedAtMs: number | null;
}

/** Finds a live key by its hash, before any fleet is known. */
export async function resolveKey(pool: pg.Pool, sha256: Buffer): Promise<ResolvedKey | null> {
  const { rows } = await pool.query({
    name: 'resolve_api_key',
    text: `select fleet_id, key_id, role, gateway_id, name,
             (extract(epoch from last_used_at) * 1000)::float8 as used_ms
           from liftwright.resolve_api_key($1)`,
    values: [sha256],
  });
  const row = rows[0];
  if (!row) return null;
  return {
    fleetId: row.fleet_id,
    keyId: row.key_id,
    role: row.role,
    gatewayId: row.gateway_id,
    name: row.name,
    lastUsedAtMs: row.used_ms,
  };
}

export interface KeyRow {
  fleetId: number;
  keyId: string;
  prefix: string;
  sha256: Buffer;
  role: Role;
  gatewayId: string | null;
  name: string;
  createdAtMs: number;
}

export async function insertKey(tx: Tx, key: KeyRow): Promise<void> {
  await tx.query(
    `insert into liftwright.api_key
       (fleet_id, key_id, prefix, sha256, role, gateway_id, name, created_at)
     values ($1, $2, $3, $4, $5, $6, $7, to_timestamp($8::float8 / 1000))`,
    [
      key.fleetId,
      key.keyId,
      key.prefix,
      key.sha256,
      key.role,
      key.gatewayId,
      key.name,
      key.createdAtMs,
    ],
  );
}

// Without the hash, which this role may not even read.
const shown = {
  keyId: apiKey.keyId,
  prefix: apiKey.prefix,
  role: apiKey.role,
  gatewayId: apiKey.gatewayId,
  name: apiKey.name,
  createdAtMs: apiKey.createdAtMs,
  revokedAtMs: apiKey.revokedAtMs,
  lastUsedAtMs: apiKey.lastUsedAtMs,
};
export type ShownKey = Pick<typeof apiKey.$inferSelect, keyof typeof shown>;

/** The keys of a fleet, living or not, in the order of making. */
export async function listKeys(
  tx: Tx,
  fleetId: number,
  after: [keyId: string] | null,
  limit: number,
): Promise<ShownKey[]> {
  return builder(tx)
    .select(shown)
    .from(apiKey)
    .where(and(eq(apiKey.fleetId, fleetId), after ? gt(apiKey.keyId, after[0]) : undefined))
    .orderBy(asc(apiKey.keyId))
    .limit(limit);
}

/** Notes that a key was used; callers do so at most once a minute a key. */
export async function touchKey(
  tx: Tx,
  fleetId: number,
  keyId: string,
  atMs: number,
): Promise<void> {
  await tx.query(
    `update liftwright.api_key set last_used_at = to_timestamp($3::float8 / 1000)
     where fleet_id = $1 and key_id = $2`,
    [fleetId, keyId, atMs],
  );
}

export async function revokeKey(
  tx: Tx,
  fleetId: number,
  keyId: string,
  atMs: number,
): Promise<boolean> {
  const { rowCount } = await tx.query(
    `update liftwright.api_key set revoked_at = to_timestamp($3::float8 / 1000)
     where fleet_id = $1 and key_id = $2 and revoked_at is null`,
    [fleetId, keyId, atMs],
  );
  return rowCount === 1;
}

/** Ends the live keys of a gateway but the newest `keep`. */
export async function revokeOlderKeys(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  keep: number,
  atMs: number,
): Promise<void> {
  await tx.query(
    `update liftwright.api_key set revoked_at = to_timestamp($4::float8 / 1000)
     where fleet_id = $1 and key_id in (
       select k.key_id from liftwright.api_key k
       where k.fleet_id = $1 and k.gateway_id = $2 and k.revoked_at is null
       order by k.created_at desc, k.key_id desc offset $3)`,
    [fleetId, gatewayId, keep, atMs],
  );
}

/** The first fleet with its admin key, once; see the SQL function. */
export async function foundFirstFleet(
  pool: pg.Pool,
  input: {
    name: string;
    keyId: string;
    prefix: string;
    sha256: Buffer;
    atMs: number;
  },
): Promise<number | null> {
  const { rows } = await pool.query(
    `select liftwright.found_first_fleet($1, $2, $3, $4, to_timestamp($5::float8 / 1000)) as id`,
    [input.name, input.keyId, input.prefix, input.sha256, input.atMs],
  );
  return rows[0].id;
}
