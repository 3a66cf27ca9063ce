import {
  createPostgresBackend,
  createPostgresRelayBackend,
  type PgPool,
  type PgQueryResult,
  Queue,
  Relay,
  runMigrations,
  Worker,
} from 'bullmq';
import type { Pool } from 'pg';
import { createBullQueue } from './bullmq-backend.ts';
import type { QueueOptions, QueuePort } from './port.ts';

/**
 * BullMQ looks for its tables there when it is given a pool; the pool's search_path must say
 * so.
 */
export const QUEUE_SCHEMA = 'bullmq';
/** One connection listens for jobs, one for notices; the others ask. */
export const MIN_QUEUE_CONNECTIONS = 4;
const MAX_EVENTS = 1_000;

/**
 * Brings BullMQ's tables up to date; safe to run from many processes at once.
 *
 * @param pool logs in as the role that owns the schema, which needs no right to make schemas
 */
export async function migrateQueue(pool: Pool): Promise<void> {
  const client = await pool.connect();
  let broken: Error | undefined;
  try {
    const { rows } = await client.query('select 1 from pg_namespace where nspname = $1', [
      QUEUE_SCHEMA,
    ]);
    const there = rows.length > 0;
    const session = {
      async query<R>(text: string, params: readonly unknown[] = []): Promise<PgQueryResult<R>> {
        // PostgreSQL asks for the right to make schemas even where `if not exists` makes none.
        if (there && /^create schema if not exists\b/i.test(text)) return { rows: [] };
        // A migration is many statements, which only a query without parameters may be.
        const result = params.length > 0 ? client.query(text, [...params]) : client.query(text);
        return (await result) as unknown as PgQueryResult<R>;
      },
    };
    await runMigrations(session, QUEUE_SCHEMA);
  } catch (error) {
    broken = error instanceof Error ? error : new Error(String(error));
    throw broken;
  } finally {
    // A session that failed in the middle of a migration is not used again.
    client.release(broken);
  }
}

/**
 * The queue on PostgreSQL, after `migrateQueue`. The pool stays the caller's: close it after the
 * queue.
 *
 * @param pool logs in as the queue's role with `search_path=bullmq`, at least 4 connections
 * @throws when the pool does not fit or the tables are missing
 */
export async function openPostgresQueue(pool: Pool, options: QueueOptions): Promise<QueuePort> {
  const max = pool.options.max ?? 10;
  if (max < MIN_QUEUE_CONNECTIONS) {
    throw new Error(`the queue's pool needs ${MIN_QUEUE_CONNECTIONS} connections, it has ${max}`);
  }
  const { rows } = await pool.query<{ schema: string | null }>('select current_schema() as schema');
  if (rows[0]?.schema !== QUEUE_SCHEMA) {
    throw new Error(`the queue's pool must log in with search_path=${QUEUE_SCHEMA}`);
  }
  const name = options.name ?? 'liftwright';
  // The same pool: only its types are told apart by the overloads of `pg`.
  const connection = pool as unknown as PgPool;
  const queue = new Queue(
    name,
    { connection, streams: { events: { maxLen: MAX_EVENTS } } },
    createPostgresBackend,
  );
  await queue.waitUntilReady();
  return createBullQueue(
    {
      kind: 'postgres',
      queue: queue as unknown as Queue,
      openWorker: (process, workerOptions) => {
        const all = { ...workerOptions, connection };
        return new Worker(name, process, all, createPostgresBackend) as unknown as Worker;
      },
      openRelay: () =>
        new Relay({
          connection,
          namespace: name,
          leaseDuration: 15_000,
          backend: createPostgresRelayBackend,
        }) as unknown as Relay<never>,
      // The pool is the caller's to end.
      end: () => undefined,
    },
    options,
  );
}
