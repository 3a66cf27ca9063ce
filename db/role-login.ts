import { createHash, createHmac, pbkdf2Sync, randomBytes } from 'node:crypto';
import pg from 'pg';

/** Roles that the service logs in as at run time. */
export const LOGIN_ROLES = ['lw_app', 'lw_batcher', 'lw_scheduler', 'lw_queue'] as const;
export type LoginRole = (typeof LOGIN_ROLES)[number];

/** Owner of the schema, and of the function that resolves keys; nobody logs in as them. */
export const OWNING_ROLES = ['lw_owner', 'lw_keyring'] as const;

/** The parts of an address that the URL class cannot change when the host is empty (a socket). */
function splitUrl(ownerUrl: string) {
  const parts = /^(postgres(?:ql)?:\/\/)(?:([^/?#]*)@)?([^/?#@]*)(\/[^?#]*)?(\?[^#]*)?$/i.exec(
    ownerUrl,
  );
  if (parts === null) throw new Error('DATABASE_URL is not a readable PostgreSQL address.');
  const [, scheme = '', login = '', host = '', path = '', query = ''] = parts;
  const cut = login.indexOf(':');
  return {
    scheme,
    host,
    path,
    query: new URLSearchParams(query.slice(1)),
    password: cut < 0 ? '' : decodeURIComponent(login.slice(cut + 1)),
  };
}

/**
 * The password of a run-time role: HMAC-SHA256 of its name under the owner's password, so that
 * each process with the same DATABASE_URL can log in without a stored secret. An owner without a
 * password (trust) gives a fixed key, which is as open as the server is.
 */
export function rolePassword(ownerUrl: string, role: LoginRole): string {
  const { password, query } = splitUrl(ownerUrl);
  const key = password || query.get('password') || 'trust';
  return createHmac('sha256', key).update(role).digest('base64url');
}

/** The owner's address with a run-time role's login. */
export function roleUrl(ownerUrl: string, role: LoginRole): string {
  const { scheme, host, path, query } = splitUrl(ownerUrl);
  query.delete('user');
  query.delete('password');
  const rest = query.size > 0 ? `?${query}` : '';
  return `${scheme}${role}:${rolePassword(ownerUrl, role)}@${host}${path}${rest}`;
}

/** What PostgreSQL stores for a password (RFC 5803); so it, and its log, never see the password. */
export function scramVerifier(password: string): string {
  const rounds = 4_096;
  const salt = randomBytes(16);
  const salted = pbkdf2Sync(password, salt, rounds, 32, 'sha256');
  const hmac = (text: string) => createHmac('sha256', salted).update(text).digest();
  const storedKey = createHash('sha256').update(hmac('Client Key')).digest('base64');
  const serverKey = hmac('Server Key').toString('base64');
  return `SCRAM-SHA-256$${rounds}:${salt.toString('base64')}$${storedKey}:${serverKey}`;
}

/** Tries to log in; null when it works, else the server's answer. */
export async function loginProblem(ownerUrl: string, role: LoginRole): Promise<Error | null> {
  const client = new pg.Client({
    connectionString: roleUrl(ownerUrl, role),
    connectionTimeoutMillis: 10_000,
    application_name: 'liftwright login check',
  });
  client.on('error', () => undefined);
  try {
    await client.connect();
    return null;
  } catch (error) {
    return error instanceof Error ? error : new Error(String(error));
  } finally {
    await client.end().catch(() => undefined);
  }
}
