import { chmod, mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EmbeddedServer, startEmbedded } from '../../db/embedded.ts';
import { migrate } from '../../db/migrate.ts';
import { LOGIN_ROLES, rolesSql, roleUrl } from '../../db/roles.ts';
import { silentLog } from '../../src/log.ts';
import { ask, keepingLog } from './embedded-lab.ts';

const log = silentLog;

describe('addresses of the run-time roles', () => {
  it('keep the rest of the owner’s address', () => {
    const url = new URL(roleUrl('postgres://me:s%40crt@db:5433/lw?sslmode=require', 'lw_app'));
    expect(url.username).toBe('lw_app');
    expect(url.host).toBe('db:5433');
    expect(url.pathname + url.search).toBe('/lw?sslmode=require');
    expect(url.password).toMatch(/^[\w-]{43}$/);
  });

  it('have passwords that follow from the owner’s alone', () => {
    const password = (owner: string, role: (typeof LOGIN_ROLES)[number] = 'lw_app') =>
      new URL(roleUrl(owner, role)).password;
    expect(password('postgres://a:one@x/lw')).toBe(password('postgres://b:one@y:1/other'));
    expect(password('postgres://a:one@x/lw')).not.toBe(password('postgres://a:two@x/lw'));
    expect(password('postgres://a:one@x/lw')).not.toBe(
      password('postgres://a:one@x/lw', 'lw_queue'),
    );
    // HMAC-SHA256 of "lw_app" under the key "one", computed with OpenSSL.
    expect(password('postgres://a:one@x/lw')).toBe('B8HYQGJt6hV1C_Mr38hrNdNs1AiDLruvogwNi6Uh3Ko');
  });

  it('work for a socket, where the address names no host', () => {
    expect(roleUrl('postgres:///lw?user=me&host=/run/postgresql', 'lw_app')).toMatch(
      /^postgres:\/\/lw_app:[\w-]{43}@\/lw\?host=%2Frun%2Fpostgresql$/,
    );
  });
});

/** Roles belong to the whole server, so these tests have one of their own. */
describe('roles', () => {
  let parent = '';
  let migrations = '';
  let server: EmbeddedServer;
  let count = 0;

  const database = async (owner?: string): Promise<string> => {
    count += 1;
    const name = `db_${count}`;
    await ask(server.ownerUrl, `create database ${name}${owner ? ` owner ${owner}` : ''}`);
    const url = new URL(server.ownerUrl);
    url.pathname = `/${name}`;
    if (owner) [url.username, url.password] = [owner, 'pw'];
    return url.href;
  };
  /** Drops a database and the roles, as on a server that never had them. */
  const forget = async (url: string) => {
    await ask(server.ownerUrl, `drop database ${new URL(url).pathname.slice(1)} with (force)`);
    for (const role of [...LOGIN_ROLES, 'lw_owner', 'lw_keyring']) {
      await ask(server.ownerUrl, `drop role ${role}`);
    }
  };
  const run = (url: string) => migrate(url, { log, folder: migrations });

  beforeAll(async () => {
    parent = await mkdtemp(join(tmpdir(), 'liftwright-roles-'));
    await chmod(parent, 0o755);
    migrations = join(parent, 'migrations');
    await mkdir(migrations);
    server = await startEmbedded({ dataDir: join(parent, 'data'), log });
  });
  afterAll(async () => {
    await server.stop();
    await rm(parent, { recursive: true, force: true });
  });

  it('need an administrator when the login user may not create them', async () => {
    await ask(server.ownerUrl, "create role plain login password 'pw'");
    const url = await database('plain');
    await expect(run(url)).rejects.toThrow(
      /user plain may not create or change the roles.*CREATEROLE.*--roles-sql/,
    );
    for (const sql of rolesSql(url, 'plain').split('\n')) if (sql) await ask(server.ownerUrl, sql);
    await run(url);
    for (const role of LOGIN_ROLES) {
      expect(await ask(roleUrl(url, role), 'select current_user::text as me')).toEqual([
        { me: role },
      ]);
    }
    await forget(url);
  });

  it('are made by a login user that may create roles but is no superuser', async () => {
    await ask(server.ownerUrl, "create role maker login createrole password 'pw'");
    const url = await database('maker');
    await run(url);
    await run(url);
    expect(await ask(roleUrl(url, 'lw_app'), 'select current_user::text as me')).toEqual([
      { me: 'lw_app' },
    ]);
    await forget(url);
  });

  it('are made once by migrations of several databases at the same moment', async () => {
    const urls = [];
    for (let i = 0; i < 6; i += 1) urls.push(await database());
    await Promise.all(urls.map(run));
    const rows = await ask(
      server.ownerUrl,
      `select rolname::text as role, rolcanlogin as login from pg_roles
       where rolname like 'lw\\_%' and rolname <> 'lw_admin'
         and not (rolsuper or rolbypassrls or rolinherit or rolcreaterole or rolcreatedb)
       order by 1`,
    );
    expect(rows).toEqual([
      { role: 'lw_app', login: true },
      { role: 'lw_batcher', login: true },
      { role: 'lw_keyring', login: false },
      { role: 'lw_owner', login: false },
      { role: 'lw_queue', login: true },
      { role: 'lw_scheduler', login: true },
    ]);
  });

  it('of another owner are not taken over', async () => {
    await ask(server.ownerUrl, 'alter role maker createrole');
    const url = await database('maker');
    await expect(run(url)).rejects.toThrow(
      /user maker may not act as lw_owner.*GRANT lw_owner, lw_queue TO "maker"/,
    );
    await ask(server.ownerUrl, 'grant lw_owner, lw_queue to maker');
    // Its own password gives other role passwords than the first owner's, which it may not change.
    await expect(run(url)).rejects.toThrow(/cannot log in.*same owner password/s);
  });

  it('get their passwords back when those were changed', async () => {
    const url = await database();
    await ask(server.ownerUrl, "alter role lw_batcher password 'changed'");
    const kept = keepingLog();
    await migrate(url, { log: kept, folder: migrations });
    expect(await ask(roleUrl(url, 'lw_batcher'), 'select 1 as up')).toEqual([{ up: 1 }]);
    expect(kept.lines.filter((line) => line.includes('password'))).toEqual([
      expect.stringContaining('gave lw_batcher the password'),
    ]);
  });

  it('lose rights that they must not have', async () => {
    const url = await database();
    await ask(server.ownerUrl, 'alter role lw_app superuser bypassrls inherit');
    await ask(server.ownerUrl, 'alter role lw_owner login');
    await run(url);
    const rows = await ask(
      server.ownerUrl,
      `select rolname::text as role, rolsuper or rolbypassrls or rolinherit as much,
              rolcanlogin as login
       from pg_roles where rolname in ('lw_app', 'lw_owner') order by 1`,
    );
    expect(rows).toEqual([
      { role: 'lw_app', much: false, login: true },
      { role: 'lw_owner', much: false, login: false },
    ]);
  });

  it('may do only what they need', async () => {
    const url = await database();
    await run(url);
    const as = (role: (typeof LOGIN_ROLES)[number], sql: string) => ask(roleUrl(url, role), sql);
    for (const role of LOGIN_ROLES) {
      await expect(as(role, 'set role lw_owner')).rejects.toThrow(/permission denied/);
      await expect(as(role, 'create table liftwright.x ()')).rejects.toThrow(/permission denied/);
      await expect(as(role, 'create table public.x ()')).rejects.toThrow(/permission denied/);
      await expect(as(role, 'select * from lw_meta.migration')).rejects.toThrow(
        /permission denied/,
      );
    }
    await expect(as('lw_app', 'create temporary table x ()')).rejects.toThrow(/permission denied/);
    await expect(as('lw_app', 'create schema x')).rejects.toThrow(/permission denied/);
    await as('lw_queue', 'create temporary table x (); create table bullmq.x ()');
  });

  it('are the only ones let into the database', async () => {
    await ask(server.ownerUrl, "create role stranger login password 'pw'");
    const url = new URL(await database());
    await run(url.href);
    [url.username, url.password] = ['stranger', 'pw'];
    await expect(ask(url.href, 'select 1')).rejects.toThrow(/permission denied for database/);
  });

  it('leave a schema of somebody else alone', async () => {
    const url = await database();
    await ask(url, 'create schema liftwright');
    await expect(run(url)).rejects.toThrow(/schema "liftwright" that belongs to lw_admin/);
  });

  it('cannot help a login user without rights on the database', async () => {
    await ask(server.ownerUrl, "create role guest login password 'pw'");
    await ask(server.ownerUrl, 'grant lw_owner, lw_queue to guest');
    const url = new URL(await database());
    [url.username, url.password] = ['guest', 'pw'];
    await expect(run(url.href)).rejects.toThrow(/user guest lacks a right on database db_\d+/);
  });
});
