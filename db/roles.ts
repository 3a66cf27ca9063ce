import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import type { Log } from '../src/log.ts';
import { OperatorError } from '../src/operator-error.ts';
import { errorCode } from './connect.ts';
import {
  LOGIN_ROLES,
  type LoginRole,
  loginProblem,
  OWNING_ROLES,
  rolePassword,
  scramVerifier,
} from './role-login.ts';

export { LOGIN_ROLES, type LoginRole, rolePassword, roleUrl } from './role-login.ts';

/** The login user lacks a right; the message says which and what an administrator can do. */
export class RoleError extends OperatorError {
  override name = 'RoleError';
}

/** Another database of the cluster did the same at the same moment. */
const RACES = new Set(['42710', '23505', '42P06', 'XX000', '40P01', '40001']);

/** Runs a statement on a shared catalogue; races with other databases are tried again. */
async function settle(client: pg.Client, sql: string): Promise<void> {
  for (let attempt = 0; ; attempt += 1) {
    try {
      await client.query(sql);
      return;
    } catch (error) {
      const code = errorCode(error);
      if (code === '42710' || code === '42P06') return;
      if (!RACES.has(code) || attempt >= 20) throw error;
      await sleep(20 + 15 * attempt);
    }
  }
}

const ident = (name: string) => pg.escapeIdentifier(name);

const createOwning = (role: string) => `create role ${role} nologin noinherit`;
const createLogin = (ownerUrl: string, role: LoginRole) =>
  `create role ${role} login noinherit password '${scramVerifier(rolePassword(ownerUrl, role))}'`;

/** What an administrator may run when the login user may not create roles. */
export function rolesSql(ownerUrl: string, loginUser: string): string {
  return [
    ...OWNING_ROLES.map(createOwning),
    ...LOGIN_ROLES.map((role) => createLogin(ownerUrl, role)),
    'grant lw_keyring to lw_owner',
    `grant lw_owner, lw_queue to ${ident(loginUser)}`,
  ]
    .map((line) => `${line};\n`)
    .join('');
}

interface Rights {
  user: string;
  database: string;
  isSuper: boolean;
}

async function whoAmI(client: pg.Client): Promise<Rights> {
  const { rows } = await client.query<Rights>(
    `select current_user::text as user, current_database()::text as database, rolsuper as "isSuper"
     from pg_roles where rolname = current_user`,
  );
  return rows[0]!;
}

async function ensureExist(client: pg.Client, ownerUrl: string, me: Rights): Promise<void> {
  const names = [...OWNING_ROLES, ...LOGIN_ROLES];
  const { rows } = await client.query<{
    name: string;
    rolsuper: boolean;
    rolbypassrls: boolean;
    rolinherit: boolean;
    rolcanlogin: boolean;
  }>(
    `select rolname::text as name, rolsuper, rolbypassrls, rolinherit, rolcanlogin
     from pg_roles where rolname = any ($1)`,
    [names],
  );
  const found = new Map(rows.map((row) => [row.name, row]));
  try {
    for (const role of OWNING_ROLES) if (!found.has(role)) await settle(client, createOwning(role));
    for (const role of LOGIN_ROLES) {
      if (!found.has(role)) await settle(client, createLogin(ownerUrl, role));
    }
    for (const row of rows) {
      const login = (LOGIN_ROLES as readonly string[]).includes(row.name);
      const wrong = [
        row.rolsuper ? 'nosuperuser' : '',
        row.rolbypassrls ? 'nobypassrls' : '',
        row.rolinherit ? 'noinherit' : '',
        row.rolcanlogin === login ? '' : login ? 'login' : 'nologin',
      ].filter((word) => word !== '');
      if (wrong.length > 0) await settle(client, `alter role ${row.name} ${wrong.join(' ')}`);
    }
  } catch (error) {
    if (errorCode(error) !== '42501') throw error;
    throw new RoleError(
      `The database user ${me.user} may not create or change the roles that the service runs as. ` +
        `Either let it (ALTER ROLE ${ident(me.user)} CREATEROLE), or have an administrator run ` +
        'the output of `npm run --silent migrate -- --roles-sql` on that server, and start again.',
    );
  }
}

/** Lets the login user act as `role`; a superuser may already. */
async function ensureMember(client: pg.Client, role: string, me: Rights): Promise<void> {
  try {
    await client.query(`set role ${role}`);
    await client.query('reset role');
    return;
  } catch (error) {
    if (errorCode(error) !== '42501') throw error;
  }
  await grantRole(client, role, ident(me.user), me);
}

async function grantRole(client: pg.Client, role: string, to: string, me: Rights): Promise<void> {
  try {
    await settle(client, `grant ${role} to ${to}`);
  } catch (error) {
    if (errorCode(error) !== '42501') throw error;
    throw new RoleError(
      `The database user ${me.user} may not act as ${role}, which exists on this server already. ` +
        `An administrator must run: GRANT lw_owner, lw_queue TO ${ident(me.user)}; ` +
        'GRANT lw_keyring TO lw_owner;',
    );
  }
}

async function ensureKeyring(client: pg.Client, me: Rights): Promise<void> {
  // For `alter function … owner to lw_keyring` in a migration.
  const { rows } = await client.query<{ member: boolean }>(
    "select pg_has_role('lw_owner', 'lw_keyring', 'MEMBER') as member",
  );
  if (rows[0]?.member !== true) await grantRole(client, 'lw_keyring', 'lw_owner', me);
}

/** Rights on the database itself; a clone of a template does not inherit them. */
export async function grantDatabase(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ name: string; done: boolean }>(
    `select current_database()::text as name,
            has_database_privilege('lw_app', oid, 'CONNECT')
            and has_database_privilege('lw_batcher', oid, 'CONNECT')
            and has_database_privilege('lw_scheduler', oid, 'CONNECT')
            and has_database_privilege('lw_queue', oid, 'CONNECT')
            and has_database_privilege('lw_queue', oid, 'TEMPORARY')
            and not has_database_privilege('lw_queue', oid, 'CREATE')
            and datacl is not null
            and not exists (select 1 from aclexplode(datacl) where grantee = 0) as done
     from pg_database where datname = current_database()`,
  );
  if (rows[0]?.done !== false) return;
  const database = ident(rows[0].name);
  await settle(client, `revoke all on database ${database} from public`);
  await settle(client, `grant connect on database ${database} to ${LOGIN_ROLES.join(', ')}`);
  // The queue holds bulk results in temporary tables. Its schema is made for it: the right to make
  // more would be the right to put an extension or a schema in others' way.
  await settle(client, `revoke create on database ${database} from lw_queue`);
  await settle(client, `grant temporary on database ${database} to lw_queue`);
}

async function ensureSchemas(client: pg.Client, me: Rights): Promise<void> {
  const { rows } = await client.query<{ name: string; owner: string }>(
    `select nspname::text as name, pg_get_userbyid(nspowner)::text as owner from pg_namespace
     where nspname in ('liftwright', 'bullmq', 'lw_meta')`,
  );
  const wanted = { liftwright: 'lw_owner', lw_meta: 'lw_owner', bullmq: 'lw_queue' };
  for (const [schema, owner] of Object.entries(wanted)) {
    const found = rows.find((row) => row.name === schema);
    if (found === undefined) {
      await settle(client, `create schema ${schema} authorization ${owner}`);
    } else if (found.owner !== owner) {
      throw new RoleError(
        `The database ${me.database} has a schema "${schema}" that belongs to ${found.owner}, ` +
          `not to ${owner}. Use another database, or: ALTER SCHEMA ${schema} OWNER TO ${owner};`,
      );
    }
  }
  const usage = await client.query<{ done: boolean }>(
    `select bool_and(has_schema_privilege(role, 'liftwright', 'USAGE')) as done
     from unnest('{lw_app,lw_batcher,lw_scheduler,lw_keyring}'::text[]) as role`,
  );
  if (usage.rows[0]?.done !== true) {
    await client.query(
      `set role lw_owner;
       grant usage on schema liftwright to lw_app, lw_batcher, lw_scheduler, lw_keyring;
       reset role`,
    );
  }
  const extension = await client.query("select 1 from pg_extension where extname = 'btree_gist'");
  if (!extension.rowCount) {
    // A trusted extension: who may create in the database may make it, in a schema of theirs.
    await settle(client, 'create extension if not exists btree_gist with schema liftwright');
  }
  const open = await client.query(
    `select 1 from pg_namespace n where nspname = 'public'
       and exists (select 1 from aclexplode(coalesce(nspacl, acldefault('n', nspowner)))
                   where grantee = 0)
       and pg_has_role(nspowner, 'USAGE')`,
  );
  if (open.rowCount) await settle(client, 'revoke all on schema public from public');
}

async function ensureLogins(
  client: pg.Client,
  ownerUrl: string,
  me: Rights,
  log: Log,
): Promise<void> {
  const check = async (role: LoginRole) => {
    const problem = await loginProblem(ownerUrl, role);
    return problem === null ? [] : [{ role, problem }];
  };
  const failed = (await Promise.all(LOGIN_ROLES.map(check))).flat();
  for (const { role, problem } of failed) {
    if (errorCode(problem) === '28P01') {
      const verifier = scramVerifier(rolePassword(ownerUrl, role));
      try {
        await settle(client, `alter role ${role} password '${verifier}'`);
        log.warn(
          { role },
          `gave ${role} the password that follows from the owner's in DATABASE_URL`,
        );
      } catch (error) {
        if (errorCode(error) !== '42501') throw error;
      }
    }
    const still = await loginProblem(ownerUrl, role);
    if (still !== null) {
      throw new RoleError(
        `The service cannot log in to database ${me.database} as ${role}: ${still.message}. The ` +
          'run-time roles need a password login (pg_hba.conf) on the address of DATABASE_URL. ' +
          'Their passwords follow from the password in DATABASE_URL: two services on one server ' +
          'must use the same owner password, and after a change of it `npm run migrate` must be ' +
          'able to change theirs (or an administrator: `npm run --silent migrate -- --roles-sql`).',
      );
    }
  }
}

/**
 * Makes sure of roles, schemas and rights; repeatable, and harmless beside others that do the same
 * in other databases of the cluster. Holds no transaction; the caller holds the migration lock.
 * @throws RoleError when the login user may not, or an existing schema is somebody else's.
 */
export async function ensureRoles(client: pg.Client, ownerUrl: string, log: Log): Promise<void> {
  const me = await whoAmI(client);
  try {
    await ensureExist(client, ownerUrl, me);
    await ensureMember(client, 'lw_owner', me);
    await ensureMember(client, 'lw_queue', me);
    await ensureKeyring(client, me);
    await grantDatabase(client);
    await ensureSchemas(client, me);
  } catch (error) {
    if (errorCode(error) !== '42501') throw error;
    throw new RoleError(
      `The database user ${me.user} lacks a right on database ${me.database}: ` +
        `${error instanceof Error ? error.message : error}. It should own the database ` +
        `(ALTER DATABASE ${ident(me.database)} OWNER TO ${ident(me.user)}).`,
    );
  }
  await ensureLogins(client, ownerUrl, me, log);
  log.debug({ database: me.database }, 'roles, schemas and rights are in place');
}
