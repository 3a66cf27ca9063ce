import { describe, expect, test } from 'vitest';
import { LOGIN_ROLES, OWNING_ROLES } from '../../db/role-login.ts';
import { useDatabase } from '../helpers/db.ts';
import { seedTwoFleets } from './two-fleets.ts';

const db = useDatabase();
const inSchema = `relnamespace = 'liftwright'::regnamespace`;

/** Rows of a query about the catalogue, as the superuser sees it. */
async function ask(sql: string, values: unknown[] = []): Promise<Record<string, unknown>[]> {
  return (await db.owner.query(sql, values)).rows;
}

/** The first column of each row. */
const names = async (sql: string, values: unknown[] = []) =>
  (await ask(sql, values)).map((row) => Object.values(row)[0]);

describe('roles', () => {
  test('none may anything but what is granted to it', async () => {
    const roles = await ask(
      `select rolname::text as name, rolsuper or rolbypassrls or rolcreaterole or rolcreatedb
         or rolreplication or rolinherit as more, rolcanlogin as login
       from pg_roles where rolname = any ($1) order by 1`,
      [[...LOGIN_ROLES, ...OWNING_ROLES]],
    );
    expect(roles).toEqual(
      [
        ...LOGIN_ROLES.map((name) => ({ name, more: false, login: true })),
        ...OWNING_ROLES.map((name) => ({ name, more: false, login: false })),
      ].sort((a, b) => (a.name < b.name ? -1 : 1)),
    );
  });

  test('the running ones belong to no other role', async () => {
    expect(
      await ask(
        `select member::regrole::text, roleid::regrole::text from pg_auth_members
         where member::regrole::text = any ($1)`,
        [LOGIN_ROLES],
      ),
    ).toEqual([]);
  });

  test('the running ones own nothing, but for the queue its schema', async () => {
    expect(
      await ask(
        `select o.classid::regclass::text as what, o.objid, refobjid::regrole::text as owner
         from pg_shdepend o where deptype = 'o' and refclassid = 'pg_authid'::regclass
           and dbid = (select oid from pg_database where datname = current_database())
           and refobjid::regrole::text = any ($1)
           and not (classid = 'pg_namespace'::regclass and objid = 'bullmq'::regnamespace)`,
        [LOGIN_ROLES],
      ),
    ).toEqual([]);
  });

  test('everyone else has no right on the database, its schemas or what is in them', async () => {
    expect(
      await names(
        `select 'database' from pg_database d, aclexplode(d.datacl) a
           where d.datname = current_database() and a.grantee = 0
         union all
         select nspname from pg_namespace n, aclexplode(n.nspacl) a where a.grantee = 0
           and nspname in ('liftwright', 'lw_meta', 'bullmq', 'public')
         union all
         select relname from pg_class c, aclexplode(c.relacl) a
           where a.grantee = 0 and c.${inSchema}
         union all
         select attname from pg_attribute t join pg_class c on c.oid = attrelid,
           aclexplode(t.attacl) a where a.grantee = 0 and c.${inSchema}`,
      ),
    ).toEqual([]);
  });

  test('no running role may empty a table, refer to it, or hang a trigger on it', async () => {
    expect(
      await ask(
        `select relname::text, privilege_type, grantee::regrole::text
         from pg_class c, aclexplode(c.relacl) a where c.${inSchema}
           and a.grantee::regrole::text = any ($1)
           and (a.is_grantable or privilege_type not in ('SELECT', 'INSERT', 'UPDATE', 'DELETE'))`,
        [LOGIN_ROLES],
      ),
    ).toEqual([]);
  });
});

describe('tables', () => {
  test('row security is on and forced everywhere, partitions included', async () => {
    await seedTwoFleets(db);
    const all = await names(
      `select relname from pg_class where ${inSchema} and relkind in ('r', 'p')`,
    );
    expect(all.length).toBeGreaterThan(30);
    expect(all).toContain('reading_run_202611');
    expect(
      await names(
        `select relname from pg_class c where ${inSchema} and relkind in ('r', 'p', 'm', 'f')
         and not (relrowsecurity and relforcerowsecurity and exists
           (select 1 from pg_policy p where p.polrelid = c.oid and p.polname = 'fleet_guard'))`,
      ),
    ).toEqual([]);
  });

  test('there is no view, which would run with the rights of its owner', async () => {
    expect(
      await names(`select relname from pg_class where ${inSchema} and relkind in ('v', 'm')`),
    ).toEqual([]);
  });

  test('every policy is the guard, or one of these', async () => {
    const guard =
      '(fleet_id = ANY (( SELECT liftwright.current_fleets() AS current_fleets)::integer[]))';
    const policies = await ask(
      `select tablename::text as table, policyname::text as policy, cmd, permissive,
         roles::text as roles, qual, with_check as "check"
       from pg_policies where schemaname = 'liftwright' order by 1, 2`,
    );
    const everywhere = ['fleet_guard', 'owner_erases'];
    const others = policies.filter((policy) => !everywhere.includes(String(policy.policy)));
    const erasing = policies.filter((policy) => policy.policy === 'owner_erases');
    for (const { roles, qual, check } of erasing) {
      expect({ roles, qual, check }).toEqual({ roles: '{lw_owner}', qual: guard, check: 'false' });
    }
    expect(erasing.map((policy) => policy.table)).toEqual(
      policies.filter((policy) => policy.policy === 'fleet_guard').map((policy) => policy.table),
    );
    for (const policy of policies.filter((one) => one.policy === 'fleet_guard')) {
      expect(policy).toEqual({
        table: policy.table,
        policy: 'fleet_guard',
        cmd: 'ALL',
        permissive: 'PERMISSIVE',
        roles: '{lw_app,lw_batcher}',
        qual: guard,
        check: guard,
      });
    }
    const line = (one: Record<string, unknown>) =>
      `${one.policy} on ${one.table} for ${one.cmd} to ${one.roles}: ${one.qual} ${one.check}`;
    expect(others.map(line).sort()).toEqual([
      'keyring_reads_keys on api_key for SELECT to {lw_keyring}: true null',
      `owner_compacts on reading_run for UPDATE to {lw_owner}: ${guard} ${guard}`,
      `owner_compacts on stream_compaction for ALL to {lw_owner}: ${guard} ${guard}`,
      `owner_cuts on stream for UPDATE to {lw_owner}: ${guard} ${guard}`,
      'owner_founds on api_key for ALL to {lw_owner}: true true',
      'owner_founds on event_chain for ALL to {lw_owner}: true true',
      'owner_founds on fleet for ALL to {lw_owner}: true true',
      'owner_founds on outbox for ALL to {lw_owner}: true true',
      'scheduler_sees_fleets on fleet for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on fleet_deletion for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on gateway_health for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on line_mark for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on outbox for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on unit_mark for SELECT to {lw_scheduler}: true null',
      'scheduler_sees_work on unit_standing for SELECT to {lw_scheduler}: true null',
    ]);
  });

  test('nobody has a right on a partition or a sequence of its own', async () => {
    expect(
      await ask(
        `select relname::text, a.grantee::regrole::text
         from pg_class c, aclexplode(c.relacl) a
         where c.${inSchema} and (relispartition or relkind = 'S')
           and a.grantee::regrole::text = any ($1)`,
        [LOGIN_ROLES],
      ),
    ).toEqual([]);
  });
});

/** Unique constraints and indexes that may start with something else: none so far. */
const notByFleet: string[] = [];

describe('keys', () => {
  test('every table has a primary key', async () => {
    expect(
      await names(
        `select relname from pg_class c where ${inSchema} and relkind in ('r', 'p') and not exists
           (select 1 from pg_index i where i.indrelid = c.oid and i.indisprimary)`,
      ),
    ).toEqual([]);
  });

  test('every primary key, unique and exclusion constraint starts with fleet_id', async () => {
    const starts = (first: string) =>
      `select c.relname::text from pg_index i join pg_class c on c.oid = i.indexrelid
       join pg_attribute a on a.attrelid = i.indrelid and a.attnum = i.indkey[0]
       where c.${inSchema} and (i.indisunique or i.indisexclusion) and a.attname ${first}
       order by 1`;
    expect((await names(starts(`= 'fleet_id'`))).length).toBeGreaterThan(40);
    expect(await names(starts(`<> 'fleet_id'`))).toEqual(notByFleet);
    // an expression has no column, and would slip through the join
    expect(
      await names(
        `select c.relname from pg_index i join pg_class c on c.oid = i.indexrelid
         where c.${inSchema} and (i.indisunique or i.indisexclusion) and i.indkey[0] = 0`,
      ),
    ).toEqual([]);
  });

  test('every exclusion compares fleets for equality', async () => {
    const first = `select conname::text as name, conexclop[1]::regoperator::text as operator
      from pg_constraint where connamespace = 'liftwright'::regnamespace and contype = 'x'`;
    const exclusions = await ask(first);
    expect(exclusions.length).toBeGreaterThanOrEqual(4);
    for (const exclusion of exclusions) {
      expect(exclusion.operator, String(exclusion.name)).toBe('=(integer,integer)');
    }
  });

  test('every foreign key takes fleet_id to fleet_id', async () => {
    const keys = `from pg_constraint k where connamespace = 'liftwright'::regnamespace
      and contype = 'f'`;
    expect((await names(`select conname ${keys}`)).length).toBeGreaterThan(25);
    expect(
      await names(
        `select conname ${keys} and not exists (
           select 1 from unnest(conkey, confkey) p (here, there)
           join pg_attribute a on a.attrelid = k.conrelid and a.attnum = p.here
           join pg_attribute b on b.attrelid = k.confrelid and b.attnum = p.there
           where a.attname = 'fleet_id' and b.attname = 'fleet_id')`,
      ),
    ).toEqual([]);
  });
});

describe('functions', () => {
  const ours = `from pg_proc p where pronamespace = 'liftwright'::regnamespace and not exists
    (select 1 from pg_depend d where d.objid = p.oid and d.deptype = 'e')`;

  test('definers belong to a role without login, and fix where they look', async () => {
    expect(
      await ask(
        `select proname::text as name, proowner::regrole::text as owner, proconfig[1] as path
         ${ours} and prosecdef order by 1`,
      ),
    ).toEqual(
      [
        ['compact_runs', 'lw_owner'],
        ['cut_line', 'lw_owner'],
        ['delete_fleet_batch', 'lw_owner'],
        ['detach_readings', 'lw_owner'],
        ['ensure_reading_partitions', 'lw_owner'],
        ['found_first_fleet', 'lw_owner'],
        ['resolve_api_key', 'lw_keyring'],
        ['streams_to_compact', 'lw_owner'],
      ].map(([name, owner]) => ({ name, owner, path: 'search_path=liftwright, pg_temp' })),
    );
  });

  test('everyone may call only the harmless ones', async () => {
    expect(
      await names(
        `select proname ${ours} and exists (select 1 from
           aclexplode(coalesce(proacl, acldefault('f', proowner))) a where a.grantee = 0)
         order by 1`,
      ),
    ).toEqual(['current_fleets', 'is_span', 'next_habit_ms']);
  });
});
