import pg from 'pg';
import { type LoginRole, roleUrl } from '../../db/role-login.ts';
import type { Log } from '../log.ts';
import { within } from '../within.ts';
import type { Tx } from './tx.ts';

export type { Tx };

export type PoolName = 'app' | 'batcher' | 'scheduler' | 'queue';

export interface PoolOptions {
  log: Log;
  /** Most connections of each pool; defaults: app 10, batcher 8, scheduler 2, queue 6. */
  sizes?: Partial<Record<PoolName, number>>;
  /** Longest wait for a free or new connection. Default 5 s. */
  connectTimeoutMs?: number;
  /** Longest statement. Default 30 s. */
  statementTimeoutMs?: number;
  /** Longest pause inside a transaction. Default 30 s. */
  idleInTransactionMs?: number;
}

export interface PoolGauges {
  total: number;
  idle: number;
  waiting: number;
}

export interface Pools extends Record<PoolName, pg.Pool> {
  gauges(): Record<PoolName, PoolGauges>;
  /** Waits for the connections in use, at most `withinMs` (default 3,000), then cuts them. */
  close(withinMs?: number): Promise<void>;
}

/** A commit that did not happen although no statement of the callback failed visibly. */
export class CommitError extends Error {
  override name = 'CommitError';
}

const ROLES: Readonly<Record<PoolName, { role: LoginRole; schema: string; size: number }>> = {
  app: { role: 'lw_app', schema: 'liftwright', size: 10 },
  batcher: { role: 'lw_batcher', schema: 'liftwright', size: 8 },
  scheduler: { role: 'lw_scheduler', schema: 'liftwright', size: 2 },
  // The queue keeps one connection to listen on.
  queue: { role: 'lw_queue', schema: 'bullmq', size: 6 },
};
const NAMES = Object.keys(ROLES) as PoolName[];
const MAX_FLEETS = 10_000;

function openPool(ownerUrl: string, name: PoolName, options: PoolOptions): pg.Pool {
  const { role, schema, size } = ROLES[name];
  const pool = new pg.Pool({
    connectionString: roleUrl(ownerUrl, role),
    max: options.sizes?.[name] ?? size,
    connectionTimeoutMillis: options.connectTimeoutMs ?? 5_000,
    idleTimeoutMillis: 60_000,
    keepAlive: true,
    application_name: `liftwright ${name}`,
    options: [
      `-c search_path=${schema}`,
      `-c statement_timeout=${options.statementTimeoutMs ?? 30_000}`,
      `-c idle_in_transaction_session_timeout=${options.idleInTransactionMs ?? 30_000}`,
      // A wake-up call may be lost, the marks are the truth: calls must not wait for the disk, nor
      // hold up those that do.
      ...(name === 'queue' ? ['-c synchronous_commit=off'] : []),
    ].join(' '),
  });
  const warn = (error: Error) =>
    options.log.warn({ pool: name, reason: error.message }, 'a database connection broke');
  // Idle clients report through the pool, clients in use only through themselves; either without a
  // listener would end the process.
  pool.on('error', warn);
  pool.on('connect', (client) => {
    client.on('error', (error: Error) =>
      options.log.debug({ pool: name, reason: error.message }, 'a connection reported an error'),
    );
  });
  return pool;
}

/** Opens one pool per run-time role, each limited to what its role may do; none connects yet. */
export function openPools(ownerUrl: string, options: PoolOptions): Pools {
  const pools = Object.fromEntries(
    NAMES.map((name) => [name, openPool(ownerUrl, name, options)]),
  ) as Record<PoolName, pg.Pool>;
  const open = new Set<pg.PoolClient>();
  for (const name of NAMES) {
    pools[name].on('connect', (client) => open.add(client));
    pools[name].on('remove', (client) => open.delete(client));
  }
  return {
    ...pools,
    gauges: () =>
      Object.fromEntries(
        NAMES.map((name) => {
          const { totalCount, idleCount, waitingCount } = pools[name];
          return [name, { total: totalCount, idle: idleCount, waiting: waitingCount }];
        }),
      ) as Record<PoolName, PoolGauges>,
    close: (withinMs = 3_000) => closePools(pools, open, withinMs, options.log),
  };
}

async function closePools(
  pools: Record<PoolName, pg.Pool>,
  open: Set<pg.PoolClient>,
  withinMs: number,
  log: Log,
): Promise<void> {
  const ending = Promise.all(
    NAMES.map((name) => (pools[name].ending ? undefined : pools[name].end())),
  );
  if ((await within(withinMs, ending, 'late')) === 'late') {
    log.warn({ open: open.size }, 'cutting database connections that were not given back in time');
    for (const client of open) cut(client);
  }
}

/** Closes the socket: the server rolls back, and whoever waits on the client gets an error. */
function cut(client: pg.PoolClient): void {
  const { connection } = client as unknown as {
    connection: { stream: { destroy(): void } };
  };
  connection.stream.destroy();
}

/** Whether the database answers at all. */
export const answers = (pool: pg.Pool): Promise<boolean> =>
  pool.query('select 1').then(
    () => true,
    () => false,
  );

/** Runs `begin`, the callback and `commit` on a client of its own, which always goes back. */
async function inTransaction<T>(
  pool: pg.Pool,
  begin: string,
  fn: (tx: Tx) => Promise<T>,
): Promise<T> {
  const client = await pool.connect();
  let broken: Error | undefined;
  const onError = (error: Error) => {
    broken = error;
  };
  client.on('error', onError);
  try {
    try {
      await client.query(begin);
      const answer = await fn(client);
      const end = await client.query('commit');
      // PostgreSQL answers the commit of a failed transaction with a rollback, not with an error.
      if (end.command !== 'COMMIT') {
        throw new CommitError('A statement of the transaction had failed; it was rolled back.');
      }
      return answer;
    } catch (error) {
      if (!(error instanceof CommitError)) {
        await client.query('rollback').catch((failure: Error) => {
          broken ??= failure;
        });
      }
      throw error;
    }
  } finally {
    client.removeListener('error', onError);
    client.release(broken);
  }
}

/** One transaction that sees what its role sees without any fleet: thin work tables, the queue. */
export function withTransaction<T>(pool: pg.Pool, fn: (tx: Tx) => Promise<T>): Promise<T> {
  return inTransaction(pool, 'begin', fn);
}

/**
 * One transaction that sees exactly these fleets (row security).
 * @throws RangeError for no fleet, more than 10,000, or one that is not a positive integer;
 * CommitError when the callback hid a failed statement; else what callback or database threw.
 */
export async function withFleet<T>(
  pool: pg.Pool,
  fleetIds: number | readonly number[],
  fn: (tx: Tx) => Promise<T>,
): Promise<T> {
  const fleets = typeof fleetIds === 'number' ? [fleetIds] : fleetIds;
  const good = fleets.every((id) => Number.isInteger(id) && id > 0 && id <= 2_147_483_647);
  if (!good || fleets.length === 0 || fleets.length > MAX_FLEETS) {
    throw new RangeError(`Fleets must be 1 to ${MAX_FLEETS} positive integers.`);
  }
  // One round trip. The values are integers by the check above, so they need no parameters.
  const begin = `begin; set local liftwright.fleets = '{${fleets.join(',')}}'`;
  return inTransaction(pool, begin, fn);
}

/** One consistent view of one fleet that stays open until it is closed; it reads only. */
export interface FleetSnapshot {
  tx: Tx;
  close(): Promise<void>;
}

/**
 * Opens a snapshot; it holds one connection of the pool, so there must be few at a time.
 * `idleMs`: the longest pause between two statements, after which the server ends it.
 */
export async function openFleetSnapshot(
  pool: pg.Pool,
  fleetId: number,
  idleMs: number,
): Promise<FleetSnapshot> {
  if (!Number.isInteger(fleetId) || fleetId < 1) throw new RangeError(`no fleet: ${fleetId}`);
  const client = await pool.connect();
  let broken: Error | undefined;
  const onError = (error: Error) => {
    broken = error;
  };
  client.on('error', onError);
  const close = async () => {
    await client.query('rollback').catch((error: Error) => {
      broken ??= error;
    });
    client.removeListener('error', onError);
    client.release(broken);
  };
  try {
    await client.query(
      `begin isolation level repeatable read read only;
       set local idle_in_transaction_session_timeout = ${Math.trunc(idleMs)};
       set local liftwright.fleets = '{${fleetId}}'`,
    );
  } catch (error) {
    await close();
    throw error;
  }
  return { tx: client, close };
}
