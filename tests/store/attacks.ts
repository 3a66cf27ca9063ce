import pg from 'pg';
import { type LoginRole, roleUrl } from '../../db/role-login.ts';
import type { Relation } from './two-fleets.ts';

/** Where a session stands: the setting, null for one that never set it, and the fleet it gives. */
export interface Stance {
  setting: string | null;
  mine: number | null;
}

export const stances: readonly Stance[] = [
  { setting: null, mine: null },
  { setting: '', mine: null },
  { setting: '{}', mine: null },
  { setting: '{NULL}', mine: null },
  { setting: '{1}', mine: 1 },
];

export interface Attempt {
  /** SQLSTATE, '' when the statement went through. */
  code: string;
  rows: number;
}

/** A session of a role that has never set anything. */
export async function sessionOf(ownerUrl: string, role: LoginRole): Promise<pg.Client> {
  const client = new pg.Client({ connectionString: roleUrl(ownerUrl, role) });
  await client.connect();
  return client;
}

/** Runs one statement under a setting in a transaction that is rolled back. */
export async function attempt(
  client: pg.Client,
  setting: string | null,
  sql: string,
  values: unknown[] = [],
): Promise<Attempt> {
  // the values of `stances` hold no quotes
  await client.query(
    setting === null ? 'begin' : `begin; set local liftwright.fleets = '${setting}'`,
  );
  try {
    const { rowCount } = await client.query(sql, values);
    return { code: '', rows: rowCount ?? 0 };
  } catch (error) {
    return {
      code: String((error as { code?: string }).code ?? error),
      rows: 0,
    };
  } finally {
    await client.query('rollback');
  }
}

interface Attack {
  what: string;
  sql: string;
  values?: unknown[];
  /** Most rows that it may touch; -1: it must be refused. */
  most: number;
  /** Reads columns that a policy opens to some role on purpose. */
  reads?: boolean;
  /** Does not depend on the setting, so that trying it once is enough. */
  once?: boolean;
  /** Refusals beside 42501 that say nothing about another fleet. */
  also?: string[];
}

const denied = '42501';

/** What is tried on one relation. `own` rows of it are the session's, `row` is another fleet's. */
function attacksOn(
  relation: Relation,
  mine: number | null,
  own: number,
  row: object,
  column: string,
): Attack[] {
  const table = `liftwright.${relation.name}`;
  const foreign = `fleet_id is distinct from ${mine ?? 0}`;
  const copyOf = `insert into ${table} overriding system value
    select * from jsonb_populate_record(null::${table}, $1)`;
  const values = [JSON.stringify(row)];
  return [
    { what: 'select', sql: `select 1 from ${table} where ${foreign}`, most: 0, reads: true },
    { what: 'select all', sql: `select fleet_id from ${table}`, most: own, reads: true },
    {
      what: 'make it divide by zero on the row of another fleet',
      sql: `select 1 from ${table} where 1 / (fleet_id - 2) > 5`,
      most: 0,
      reads: true,
    },
    {
      what: 'copy out',
      sql: `copy (select fleet_id from ${table}) to stdout`,
      most: own,
      reads: true,
    },
    { what: 'lock', sql: `select 1 from ${table} where ${foreign} for update`, most: 0 },
    { what: 'insert', sql: copyOf, values, most: -1 },
    { what: 'insert or nothing', sql: `${copyOf} on conflict do nothing`, values, most: -1 },
    { what: 'update', sql: `update ${table} set ${column} = ${column} where ${foreign}`, most: 0 },
    {
      what: 'update all',
      sql: `update ${table} set ${column} = ${column}`,
      most: own,
      // What is closed stays as it is, also its own.
      also: ['23001'],
    },
    { what: 'move', sql: `update ${table} set fleet_id = 2`, most: mine === null ? 0 : -1 },
    { what: 'delete', sql: `delete from ${table} where ${foreign}`, most: 0 },
    { what: 'delete all', sql: `delete from ${table}`, most: own, also: ['23503'] },
    { what: 'truncate', sql: `truncate ${table} cascade`, most: -1, once: true },
    {
      what: 'switch off',
      sql: `alter table ${table} disable row level security`,
      most: -1,
      once: true,
    },
    {
      what: 'unforce',
      sql: `alter table ${table} no force row level security`,
      most: -1,
      once: true,
    },
    { what: 'drop its policy', sql: `drop policy fleet_guard on ${table}`, most: -1, once: true },
    {
      what: 'add a policy',
      sql: `create policy open on ${table} using (true)`,
      most: -1,
      once: true,
    },
    { what: 'own it', sql: `alter table ${table} owner to current_user`, most: -1, once: true },
    { what: 'index it', sql: `create index on ${table} (fleet_id)`, most: -1, once: true },
  ];
}

function succeeded(attack: Attack, got: Attempt): boolean {
  if (got.code === denied || attack.also?.includes(got.code)) return false;
  return got.code !== '' || attack.most === -1 || got.rows > attack.most;
}

export interface Target extends Relation {
  /** Rows of fleet 1. */
  own: number;
  /** A row of fleet 2. */
  row: object;
}

/** Tables that a role sees across fleets, in some columns, on purpose. */
export type OpenTo = Partial<Record<LoginRole, readonly string[]>>;

/** Tries everything on every relation as one role; answers what went through. */
export async function attackAs(
  ownerUrl: string,
  role: LoginRole,
  targets: readonly Target[],
  openTo: OpenTo,
): Promise<string[]> {
  const holes: string[] = [];
  for (const { setting, mine } of stances) {
    const client = await sessionOf(ownerUrl, role);
    const { rows } = await client.query<{ table: string; column: string }>(
      `select c.relname::text as table, min(a.attname::text) as column
       from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attnum > 0
       where c.relnamespace = (select oid from pg_namespace where nspname = 'liftwright')
         and has_column_privilege(c.oid, a.attnum, 'update') and a.attname <> 'fleet_id'
       group by 1`,
    );
    const updatable = new Map(rows.map((row) => [row.table, row.column]));
    for (const target of targets) {
      const column = updatable.get(target.name) ?? target.columns[1]!;
      const own = mine === null ? 0 : target.own;
      for (const attack of attacksOn(target, mine, own, target.row, column)) {
        if (attack.reads && openTo[role]?.includes(target.name)) continue;
        if (attack.once && mine === null) continue;
        const got = await attempt(client, setting, attack.sql, attack.values);
        if (!succeeded(attack, got)) continue;
        const outcome = got.code === '' ? `${got.rows} rows` : `error ${got.code}`;
        holes.push(`${role} (${setting ?? 'unset'}) ${attack.what} ${target.name}: ${outcome}`);
      }
    }
    await client.end();
  }
  return holes;
}
