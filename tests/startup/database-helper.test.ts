import pg from 'pg';
import { describe, expect, it } from 'vitest';
import { withFleet } from '../../src/store/pool.ts';
import { freshDatabase, useDatabase } from '../helpers/db.ts';

describe('a database per test file', () => {
  const db = useDatabase();

  it('is a migrated clone that the run-time roles can use', async () => {
    const { rows } = await withFleet(db.pools.app, 1, (tx) =>
      tx.query('select current_user::text as role, count(*)::int as fleets from fleet group by 1'),
    );
    expect(rows).toEqual([]);
    const ledger = await db.owner.query('select count(*)::int as n from lw_meta.migration');
    expect(ledger.rows[0]?.n).toBeGreaterThan(0);
  });

  it('lets nobody in but the run-time roles and the owner', async () => {
    const { rows } = await db.owner.query(
      'select grantee from pg_database, aclexplode(datacl) where datname = $1 and grantee = 0',
      [db.name],
    );
    expect(rows).toEqual([]);
  });

  it('is separate from every other one', async () => {
    const other = await freshDatabase();
    await other.owner.query(
      `insert into liftwright.fleet (fleet_id, name, created_at)
       values (7, 'Elsewhere', '2026-01-01Z')`,
    );
    const { rows } = await db.owner.query('select count(*)::int as n from liftwright.fleet');
    expect(rows[0]?.n).toBe(0);
    await other.drop();
  });

  it('fails when a connection is left open', async () => {
    const other = await freshDatabase();
    const leak = new pg.Client({ connectionString: other.ownerUrl, application_name: 'the leak' });
    leak.on('error', () => undefined);
    await leak.connect();
    await expect(other.drop()).rejects.toThrow(/left open:\s+the leak/);
    await leak.end().catch(() => undefined);
  });
});
