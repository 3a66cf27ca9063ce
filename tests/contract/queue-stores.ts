/** The stores that the queue contract is run on, and ways to treat them badly. */
import { connect, createServer, type Server, type Socket } from 'node:net';
import { createPostgresBackend, type PgPool, Queue } from 'bullmq';
import { Redis } from 'ioredis';
import { Pool } from 'pg';
import type { QueueOptions, QueuePort } from '../../src/queue/port.ts';
import { migrateQueue, openPostgresQueue } from '../../src/queue/postgres.ts';
import { openRedisQueue } from '../../src/queue/redis.ts';

export interface StoreAddress {
  kind: 'redis' | 'postgres';
  url: string;
}

export interface OpenedStore {
  open(options: QueueOptions): Promise<QueuePort>;
  end(): Promise<void>;
}

const nothing = () => undefined;

function queuePool(url: string): Pool {
  const pool = new Pool({
    connectionString: url,
    max: 6,
    options: '-c search_path=bullmq -c statement_timeout=30000',
    connectionTimeoutMillis: 3_000,
    keepAlive: true,
  });
  pool.on('error', nothing);
  pool.on('connect', (client) => client.on('error', nothing));
  return pool;
}

/** Opens queues on a store; each queue on PostgreSQL has its own pool, as each process would. */
export async function openStore(address: StoreAddress): Promise<OpenedStore> {
  if (address.kind === 'redis') {
    return { open: (options) => openRedisQueue(address.url, options), end: async () => undefined };
  }
  const pools: Pool[] = [];
  return {
    async open(options) {
      const pool = queuePool(address.url);
      pools.push(pool);
      return openPostgresQueue(pool, options);
    },
    async end() {
      await Promise.all(pools.map((pool) => pool.end()));
    },
  };
}

export async function migrateStore(address: StoreAddress): Promise<void> {
  if (address.kind === 'redis') return;
  const pool = queuePool(address.url);
  try {
    // As several processes that start at once would.
    await Promise.all([migrateQueue(pool), migrateQueue(pool), migrateQueue(pool)]);
  } finally {
    await pool.end();
  }
}

/** Loses everything that the store holds for a queue, as a flushed Redis does. */
export async function wipe(address: StoreAddress, name: string): Promise<void> {
  if (address.kind === 'redis') {
    const redis = new Redis(address.url);
    let cursor = '0';
    do {
      const [next, keys] = await redis.scan(cursor, 'MATCH', `${name}:*`, 'COUNT', 1_000);
      cursor = next;
      if (keys.length > 0) await redis.del(...keys);
    } while (cursor !== '0');
    await redis.quit();
    return;
  }
  const pool = queuePool(address.url);
  const { rows } = await pool.query<{ name: string }>(
    `select tablename as name from pg_tables
     where schemaname = 'bullmq' and tablename <> 'migration'`,
  );
  const tables = rows.map((row) => `bullmq.${row.name}`).join(', ');
  for (let tries = 1; ; tries++) {
    try {
      await pool.query(`truncate ${tables}`);
      break;
    } catch (error) {
      // Locks all tables at once, which workers that are at it may not let through at first.
      const deadlock = error instanceof Error && 'code' in error && error.code === '40P01';
      if (!deadlock || tries === 10) throw error;
    }
  }
  await pool.end();
}

/** Puts a job in the queue that no `wake` could have put there. */
export async function addRaw(
  address: StoreAddress,
  name: string,
  job: string,
  data: unknown,
): Promise<void> {
  const options = { attempts: 5, backoff: { type: 'custom' } };
  if (address.kind === 'redis') {
    const queue = new Queue('work', { connection: { url: address.url }, prefix: name });
    await queue.add(job, data, options);
    await queue.close();
    return;
  }
  const pool = queuePool(address.url);
  const connection = pool as unknown as PgPool;
  const queue = new Queue(name, { connection }, createPostgresBackend);
  await queue.add(job, data, options);
  await queue.close();
  await pool.end();
}

export interface Line {
  address: StoreAddress;
  /** Cuts all connections, and refuses new ones. */
  cut(): void;
  mend(): void;
  close(): Promise<void>;
}

/** A line to the store that can be cut. */
export async function cuttableLine(address: StoreAddress): Promise<Line> {
  const target = new URL(address.url);
  const port = Number(target.port || (address.kind === 'redis' ? 6379 : 5432));
  const sockets = new Set<Socket>();
  let broken = false;
  const server: Server = createServer((near) => {
    if (broken) {
      near.destroy();
      return;
    }
    const far = connect(port, target.hostname);
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', nothing);
      socket.on('close', () => {
        sockets.delete(socket);
        near.destroy();
        far.destroy();
      });
    }
    near.pipe(far).pipe(near);
  });
  const drop = () => {
    for (const socket of sockets) socket.destroy();
  };
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const bound = server.address();
  if (bound === null || typeof bound === 'string') throw new Error('no port');
  const through = new URL(address.url);
  through.hostname = '127.0.0.1';
  through.port = String(bound.port);
  return {
    address: { kind: address.kind, url: through.href },
    cut() {
      broken = true;
      drop();
    },
    mend() {
      broken = false;
    },
    async close() {
      drop();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
