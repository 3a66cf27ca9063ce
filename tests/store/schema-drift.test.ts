import { getTableName, is } from 'drizzle-orm';
import { drizzle } from 'drizzle-orm/node-postgres';
import { getTableConfig, PgTable } from 'drizzle-orm/pg-core';
import type pg from 'pg';
import { describe, expect, test } from 'vitest';
import * as schema from '../../db/schema/index.ts';
import { useDatabase } from '../helpers/db.ts';

interface Column {
  type: string;
  notNull: boolean;
  /** 'always' or 'by default' for an identity, 'default' for a default, '' for neither. */
  filled: string;
  /** The values of a closed list, sorted. */
  list: string;
}

interface Table {
  columns: Record<string, Column>;
  primaryKey: string[];
}
type Tables = Record<string, Table>;

/** Every table of the schema as PostgreSQL knows it; partitions are their parent's business. */
async function tablesOfDatabase(db: Pick<pg.ClientBase, 'query'>): Promise<Tables> {
  const { rows } = await db.query(
    `select c.relname as table, a.attname as column, a.attnotnull as "notNull",
        format_type(a.atttypid, a.atttypmod) as type,
        case when a.attidentity = 'a' then 'always' when a.attidentity = 'd' then 'by default'
          when a.atthasdef then 'default' else '' end as filled,
        array_position(k.conkey, a.attnum) as place,
        (select string_agg(value[1], '|' order by value[1])
          from pg_constraint l
          cross join regexp_matches(pg_get_constraintdef(l.oid), '''([^'']*)''::text', 'g') value
          where l.conrelid = c.oid and l.contype = 'c' and l.conkey = array[a.attnum]
            and pg_get_constraintdef(l.oid) ~ '= ANY \\(ARRAY\\[') as list
      from pg_class c
      join pg_attribute a on a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped
      left join pg_constraint k on k.conrelid = c.oid and k.contype = 'p'
      where c.relnamespace = 'liftwright'::regnamespace and c.relkind in ('r', 'p')
        and not c.relispartition
      order by c.relname, a.attnum`,
  );
  const tables: Tables = {};
  for (const row of rows) {
    tables[row.table] ??= { columns: {}, primaryKey: [] };
    const { columns, primaryKey } = tables[row.table]!;
    const { type, notNull, filled } = row;
    columns[row.column] = { type, notNull, filled, list: row.list ?? '' };
    if (row.place !== null) primaryKey[row.place - 1] = row.column;
  }
  return tables;
}

function tablesOfCode(): Tables {
  const tables: Tables = {};
  for (const table of Object.values(schema).filter((one) => is(one, PgTable))) {
    const config = getTableConfig(table);
    expect(config.schema).toBe('liftwright');
    expect(tables[config.name], `${config.name} is declared twice`).toBeUndefined();
    const columns: Table['columns'] = {};
    for (const column of config.columns) {
      const identity = column.generatedIdentity?.type;
      columns[column.name] = {
        type: column.getSQLType(),
        notNull: column.notNull,
        filled: identity === 'byDefault' ? 'by default' : identity || defaultOf(column.hasDefault),
        list: [...(column.enumValues ?? [])].sort().join('|'),
      };
    }
    const single = config.columns.filter((column) => column.primary);
    const keys = config.primaryKeys.map((key) => key.columns);
    const key = keys[0] ?? single;
    expect(keys.length + single.length, `${config.name} declares one primary key`).toBe(1);
    tables[config.name] = { columns, primaryKey: key.map((column) => column.name) };
  }
  return tables;
}

const defaultOf = (hasDefault: boolean) => (hasDefault ? 'default' : '');

describe('the Drizzle tables and the migrated database', () => {
  const db = useDatabase();

  test('are the same tables, columns, types, nullability, keys, defaults and lists', async () => {
    const inDatabase = await tablesOfDatabase(db.owner);
    expect(Object.keys(inDatabase).length).toBeGreaterThanOrEqual(30);
    expect(tablesOfCode()).toEqual(inDatabase);
  });

  test('partitions are left out by rule, not by name', async () => {
    const before = Object.keys(await tablesOfDatabase(db.owner));
    await db.pools.scheduler.query(
      `select liftwright.ensure_reading_partitions('2026-11-01', '2026-12-01')`,
    );
    expect(Object.keys(await tablesOfDatabase(db.owner))).toEqual(before);
  });

  test.each([
    ['a new table', 'create table liftwright.stray (fleet_id int primary key)'],
    ['a lost table', 'drop table liftwright.gateway_clock'],
    ['a new column', 'alter table liftwright.unit add column colour text'],
    ['a lost column', 'alter table liftwright.unit drop column note'],
    ['another type', 'alter table liftwright.counter alter column line_id type int'],
    ['another nullability', 'alter table liftwright.unit alter column note set not null'],
    ['another key', 'alter table liftwright.usage_entry drop constraint usage_entry_pkey'],
    [
      'another order of the key',
      `alter table liftwright.unit_mark drop constraint unit_mark_pkey,
         add primary key (mark_id, fleet_id)`,
    ],
    ['a lost default', 'alter table liftwright.stream alter column seen drop default'],
    ['a lost identity', 'alter table liftwright.outbox alter column outbox_id drop identity'],
    [
      'a longer closed list',
      `alter table liftwright.line_mark drop constraint line_mark_kind_check,
         add check (kind in ('readings', 'whole', 'half'))`,
    ],
  ])('%s is noticed', async (_what, sql) => {
    await db.owner.query('begin');
    try {
      await db.owner.query(sql);
      expect(await tablesOfDatabase(db.owner)).not.toEqual(tablesOfCode());
    } finally {
      await db.owner.query('rollback');
    }
  });
});

describe('values', () => {
  const db = useDatabase();
  const atMs = Date.UTC(2026, 10, 25, 13, 0, 0, 123);

  test.each(['UTC', 'Asia/Kathmandu', 'America/St_Johns'])(
    'go in and come out alike in a session of %s',
    async (zone) => {
      const client = db.owner;
      const tx = drizzle(client, { schema });
      await client.query('begin');
      try {
        await client.query(`set local time zone '${zone}'`);
        const fleet = { fleetId: 7, name: 'A', createdAtMs: atMs, oneMan: false };
        await tx.insert(schema.fleet).values(fleet);
        expect(await tx.select().from(schema.fleet)).toEqual([fleet]);

        const unitId = '01900000-0000-7000-8000-000000000001';
        const yardId = '01900000-0000-7000-8000-000000000002';
        const dated = { fleetId: 7, createdAtMs: atMs };
        await tx.insert(schema.unit).values({ ...dated, unitId, number: '12', note: null });
        const yard = { ...dated, yardId, name: 'North', timeZone: 'UTC' };
        await tx.insert(schema.yard).values(yard);
        const first = { fromMs: Date.UTC(2020, 0), toMs: atMs };
        const then = { fromMs: atMs, toMs: null };
        for (const during of [first, then]) {
          const row = { fleetId: 7, unitId, role: 'home' as const, yardId, during };
          await tx.insert(schema.unitYard).values(row);
        }
        const rows = await tx.select({ during: schema.unitYard.during }).from(schema.unitYard);
        expect(rows.map((row) => row.during)).toEqual([first, then]);
        // the other way out: as JSON, through a relational query
        expect((await tx.query.fleet.findFirst())?.createdAtMs).toBe(atMs);
      } finally {
        await client.query('rollback');
      }
    },
  );

  test('old, odd and impossible times', () => {
    const { instantFromSql: from, instantToSql: to, spanFromSql, spanToSql } = schema;
    expect(from('1970-01-01 00:00:00+00')).toBe(0);
    expect(from('1969-12-31 23:59:59.9999+00')).toBe(-1);
    expect(from('0001-01-01 00:00:00+00')).toBe(Date.parse('0001-01-01T00:00:00Z'));
    expect(from('0099-03-01 12:00:00+00')).toBe(Date.parse('0099-03-01T12:00:00Z'));
    expect(from('1880-01-01 05:41:16+05:41:16')).toBe(Date.parse('1880-01-01T00:00:00Z'));
    expect(from('2026-11-25 09:30:00.5-03:30')).toBe(Date.parse('2026-11-25T13:00:00.5Z'));
    for (const text of ['infinity', '-infinity', '0044-03-15 00:00:00+00 BC', '25.11.2026', '']) {
      expect(() => from(text)).toThrow(/not an instant/);
    }
    for (const ms of [0.5, Number.NaN, Number.POSITIVE_INFINITY, 8.64e15, -1e15]) {
      expect(() => to(ms)).toThrow(/not whole milliseconds/);
    }
    const open = { fromMs: 0, toMs: null };
    expect(spanFromSql('["1970-01-01 00:00:00+00",infinity)')).toEqual(open);
    for (const text of [
      'empty',
      '(,)',
      '("1970-01-01 00:00:00+00",)',
      '["1970-01-01 00:00:00+00",]',
    ]) {
      expect(() => spanFromSql(text)).toThrow(/not a span/);
    }
    expect(() => spanToSql({ fromMs: 5, toMs: 5 })).toThrow(/ends before it starts/);
  });

  test('every table can be read through its types', async () => {
    const tx = drizzle(db.owner);
    for (const table of Object.values(schema).filter((one) => is(one, PgTable))) {
      expect(await tx.select().from(table), getTableName(table)).toEqual([]);
    }
  });
});
