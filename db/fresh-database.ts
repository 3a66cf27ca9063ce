import type pg from 'pg';
import type { Log } from '../src/log.ts';
import { connectOwner } from './connect.ts';

async function asOwner<T>(ownerUrl: string, log: Log, ask: (owner: pg.Client) => Promise<T>) {
  const owner = await connectOwner(ownerUrl, { log });
  try {
    return await ask(owner);
  } finally {
    await owner.end();
  }
}

/**
 * Drops a database of this server with all that is in it, whoever uses it, and makes it anew,
 * empty; answers its address. The name is the caller's own word, never input.
 */
export async function renewDatabase(ownerUrl: string, name: string, log: Log): Promise<string> {
  await asOwner(ownerUrl, log, async (owner) => {
    await owner.query(`drop database if exists ${name} with (force)`);
    await owner.query(`create database ${name}`);
  });
  const url = new URL(ownerUrl);
  url.pathname = `/${name}`;
  return url.href;
}

/** Whether a database was used before: a fleet is in it. */
export const holdsFleet = (ownerUrl: string, log: Log): Promise<boolean> =>
  asOwner(ownerUrl, log, async (owner) => {
    const { rows } = await owner.query(
      "select to_regclass('liftwright.fleet') is not null as there",
    );
    if (!rows[0].there) return false;
    return (await owner.query('select from liftwright.fleet limit 1')).rowCount === 1;
  });
