import pg from 'pg';
import { silentLog } from '../../src/log.ts';
import { openPools } from '../../src/store/pool.ts';
import { freshDatabase } from '../helpers/db.ts';
import { type Outcome, runScenario, type Scenario } from './scenario.ts';

/** A connection of the owner that comes back after the server was away. */
export function ownerPool(ownerUrl: string): pg.Pool {
  const pool = new pg.Pool({ connectionString: ownerUrl, max: 2, connectionTimeoutMillis: 5_000 });
  pool.on('error', () => undefined);
  pool.on('connect', (client) => client.on('error', () => undefined));
  return pool;
}

type Given = 'env' | 'owner' | 'ownerUrl' | 'pools';
export type Plan = Omit<Scenario, Given> & { env?: Record<string, string> };

/** Runs a scenario in a database of its own. */
export async function inFreshDatabase(plan: Plan): Promise<Outcome> {
  const database = await freshDatabase();
  const owner = ownerPool(database.ownerUrl);
  let outcome: Outcome;
  try {
    const { ownerUrl, pools } = database;
    const env = { DATABASE_URL: ownerUrl, ...plan.env };
    outcome = await runScenario({ ...plan, env, owner, ownerUrl, pools });
  } catch (error) {
    await owner.end();
    const end = await database.keep();
    throw new Error(`${error instanceof Error ? error.message : error}\nDatabase: ${end}`);
  }
  await owner.end();
  await database.drop();
  return outcome;
}

/** Runs a scenario on a server that the scenario may kill. */
export async function onServer(plan: Plan, ownerUrl: string): Promise<Outcome> {
  const owner = ownerPool(ownerUrl);
  const pools = openPools(ownerUrl, { log: silentLog });
  try {
    return await runScenario({ ...plan, env: plan.env ?? {}, owner, ownerUrl, pools });
  } finally {
    await pools.close();
    await owner.end();
  }
}
