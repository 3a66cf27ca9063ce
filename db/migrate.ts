import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type pg from 'pg';
import { type Clock, systemClock } from '../src/clock.ts';
import type { Log } from '../src/log.ts';
import { connectOwner, errorCode } from './connect.ts';
import {
  type Applied,
  type Migration,
  MigrationError,
  planMigrations,
  readMigrations,
} from './migration-files.ts';
import { ensureRoles } from './roles.ts';

export { MigrationError };

/** The service's own migrations. */
export const MIGRATIONS_FOLDER = fileURLToPath(new URL('./migrations', import.meta.url));

export interface MigrateOptions {
  log: Log;
  /** Default: the service's own migrations. */
  folder?: string;
  clock?: Clock;
  /** How long a database that cannot be reached is waited for. Default 30 s. */
  connectWaitMs?: number;
  /** How long another migrator is waited for. Default ten minutes. */
  lockWaitMs?: number;
  /** How long one try waits for locks held by running transactions. Default 3 s. */
  lockTimeoutMs?: number;
  /** How often a migration that must wait is tried, with pauses up to 5 s. Default 10. */
  tries?: number;
}

export interface MigrateResult {
  /** Names of the files applied now, in order. */
  applied: string[];
  /** Names that only the database knows, of a newer version that may run beside this one. */
  newer: string[];
}

const MIGRATE_LOCK = [0x4c57, 2] as const;
const OLDEST_SERVER = 150_000;
const STATEMENT_TIMEOUT_MS = 60 * 60_000;
/** Waiting for locks, for other transactions, or losing against one: worth another try. */
const PASSING = new Set(['55P03', '40P01', '40001']);

/** Polled, not waited for: a waiting session's snapshot would block CREATE INDEX CONCURRENTLY. */
async function takeLock(client: pg.Client, options: MigrateOptions): Promise<void> {
  const deadline = AbortSignal.timeout(options.lockWaitMs ?? 600_000);
  for (let attempt = 0; ; attempt += 1) {
    const { rows } = await client.query<{ ours: boolean }>(
      'select pg_try_advisory_lock($1, $2) as ours',
      [...MIGRATE_LOCK],
    );
    if (rows[0]?.ours) return;
    if (deadline.aborted) {
      throw new MigrationError('Another process is migrating this database and does not finish.');
    }
    if (attempt === 0) options.log.info({}, 'another process is migrating the database; waiting');
    await sleep(Math.min(20 + 10 * attempt, 250));
  }
}

async function readLedger(client: pg.Client): Promise<Applied[]> {
  await client.query('set role lw_owner');
  const there = await client.query("select to_regclass('lw_meta.migration') as name");
  if (there.rows[0]?.name === null) {
    await client.query(
      `create table lw_meta.migration (
         number      int primary key,
         name        text not null,
         sha256      text not null,
         breaking    boolean not null,
         applied_at  timestamptz not null
       )`,
    );
  }
  const { rows } = await client.query<Applied>(
    'select number, name, sha256, breaking from lw_meta.migration order by number limit 10000',
  );
  await client.query('reset role');
  return rows;
}

async function note(client: pg.Client, file: Migration, clock: Clock): Promise<void> {
  await client.query('set role lw_owner');
  await client.query(
    `insert into lw_meta.migration (number, name, sha256, breaking, applied_at)
     values ($1, $2, $3, $4, to_timestamp($5::float8 / 1000))`,
    [file.number, file.name, file.sha256, file.breaking, clock.nowMs()],
  );
}

/** Session settings of a migration; a file's own `set` commands end with `reset all`. */
async function dress(client: pg.Client, lockTimeoutMs: number): Promise<void> {
  await client.query(
    `set lock_timeout = ${Math.round(lockTimeoutMs)};
     set statement_timeout = ${STATEMENT_TIMEOUT_MS};
     set search_path = liftwright;
     set role lw_owner`,
  );
}

async function undress(client: pg.Client): Promise<void> {
  await client.query('reset role; reset all');
}

async function applyInTransaction(
  client: pg.Client,
  file: Migration,
  clock: Clock,
  waitMs: number,
) {
  await client.query('begin');
  try {
    await dress(client, waitMs);
    const before = await client.query('select pg_current_xact_id()::text as id');
    await client.query(file.sql);
    const after = await client.query('select pg_current_xact_id_if_assigned()::text as id');
    if (after.rows[0]?.id !== before.rows[0]?.id) {
      throw new MigrationError(
        `Migration ${file.name}.sql ends its transaction itself (commit or rollback). It must ` +
          'not: the ledger and the change belong together. Check what it left behind.',
      );
    }
    await note(client, file, clock);
    await undress(client);
    await client.query('commit');
  } catch (error) {
    // A broken connection has rolled back by itself; its error is the one to show.
    await client.query('rollback').catch(() => undefined);
    await undress(client).catch(() => undefined);
    throw error;
  }
}

/** An index whose building was cut off stays, invalid, and `if not exists` skips it. */
async function dropBrokenIndexes(client: pg.Client, log: Log): Promise<void> {
  const { rows } = await client.query<{ name: string }>(
    `select format('%I.%I', n.nspname, c.relname) as name
     from pg_index i
     join pg_class c on c.oid = i.indexrelid
     join pg_namespace n on n.oid = c.relnamespace
     where not i.indisvalid and c.relkind = 'i' and n.nspname = 'liftwright'`,
  );
  for (const { name } of rows) {
    log.warn({ index: name }, 'dropping an index whose building was cut off');
    await client.query(`drop index concurrently if exists ${name}`);
  }
}

async function applyAlone(
  client: pg.Client,
  file: Migration,
  clock: Clock,
  waitMs: number,
  log: Log,
) {
  try {
    // Concurrent builds wait for every older transaction; give those longer than a table lock.
    await dress(client, waitMs * 20);
    await dropBrokenIndexes(client, log);
    await client.query(file.sql);
    await note(client, file, clock);
  } finally {
    await undress(client).catch(() => undefined);
  }
}

function sqlPlace(file: Migration, error: unknown): string {
  const position = Number((error as { position?: string }).position);
  if (!Number.isInteger(position) || position <= 0) return '';
  return `, line ${file.sql.slice(0, position).split('\n').length}`;
}

async function apply(client: pg.Client, file: Migration, options: MigrateOptions): Promise<void> {
  const clock = options.clock ?? systemClock;
  const waitMs = options.lockTimeoutMs ?? 3_000;
  const tries = options.tries ?? 10;
  for (let attempt = 1; ; attempt += 1) {
    try {
      if (file.noTransaction) await applyAlone(client, file, clock, waitMs, options.log);
      else await applyInTransaction(client, file, clock, waitMs);
      options.log.info({ migration: file.name }, `applied migration ${file.name}`);
      return;
    } catch (error) {
      if (error instanceof MigrationError) throw error;
      const reason = error instanceof Error ? error.message : String(error);
      if (!PASSING.has(errorCode(error)) || attempt >= tries) {
        throw new MigrationError(
          `Migration ${file.name}.sql failed${sqlPlace(file, error)}: ${reason}` +
            `${attempt > 1 ? ` (${attempt} tries)` : ''}. Nothing of it was kept` +
            `${file.noTransaction ? ', except perhaps an invalid index.' : '.'}`,
          { cause: error },
        );
      }
      options.log.warn(
        { migration: file.name, attempt, reason },
        'migration must wait; trying again',
      );
      await sleep(Math.min(200 * 2 ** attempt, 5_000));
    }
  }
}

async function checkServer(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ number: number; name: string; encoding: string }>(
    `select current_setting('server_version_num')::int as number,
            current_setting('server_version') as name,
            current_setting('server_encoding') as encoding`,
  );
  const server = rows[0]!;
  if (server.number < OLDEST_SERVER) {
    throw new MigrationError(`PostgreSQL ${server.name} is too old: 15 or newer is needed.`);
  }
  if (server.encoding !== 'UTF8') {
    throw new MigrationError(
      `The database is encoded in ${server.encoding}; it must be UTF8: create database ` +
        "liftwright encoding 'UTF8' template template0.",
    );
  }
}

/**
 * Brings a database up to this version: roles and schemas first, then each pending file in a
 * transaction of its own. Any number of processes may do it at once; each file runs once.
 * @throws MigrationError or RoleError; the message says what to do.
 */
export async function migrate(ownerUrl: string, options: MigrateOptions): Promise<MigrateResult> {
  const files = await readMigrations(options.folder ?? MIGRATIONS_FOLDER);
  const client = await connectOwner(ownerUrl, {
    log: options.log,
    waitMs: options.connectWaitMs ?? 30_000,
  });
  try {
    await checkServer(client);
    await takeLock(client, options);
    await ensureRoles(client, ownerUrl, options.log);
    const { pending, newer } = planMigrations(files, await readLedger(client));
    for (const file of pending) await apply(client, file, options);
    if (newer.length > 0) {
      options.log.warn(
        { newer },
        'the database is ahead of this version; its changes do not stop this version',
      );
    }
    return { applied: pending.map((file) => file.name), newer };
  } finally {
    // Ends the session, and with it the lock.
    await client.end().catch(() => undefined);
  }
}
