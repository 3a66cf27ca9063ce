import type pg from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { LOGIN_ROLES, type LoginRole } from '../../db/role-login.ts';
import { useDatabase } from '../helpers/db.ts';
import { attempt, sessionOf } from './attacks.ts';
import { keyHash, seedTwoFleets } from './two-fleets.ts';

const db = useDatabase();
const sessions = new Map<LoginRole, pg.Client>();

beforeAll(async () => {
  await seedTwoFleets(db);
  for (const role of LOGIN_ROLES) sessions.set(role, await sessionOf(db.ownerUrl, role));
});

afterAll(async () => {
  for (const client of sessions.values()) await client.end();
});

const codeOf = async (role: LoginRole, sql: string) =>
  (await attempt(sessions.get(role)!, '{1}', sql)).code;

const eachRole = describe.each(LOGIN_ROLES);

eachRole('%s cannot become more than it is', (role) => {
  test('by taking another role', async () => {
    const { rows } = await db.owner.query<{ name: string }>(
      'select quote_ident(rolname) as name from pg_roles where rolname <> $1 order by 1',
      [role],
    );
    expect(rows.length).toBeGreaterThan(10);
    for (const { name } of rows) {
      expect(await codeOf(role, `set role ${name}`), name).toBe('42501');
      expect(await codeOf(role, `set session authorization ${name}`), name).toBe('42501');
    }
  });

  test.each([
    'reset role',
    'set role none',
    'reset session authorization',
    'discard all',
    'reset all',
  ])('by %s', async (sql) => {
    const client = sessions.get(role)!;
    await client.query(`set liftwright.fleets = '{1}'`);
    try {
      await client.query(sql);
      const who = await client.query('select current_user::text as now, session_user::text as by');
      expect(who.rows).toEqual([{ now: role, by: role }]);
    } finally {
      await client.query('reset liftwright.fleets');
    }
  });

  test('by switching row security off: refused, not unfiltered', async () => {
    const client = sessions.get(role)!;
    for (const table of ['unit', 'reading_run', 'event', 'stream', 'outbox']) {
      await client.query('set row_security = off');
      const { code } = await attempt(client, '{1}', `select fleet_id from liftwright.${table}`);
      await client.query('reset row_security');
      expect(code, table).toBe('42501');
    }
  });

  test.each([
    'alter role current_user bypassrls',
    'alter role current_user superuser',
    'alter role current_user createrole',
    `alter role current_user set liftwright.fleets = '{1,2}'`,
    `alter role current_user in database template1 set liftwright.fleets = '{1,2}'`,
    'create role stray',
    'grant lw_owner to current_user',
    'grant pg_read_all_data to current_user',
    `set session_replication_role = 'replica'`,
    `load 'auto_explain'`,
    `copy (select 1) to program 'true'`,
    `select pg_read_file('PG_VERSION')`,
    `select lo_import('/etc/hostname')`,
    'select 1 from pg_authid',
    'select 1 from pg_user_mapping',
    'create extension pg_trgm schema liftwright',
    'create table liftwright.stray (fleet_id int)',
    'create view liftwright.stray as select 1',
    'create function liftwright.stray() returns int language sql as $$ select 1 $$',
    'create type liftwright.stray as (a int)',
    'create table public.stray (fleet_id int)',
    'create table lw_meta.stray (fleet_id int)',
    'alter schema liftwright owner to current_user',
    'drop schema liftwright cascade',
    'drop table liftwright.unit cascade',
    'select 1 from lw_meta.migration',
    'update lw_meta.migration set sha256 = sha256',
    `select nextval('liftwright.outbox_outbox_id_seq')`,
    'select last_value from liftwright.stream_stream_id_seq',
    `select setval('liftwright.outbox_outbox_id_seq', 1)`,
    `select liftwright.guard('liftwright.unit'::regclass)`,
    `create or replace function liftwright.current_fleets() returns int[]
       language sql as $$ select null $$`,
    'drop function liftwright.current_fleets()',
    'create event trigger stray on ddl_command_end execute function liftwright.guard()',
    'create publication stray for all tables',
    `do $$ begin execute 'set local role lw_owner'; end $$`,
  ])('by: %s', async (sql) => {
    expect(await codeOf(role, sql)).toBe('42501');
  });

  test.each([
    `alter system set liftwright.fleets = '{1,2}'`,
    'create database stray',
    'create index concurrently on liftwright.unit (fleet_id)',
  ])('by, outside of a transaction: %s', async (sql) => {
    await expect(sessions.get(role)!.query(sql)).rejects.toMatchObject({ code: '42501' });
  });
});

test('only the queue makes tables, in its schema, and temporary ones', async () => {
  const makes = {
    'create table bullmq.extra (id int)': ['lw_queue'],
    'create temporary table extra (id int)': ['lw_queue'],
    'create schema extra': [],
  };
  for (const [sql, by] of Object.entries<string[]>(makes)) {
    for (const role of LOGIN_ROLES) {
      expect(await codeOf(role, sql), `${role}: ${sql}`).toBe(by.includes(role) ? '' : '42501');
    }
  }
});

describe('definer functions', () => {
  const resolve = (hash: string) => `select * from liftwright.resolve_api_key(${hash})`;
  const partitions = (from: string, to: string) =>
    `select liftwright.ensure_reading_partitions('${from}', '${to}')`;
  const found = `select liftwright.found_first_fleet('x', '01900000-0000-7000-8000-000000000099',
    'prefix', sha256('x'), '2026-11-25 00:00+00')`;

  test('are called only by those that they are for', async () => {
    const calls: [sql: string, by: LoginRole][] = [
      [resolve(keyHash(1)), 'lw_app'],
      [found, 'lw_app'],
      [partitions('2026-11-01', '2026-12-01'), 'lw_scheduler'],
    ];
    for (const [sql, by] of calls) {
      for (const role of LOGIN_ROLES) {
        expect(await codeOf(role, sql), `${role}: ${sql}`).toBe(role === by ? '' : '42501');
      }
    }
  });

  test('a key is found by its hash alone, and only a live one', async () => {
    const app = sessions.get('lw_app')!;
    for (const guess of ['null', `''::bytea`, `sha256('x')`, `'%'::bytea`]) {
      expect((await app.query(resolve(guess))).rows, guess).toEqual([]);
    }
    const { rows } = await app.query(resolve(keyHash(2)));
    expect(rows.map((row) => row.fleet_id)).toEqual([2]);
    expect(Object.keys(rows[0])).not.toContain('sha256');
    await db.owner.query('begin');
    await db.owner.query(`update liftwright.api_key set revoked_at = created_at`);
    expect((await db.owner.query(resolve(keyHash(2)))).rows).toEqual([]);
    await db.owner.query('rollback');
  });

  test('a second first fleet is refused', async () => {
    const { rows } = await sessions.get('lw_app')!.query(found);
    expect(rows).toEqual([{ found_first_fleet: null }]);
    const fleets = await db.owner.query('select fleet_id from liftwright.fleet order by 1');
    expect(fleets.rows).toEqual([{ fleet_id: 1 }, { fleet_id: 2 }]);
  });

  test('partitions: bounded, and whole months of UTC in whatever style a session has', async () => {
    const scheduler = sessions.get('lw_scheduler')!;
    for (const [from, to] of [
      ['infinity', 'infinity'],
      ['-infinity', '2026-01-01'],
      ['2026-01-01', 'infinity'],
      ['2026-01-01', '2036-02-01'],
    ] as const) {
      await expect(scheduler.query(partitions(from, to)), `${from} ${to}`).rejects.toThrow();
    }
    await scheduler.query(`set datestyle = 'SQL, DMY'; set timezone = 'Asia/Kolkata'`);
    await scheduler.query(partitions('2027-01-10', '2027-02-10'));
    await scheduler.query('reset datestyle; reset timezone');
    await db.owner.query(`set timezone = 'UTC'`);
    const { rows } = await db.owner.query(
      `select pg_get_expr(relpartbound, oid) as bounds from pg_class
       where relispartition and relname like 'reading_run_2027%' and relkind = 'r'
       order by relname`,
    );
    expect(rows.map((row) => row.bounds)).toEqual([
      `FOR VALUES FROM ('2027-01-01 00:00:00+00') TO ('2027-02-01 00:00:00+00')`,
      `FOR VALUES FROM ('2027-02-01 00:00:00+00') TO ('2027-03-01 00:00:00+00')`,
    ]);
  });

  test('do not look into what the caller may make, even where it may make something', async () => {
    await db.owner.query(
      `grant temporary on database ${db.name} to lw_app;
       create schema trap; grant all on schema trap to lw_app`,
    );
    const client = await sessionOf(db.ownerUrl, 'lw_app');
    try {
      await client.query(
        `create temporary table api_key (fleet_id int, key_id uuid, sha256 bytea, role text,
           gateway_id uuid, name text, revoked_at timestamptz, last_used_at timestamptz);
         create temporary table fleet (fleet_id int);
         insert into api_key (fleet_id, sha256, role) values (2, sha256('mine'), 'admin');
         create function trap.same(bytea, bytea) returns boolean language sql
           as $$ select true $$;
         create operator trap.= (leftarg = bytea, rightarg = bytea, function = trap.same);
         create function trap.hashtext(text) returns int language plpgsql
           as $$ begin execute 'alter table liftwright.unit no force row level security';
             return 1; end $$;
         set search_path = pg_temp, trap, liftwright, pg_catalog`,
      );
      const trapped = await client.query(`select * from api_key where sha256 = 'x'::bytea`);
      expect(trapped.rowCount, 'the trap works on the caller itself').toBe(1);
      expect((await client.query(resolve(`sha256('mine')`))).rows).toEqual([]);
      expect((await client.query(found)).rows).toEqual([{ found_first_fleet: null }]);
    } finally {
      await client.end();
    }
  });
});

describe('recording readings', () => {
  const record = (fleet: number, stream: number) =>
    `select * from liftwright.record_new_runs(${fleet}, '01900000-0000-7000-8000-000000000006',
       '2026-11-25 13:00+00', 0, '{${stream}}', '{50}', '{1}', '{0}', '{5}', '{5}', '{}', '{}',
       '{5}')`;

  test('is the batcher’s alone', async () => {
    for (const role of LOGIN_ROLES) {
      const code = role === 'lw_batcher' ? '' : '42501';
      expect(await codeOf(role, record(1, 1)), role).toBe(code);
    }
  });

  test('never reaches a stream of a fleet other than the one named', async () => {
    expect(await codeOf('lw_batcher', record(1, 2))).toBe('LW001');
    expect(await codeOf('lw_batcher', record(2, 1))).toBe('LW001');
    expect(await codeOf('lw_batcher', record(3, 1))).toBe('LW001');
  });
});
