import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import type { Log } from '../src/log.ts';
import { OperatorError } from '../src/operator-error.ts';

/** SQLSTATE or system code of an error, '' when it has none. */
export const errorCode = (error: unknown): string =>
  String((error as { code?: unknown } | null)?.code ?? '');

/** The database cannot be used; the message says why, without the password. */
export class ConnectError extends OperatorError {
  override name = 'ConnectError';
}

/** Not there yet, or full for the moment: a database that starts beside us. */
const PASSING = new Set(
  'ECONNREFUSED ECONNRESET ETIMEDOUT ENOTFOUND EAI_AGAIN EPIPE 57P03 53300 57P01'.split(' '),
);

export interface ConnectOptions {
  log: Log;
  /** How long a database that cannot be reached is waited for. Default 30 s. */
  waitMs?: number;
}

/**
 * Connects as the owner of the schema, waiting for a database that is only just starting.
 * The caller ends the client.
 * @throws ConnectError when it cannot.
 */
export async function connectOwner(ownerUrl: string, options: ConnectOptions): Promise<pg.Client> {
  const deadline = AbortSignal.timeout(options.waitMs ?? 30_000);
  for (let attempt = 0; ; attempt += 1) {
    const client = new pg.Client({
      connectionString: ownerUrl,
      connectionTimeoutMillis: 5_000,
      keepAlive: true,
      application_name: 'liftwright migrate',
    });
    client.on('error', () => undefined);
    try {
      await client.connect();
      return client;
    } catch (error) {
      await client.end().catch(() => undefined);
      const reason = error instanceof Error ? error.message || errorCode(error) : String(error);
      const timedOut = /timeout/i.test(reason);
      if (deadline.aborted || !(timedOut || PASSING.has(errorCode(error)))) {
        throw new ConnectError(
          `No connection to the database at ${withoutPassword(ownerUrl)} (DATABASE_URL): ${reason}`,
          { cause: error },
        );
      }
      if (attempt === 0) options.log.warn({ reason }, 'the database does not answer; waiting');
      await sleep(Math.min(100 * 2 ** attempt, 2_000));
    }
  }
}

/** An address that may be shown. */
export function withoutPassword(url: string): string {
  return url
    .replace(/^([a-z]+:\/\/[^/?#:@]*):[^@/]*@/i, '$1@')
    .replace(/(password=)[^&]*/gi, '$1…');
}
