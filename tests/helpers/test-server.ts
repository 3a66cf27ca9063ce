import { createHash } from 'node:crypto';
import { chmod, lstat, mkdir, readdir, readFile } from 'node:fs/promises';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type pg from 'pg';
import { connectOwner } from '../../db/connect.ts';
import { startEmbedded } from '../../db/embedded.ts';
import { MIGRATIONS_FOLDER, migrate } from '../../db/migrate.ts';
import { silentLog } from '../../src/log.ts';

/** What a test file needs to make databases of its own. */
export interface TestServer {
  /** Owner's address of a database to connect to for creating others. */
  adminUrl: string;
  /** Migrated database to clone. */
  template: string;
  /** Start of the names of this run's databases; names the machine and the process. */
  prefix: string;
  /** True when the server stays after the run, so that a failed test's database can be kept. */
  lasting: boolean;
}

const DB_FOLDER = fileURLToPath(new URL('../../db', import.meta.url));
const KEPT_TEMPLATES = 4;
const KEPT_FAILURES = 8;
const TEMPLATE_LOCK = [0x4c57, 3] as const;

const machine = createHash('sha256').update(hostname()).digest('hex').slice(0, 6);

interface Running {
  adminUrl: string;
  lasting: boolean;
  kind: string;
  stop(): Promise<unknown>;
}

/** A folder that no other user made: names in the temporary folder can be guessed. */
async function ownFolder(path: string): Promise<string> {
  await mkdir(path, { recursive: true });
  const info = await lstat(path);
  if (!info.isDirectory() || (process.getuid !== undefined && info.uid !== process.getuid())) {
    throw new Error(`${path} belongs to somebody else; remove it.`);
  }
  await chmod(path, process.getuid?.() === 0 ? 0o711 : 0o700);
  return path;
}

/** One folder per checkout and user, shared by runs at the same time; a second run starts fast. */
async function startEmbeddedServer(): Promise<Running> {
  const id = createHash('sha256').update(DB_FOLDER).digest('hex').slice(0, 8);
  const name = `liftwright-tests-${process.getuid?.() ?? 'user'}-${id}`;
  const dataDir = await ownFolder(join(tmpdir(), name));
  const server = await startEmbedded({
    dataDir,
    log: silentLog,
    settings: {
      fsync: 'off',
      synchronous_commit: 'off',
      full_page_writes: 'off',
      max_connections: '300',
    },
  }).catch((error: unknown) => {
    throw new Error(`The test server did not start; delete ${dataDir} to begin anew.`, {
      cause: error,
    });
  });
  return {
    adminUrl: server.ownerUrl,
    lasting: false,
    kind: 'embedded PostgreSQL',
    stop: () => server.stop(),
  };
}

/** A container when an engine is there, else null. */
async function startContainer(): Promise<Running | null> {
  const { getContainerRuntimeClient } = await import('testcontainers');
  try {
    await getContainerRuntimeClient();
  } catch {
    return null;
  }
  const { PostgreSqlContainer } = await import('@testcontainers/postgresql');
  const container = await new PostgreSqlContainer('postgres:18')
    .withCommand(['postgres', '-c', 'fsync=off', '-c', 'max_connections=300'])
    .start();
  return {
    adminUrl: container.getConnectionUri(),
    lasting: false,
    kind: 'a container with PostgreSQL 18',
    stop: () => container.stop(),
  };
}

async function hashOfMigrations(): Promise<string> {
  const hash = createHash('sha256');
  const migrations = (await readdir(MIGRATIONS_FOLDER).catch((): string[] => [])).sort();
  const files = [
    ...migrations.map((name) => join(MIGRATIONS_FOLDER, name)),
    ...['migrate.ts', 'roles.ts', 'role-login.ts'].map((name) => join(DB_FOLDER, name)),
  ];
  for (const file of files) hash.update(file).update(await readFile(file));
  return hash.digest('hex').slice(0, 12);
}

const otherDatabase = (url: string, name: string) => {
  const changed = new URL(url);
  changed.pathname = `/${name}`;
  return changed.href;
};

async function databaseNames(admin: pg.Client, like: string): Promise<string[]> {
  const { rows } = await admin.query<{ name: string }>(
    'select datname::text as name from pg_database where datname like $1 order by oid desc',
    [like],
  );
  return rows.map((row) => row.name);
}

/** Databases of runs on this machine whose process is gone. */
async function dropOrphans(admin: pg.Client): Promise<void> {
  for (const name of await databaseNames(admin, `lwt\\_${machine}\\_%`)) {
    const pid = Number(name.split('_')[2]);
    try {
      process.kill(pid, 0);
    } catch {
      await admin.query(`drop database if exists ${name} with (force)`);
    }
  }
}

async function ensureTemplate(admin: pg.Client, adminUrl: string): Promise<string> {
  const template = `lwtemplate_${await hashOfMigrations()}`;
  await admin.query('select pg_advisory_lock($1, $2)', [...TEMPLATE_LOCK]);
  try {
    await dropOrphans(admin);
    for (const kept of (await databaseNames(admin, 'lwkept\\_%')).slice(KEPT_FAILURES)) {
      await admin.query(`drop database if exists ${kept} with (force)`);
    }
    const present = await databaseNames(admin, 'lwtemplate\\_%');
    if (present.includes(template)) return template;
    for (const old of present.slice(KEPT_TEMPLATES - 1)) {
      await admin.query(`drop database if exists ${old} with (force)`);
    }
    const building = `lwbuilding_${template.slice('lwtemplate_'.length)}`;
    await admin.query(`drop database if exists ${building} with (force)`);
    await admin.query(`create database ${building} template template0 encoding 'UTF8'`);
    await migrate(otherDatabase(adminUrl, building), { log: silentLog });
    await admin.query(`alter database ${building} rename to ${template}`);
    return template;
  } finally {
    await admin.query('select pg_advisory_unlock($1, $2)', [...TEMPLATE_LOCK]);
  }
}

/** Starts or finds the server of this run, with its migrated template. */
export async function startTestServer(
  databaseUrl: string | undefined,
): Promise<{ server: TestServer; kind: string; stop(): Promise<void> }> {
  const running: Running = databaseUrl
    ? { adminUrl: databaseUrl, lasting: true, kind: 'DATABASE_URL', stop: async () => undefined }
    : ((await startContainer()) ?? (await startEmbeddedServer()));
  const prefix = `lwt_${machine}_${process.pid}_`;
  const stop = async () => {
    const admin = await connectOwner(running.adminUrl, { log: silentLog });
    for (const name of await databaseNames(admin, `${prefix.replaceAll('_', '\\_')}%`)) {
      await admin.query(`drop database if exists ${name} with (force)`);
    }
    await admin.end();
    await running.stop();
  };
  try {
    const admin = await connectOwner(running.adminUrl, { log: silentLog });
    try {
      const template = await ensureTemplate(admin, running.adminUrl);
      const { adminUrl, lasting, kind } = running;
      return { server: { adminUrl, template, prefix, lasting }, kind, stop };
    } finally {
      await admin.end();
    }
  } catch (error) {
    await running.stop();
    throw error;
  }
}
