import type pg from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { LOGIN_ROLES, type LoginRole } from '../../db/role-login.ts';
import { silentLog } from '../../src/log.ts';
import { openPools, withFleet, withTransaction } from '../../src/store/pool.ts';
import { type FreshDatabase, useDatabase } from '../helpers/db.ts';
import { attackAs, attempt, type OpenTo, sessionOf, type Target } from './attacks.ts';
import { keyHash, relations, rowsPerFleet, seedTwoFleets } from './two-fleets.ts';

/** The scheduler sees work of every fleet, never content; which columns is held below. */
const openTo: OpenTo = {
  lw_scheduler: [
    'fleet',
    'fleet_deletion',
    'gateway_health',
    'line_mark',
    'outbox',
    'unit_mark',
    'unit_standing',
  ],
};

async function targetsIn(db: FreshDatabase): Promise<Target[]> {
  const targets: Target[] = [];
  for (const relation of await relations(db.owner)) {
    const perFleet = await rowsPerFleet(db.owner, relation.name);
    const { rows } = await db.owner.query(
      `select to_jsonb(t) as row from liftwright.${relation.name} t where fleet_id = 2 limit 1`,
    );
    targets.push({ ...relation, own: perFleet.get(1) ?? 0, row: rows[0]?.row });
  }
  return targets;
}

const db = useDatabase();
let targets: Target[] = [];
const sessions = new Map<LoginRole, pg.Client>();

beforeAll(async () => {
  await seedTwoFleets(db);
  targets = await targetsIn(db);
  for (const role of LOGIN_ROLES) sessions.set(role, await sessionOf(db.ownerUrl, role));
});

afterAll(async () => {
  for (const client of sessions.values()) await client.end();
});

/** The SQLSTATE of one statement of a role for fleet 1, '' when it went through. */
const codeOf = async (role: LoginRole, sql: string, setting: string | null = '{1}') =>
  (await attempt(sessions.get(role)!, setting, sql)).code;

describe('rows of another fleet', () => {
  test('there is something to steal in every table and partition', async () => {
    expect(targets.length).toBeGreaterThan(30);
    expect(targets.filter((one) => one.isPartition).map((one) => one.name)).toEqual([
      'reading_run_202611',
      'reading_run_202612',
    ]);
    for (const target of targets) {
      const perFleet = await rowsPerFleet(db.owner, target.name);
      expect([...perFleet.keys()].sort(), `${target.name}: see two-fleets.ts`).toEqual([1, 2]);
    }
  });

  test.each(LOGIN_ROLES)(
    '%s reaches none, whatever it tries',
    { timeout: 120_000 },
    async (role) => {
      expect(await attackAs(db.ownerUrl, role, targets, openTo)).toEqual([]);
    },
  );

  test('a session sees exactly its own fleets', async () => {
    const client = sessions.get('lw_app')!;
    for (const [setting, fleets] of Object.entries({
      '{1}': [1],
      '{2}': [2],
      '{2,1}': [1, 2],
    })) {
      for (const target of targets.filter((one) => !one.isPartition)) {
        await client.query(`begin; set local liftwright.fleets = '${setting}'`);
        const { rows } = await client.query(
          `select distinct fleet_id as fleet from liftwright.${target.name} order by 1`,
        );
        await client.query('rollback');
        expect(
          rows.map((row) => row.fleet),
          target.name,
        ).toEqual(fleets);
      }
    }
  });

  test.each([
    ['{1', '22P02'],
    ['1', '22P02'],
    ['all', '22P02'],
    ['{1,x}', '22P02'],
    ['{99999999999}', '22003'],
    ['{"1 or true"}', '22P02'],
  ])('the setting %s is an error, not an open door', async (setting, code) => {
    for (const target of targets.filter((one) => !one.isPartition)) {
      expect(await codeOf('lw_app', `select 1 from liftwright.${target.name}`, setting)).toBe(code);
    }
  });

  test('the same ids, numbers and serials in two fleets do not meet', async () => {
    const touched = await attempt(
      sessions.get('lw_app')!,
      '{1}',
      `update liftwright.unit set note = 'x' where number = '12'`,
    );
    expect(touched).toEqual({ code: '', rows: 1 });
  });

  test('statistics about rows are hidden as well', async () => {
    const known = await db.owner.query(`select 1 from pg_stats where schemaname = 'liftwright'`);
    expect(known.rowCount).toBeGreaterThan(50);
    for (const role of LOGIN_ROLES) {
      const seen = await attempt(
        sessions.get(role)!,
        '{1}',
        `select 1 from pg_stats where schemaname = 'liftwright'`,
      );
      expect(seen, role).toEqual({ code: '', rows: 0 });
      expect(await codeOf(role, 'select 1 from pg_statistic')).toBe('42501');
    }
  });
});

describe('what may never change or be read, even in one’s own fleet', () => {
  const immutable = [
    'lift_pattern',
    'event',
    'usage_entry',
    'reading_run',
    'reading_refusal',
    'gateway_clock',
    'counter',
  ];

  test.each(immutable)('%s', async (table) => {
    const columns = targets.find((one) => one.name === table)!.columns;
    for (const role of LOGIN_ROLES) {
      for (const column of columns) {
        const update = `update liftwright.${table} set ${column} = ${column}`;
        expect(await codeOf(role, update), `${role} ${column}`).toBe('42501');
      }
      expect(await codeOf(role, `delete from liftwright.${table}`), role).toBe('42501');
    }
  });

  test('work done and deferrals change only by being voided or ended', async () => {
    const { rows } = await sessions.get('lw_app')!.query(
      `select c.relname::text as table, array_agg(a.attname::text order by a.attname) as columns
       from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attnum > 0
       where c.relname in ('task_done', 'task_deferral')
         and has_column_privilege(c.oid, a.attnum, 'update')
       group by 1 order by 1`,
    );
    expect(rows).toEqual([
      { table: 'task_deferral', columns: ['ended_at'] },
      { table: 'task_done', columns: ['void_reason', 'voided_at', 'voided_by'] },
    ]);
    for (const table of ['task_done', 'task_deferral']) {
      expect(await codeOf('lw_app', `delete from liftwright.${table}`)).toBe('42501');
    }
  });

  test('hashes of keys', async () => {
    for (const role of LOGIN_ROLES) {
      expect(await codeOf(role, 'select sha256 from liftwright.api_key'), role).toBe('42501');
      expect(await codeOf(role, 'select k from liftwright.api_key k'), role).toBe('42501');
    }
    expect(await codeOf('lw_app', 'select prefix from liftwright.api_key')).toBe('');
    const change = `update liftwright.api_key set sha256 = ${keyHash(1)}`;
    expect(await codeOf('lw_app', change)).toBe('42501');
    expect(await codeOf('lw_app', `update liftwright.api_key set role = 'admin'`)).toBe('42501');
  });

  test('the scheduler sees ids, shards and times, nothing else', async () => {
    const { rows } = await sessions.get('lw_scheduler')!.query(
      `select c.relname::text as table, array_agg(a.attname::text order by a.attnum) as columns
       from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attnum > 0
       where c.relnamespace = (select oid from pg_namespace where nspname = 'liftwright')
         and c.relkind in ('r', 'p') and has_column_privilege(c.oid, a.attnum, 'select')
       group by 1 order by 1`,
    );
    expect(rows).toEqual([
      { table: 'fleet', columns: ['fleet_id'] },
      { table: 'fleet_deletion', columns: ['fleet_id', 'confirmed_at', 'finished_at'] },
      { table: 'gateway_health', columns: ['fleet_id', 'gateway_id', 'shard', 'check_at'] },
      { table: 'line_mark', columns: ['fleet_id', 'mark_id', 'shard', 'line_id', 'received_at'] },
      { table: 'outbox', columns: ['fleet_id', 'outbox_id', 'recorded_at'] },
      { table: 'unit_mark', columns: ['fleet_id', 'mark_id', 'shard', 'unit_id', 'recorded_at'] },
      { table: 'unit_standing', columns: ['fleet_id', 'unit_id', 'shard', 'next_check_at'] },
    ]);
  });
});

describe('connections of a pool', () => {
  test('one connection, many fleets: nothing is left behind', async () => {
    const pools = openPools(db.ownerUrl, { log: silentLog, sizes: { app: 1, batcher: 1 } });
    const seen = (run: { query: pg.Pool['query'] }, table = 'unit') =>
      run
        .query(`select fleet_id as fleet from liftwright.${table} order by 1`)
        .then(({ rows }) => rows.map((row) => row.fleet));
    const look = async (tx: unknown) => seen(tx as pg.Pool);
    try {
      expect(await withFleet(pools.app, [1], look)).toEqual([1]);
      expect(await seen(pools.app)).toEqual([]);
      const failing = withFleet(pools.app, [2], async (tx) => {
        await tx.query('select 1 / 0');
      });
      await expect(failing).rejects.toThrow('division by zero');
      expect(await seen(pools.app)).toEqual([]);
      expect(await withTransaction(pools.app, look)).toEqual([]);
      expect(await withFleet(pools.app, [1, 2], look)).toEqual([1, 2]);
      expect(await seen(pools.batcher, 'gateway')).toEqual([]);
      expect(pools.gauges().app.total).toBe(1);
    } finally {
      await pools.close();
    }
  });

  test('two connections at the same time keep to their fleets', async () => {
    const pools = openPools(db.ownerUrl, { log: silentLog, sizes: { app: 2 } });
    try {
      const answers = await Promise.all(
        Array.from({ length: 40 }, (_, i) =>
          withFleet(pools.app, [1 + (i % 2)], async (tx) => {
            await tx.query('select pg_sleep(0.002)');
            const { rows } = await tx.query('select fleet_id as fleet from liftwright.unit');
            return rows.map((row) => row.fleet);
          }),
        ),
      );
      expect(answers).toEqual(Array.from({ length: 40 }, (_, i) => [1 + (i % 2)]));
    } finally {
      await pools.close();
    }
  });
});

/** What opens a door, and what must then be found to have gone through. */
const sabotages: [hole: string, role: LoginRole, sql: string][] = [
  [
    'lw_app ({1}) select unit: 1 rows',
    'lw_app',
    'alter table liftwright.unit disable row level security',
  ],
  [
    'lw_app (unset) select reading_run_202611: 2 rows',
    'lw_app',
    `alter table liftwright.reading_run_202611 disable row level security;
     grant select on liftwright.reading_run_202611 to lw_app`,
  ],
  [
    'lw_app ({1}) insert unit_mark: error 23505',
    'lw_app',
    'create policy wide on liftwright.unit_mark for insert with check (true)',
  ],
  [
    'lw_batcher ({}) update stream: 2 rows',
    'lw_batcher',
    'create policy wide on liftwright.stream to lw_batcher using (true)',
  ],
  [
    'lw_scheduler ({1}) truncate severity: 0 rows',
    'lw_scheduler',
    'grant truncate on liftwright.severity to lw_scheduler',
  ],
  [
    'lw_queue () copy out yard: 2 rows',
    'lw_queue',
    `grant usage on schema liftwright to lw_queue; grant select on liftwright.yard to lw_queue;
     create policy wide on liftwright.yard to lw_queue using (true)`,
  ],
];

describe('these attacks can succeed', () => {
  const open = useDatabase();

  test('doors that were opened are found, and no others', { timeout: 120_000 }, async () => {
    await seedTwoFleets(open);
    for (const [, , sql] of sabotages) await open.owner.query(sql);
    const all = await targetsIn(open);
    const hit = all.filter((target) =>
      sabotages.some(([hole]) => hole.includes(` ${target.name}:`)),
    );
    expect(hit).toHaveLength(sabotages.length);
    for (const role of LOGIN_ROLES) {
      const holes = await attackAs(open.ownerUrl, role, hit, openTo);
      const expected = sabotages.filter((one) => one[1] === role).map(([hole]) => hole);
      expect(holes).toEqual(expect.arrayContaining(expected));
      const touched = sabotages.filter((one) => one[1] === role).map(([hole]) => tableOf(hole));
      expect(holes.filter((hole) => !touched.includes(tableOf(hole)))).toEqual([]);
    }
  });
});

const tableOf = (hole: string) => /(\w+): /.exec(hole)?.[1];
