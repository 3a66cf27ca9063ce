import { randomBytes } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import type pg from 'pg';
import { afterAll, beforeAll, inject } from 'vitest';
import { connectOwner, errorCode } from '../../db/connect.ts';
import { grantDatabase } from '../../db/roles.ts';
import { silentLog } from '../../src/log.ts';
import { openPools, type Pools } from '../../src/store/pool.ts';
import type {} from './global-setup.ts';
import type { TestServer } from './test-server.ts';

export interface FreshDatabase {
  name: string;
  /** Address of the database as the owner of the schema, as DATABASE_URL would give it. */
  ownerUrl: string;
  /** Pools of the run-time roles. */
  pools: Pools;
  /** A connection as the owner, to look at everything; ended by `drop`. */
  owner: pg.Client;
  /**
   * Closes pools and owner and drops the database.
   * @throws Error when something else is still connected: a leak of the code under test.
   */
  drop(): Promise<void>;
  /** Closes pools and owner, and keeps the database when its server outlives the run. */
  keep(): Promise<string>;
}

let asked: Promise<TestServer> | null = null;

/** The server of this run; `template` is a migrated database. */
export function testServer(): Promise<TestServer> {
  asked ??= fetch(inject('databaseBroker')).then(async (answer) => {
    const text = await answer.text();
    if (!answer.ok) throw new Error(text);
    return JSON.parse(text) as TestServer;
  });
  return asked;
}

const withDatabase = (url: string, name: string) => {
  const changed = new URL(url);
  changed.pathname = `/${name}`;
  return changed.href;
};

async function asAdmin<T>(server: TestServer, fn: (admin: pg.Client) => Promise<T>): Promise<T> {
  const admin = await connectOwner(server.adminUrl, { log: silentLog });
  try {
    return await fn(admin);
  } finally {
    await admin.end();
  }
}

async function create(admin: pg.Client, name: string, template: string): Promise<void> {
  for (let attempt = 0; ; attempt += 1) {
    try {
      await admin.query(`create database ${name} template ${template}`);
      return;
    } catch (error) {
      // Somebody is connected to the template for a moment.
      if (errorCode(error) !== '55006' || attempt >= 20) throw error;
      await sleep(100);
    }
  }
}

/** Who is still connected, after a moment of grace for sessions that are just ending. */
async function leftovers(admin: pg.Client, name: string): Promise<string[]> {
  let lines: string[] = [];
  for (let attempt = 0; attempt < 40; attempt += 1) {
    const { rows } = await admin.query<{ line: string }>(
      `select format('%s as %s, %s: %s', application_name, usename, state, left(query, 200)) as line
       from pg_stat_activity where datname = $1 and backend_type = 'client backend'`,
      [name],
    );
    lines = rows.map((row) => row.line);
    if (lines.length === 0) return [];
    await sleep(50);
  }
  return lines;
}

/** An empty database without schema and roles' rights, for tests of the migrations themselves. */
export async function bareDatabase(): Promise<{
  name: string;
  ownerUrl: string;
  drop(): Promise<void>;
}> {
  const server = await testServer();
  const name = `${server.prefix}${randomBytes(4).toString('hex')}`;
  await asAdmin(server, (admin) => create(admin, name, 'template0'));
  return {
    name,
    ownerUrl: withDatabase(server.adminUrl, name),
    drop: () => asAdmin(server, (admin) => dropChecked(admin, name)),
  };
}

async function dropChecked(admin: pg.Client, name: string): Promise<void> {
  const left = await leftovers(admin, name);
  await admin.query(`drop database if exists ${name} with (force)`);
  if (left.length > 0) {
    throw new Error(`Connections to ${name} were left open:\n  ${left.join('\n  ')}`);
  }
}

/** A database of its own for a test file: a clone of the migrated template. */
export async function freshDatabase(): Promise<FreshDatabase> {
  const server = await testServer();
  const name = `${server.prefix}${randomBytes(4).toString('hex')}`;
  await asAdmin(server, (admin) => create(admin, name, server.template));
  const ownerUrl = withDatabase(server.adminUrl, name);
  const owner = await connectOwner(ownerUrl, { log: silentLog });
  await grantDatabase(owner);
  const pools = openPools(ownerUrl, { log: silentLog });
  const close = async () => {
    await pools.close();
    await owner.end();
  };
  return {
    name,
    ownerUrl,
    pools,
    owner,
    drop: async () => {
      await close();
      await asAdmin(server, (admin) => dropChecked(admin, name));
    },
    keep: async () => {
      await close();
      if (!server.lasting) {
        await asAdmin(server, (admin) =>
          admin.query(`drop database if exists ${name} with (force)`),
        );
        return 'dropped with its server; set DATABASE_URL to keep it';
      }
      const kept = name.replace(/^lwt_/, 'lwkept_');
      await asAdmin(server, (admin) => admin.query(`alter database ${name} rename to ${kept}`));
      return `kept as ${kept}`;
    },
  };
}

const failed = (tasks: readonly { result?: { state?: string }; tasks?: unknown }[]): boolean =>
  tasks.some(
    (task) =>
      task.result?.state === 'fail' ||
      (Array.isArray(task.tasks) && failed(task.tasks as Parameters<typeof failed>[0])),
  );

/**
 * Gives the calling file or `describe` a database: made before its tests, dropped after them, kept
 * and named when one failed. Read its members inside tests only.
 */
export function useDatabase(): FreshDatabase {
  let database: FreshDatabase | null = null;
  beforeAll(async () => {
    database = await freshDatabase();
  });
  // biome-ignore lint/correctness/noEmptyPattern: Vitest wants a pattern for the unused context.
  afterAll(async ({}, suite) => {
    if (database === null) return;
    if (failed(suite.tasks as Parameters<typeof failed>[0])) {
      const end = await database.keep();
      process.stdout.write(`A test failed; its database ${database.name}: ${end}\n`);
    } else {
      await database.drop();
    }
  });
  return new Proxy({} as FreshDatabase, {
    get: (_target, member) => {
      if (database === null) throw new Error('The database exists only while tests run.');
      return Reflect.get(database, member);
    },
  });
}
