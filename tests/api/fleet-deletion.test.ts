import { beforeAll, describe, expect, test } from 'vitest';
import { deleteLeaving } from '../../src/flows/leave-fleet.ts';
import { withFleet } from '../../src/store/pool.ts';
import { useApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, hourMs, run, startMs } from '../helpers/fleet.ts';
import { relations } from '../store/two-fleets.ts';

const app = useApp();
let leaving: FleetBuilder;
let staying: Client;
let leavingId: number;

async function fill(client: Client): Promise<FleetBuilder> {
  const fleet = new FleetBuilder(app, client);
  const patternId = await fleet.pattern(greaseTask);
  const truck = await fleet.truck({ patternId });
  await truck.gateway.one(run(0, [startMs, 10], [startMs + 10 * hourMs, 15]));
  await fleet.done(truck.unitId, 'grease', startMs);
  const headers = { 'idempotency-key': 'once' };
  await client.made('/v1/yards', { name: 'South', timeZone: 'UTC' }, headers);
  await app.settle();
  return fleet;
}

/** Rows and bytes of each table by fleet, as the superuser sees them; the tombstone apart. */
async function sizes(fleetId: number): Promise<Record<string, string>> {
  const found: Record<string, string> = {};
  for (const { name } of await relations(app.db.owner)) {
    if (name === 'fleet_deletion') continue;
    const { rows } = await app.db.owner.query(
      `select count(*) || ' rows, ' || coalesce(sum(length(t::text)), 0) || ' characters' as size
       from liftwright.${name} t where fleet_id = $1`,
      [fleetId],
    );
    found[name] = rows[0].size;
  }
  return found;
}
const nothing = (found: Record<string, string>) =>
  Object.entries(found).filter(([, size]) => size !== '0 rows, 0 characters');

beforeAll(async () => {
  await app.goTo(startMs + dayMs);
  staying = app.admin;
  await fill(staying);
  leaving = await fill(await app.otherFleet());
  await fill(leaving.client);
  const { rows } = await app.db.owner.query('select max(fleet_id) as id from liftwright.fleet');
  leavingId = rows[0].id;
});

describe('a fleet that leaves', () => {
  const url = '/v1/fleet/deletion';
  let token: string;
  let before: Record<string, string>;

  test('says what will be deleted, and deletes nothing', async () => {
    const asked = await leaving.client.made(url, {});
    token = asked.token;
    expect(asked).toMatchObject({ fleetId: leavingId, name: 'Fleet two' });
    expect(asked.rows).toMatchObject({ unit: 2, asset: 2, gateway: 2, reading_run: 2, fleet: 1 });
    await app.goTo(app.clock.nowMs() + dayMs);
    expect(await deleteLeaving(app.deps)).toBe(0);
    expect(nothing(await sizes(leavingId)).length).toBeGreaterThan(20);
  });

  test('is not deleted by half a confirmation', async () => {
    const confirm = async (body: object) =>
      (await leaving.client.post(`${url}/confirm`, body)).code;
    // a day has gone by
    expect(await confirm({ token, name: 'Fleet two' })).toBe('confirmation_invalid');
    ({ token } = await leaving.client.made(url, {}));
    expect(await confirm({ token: 'x', name: 'Fleet two' })).toBe('confirmation_invalid');
    expect(await confirm({ token, name: 'fleet two' })).toBe('confirmation_invalid');
    expect((await staying.post(`${url}/confirm`, { token, name: 'Fleet one' })).code).toBe(
      'confirmation_invalid',
    );
    expect((await (await app.as('lead')).post(url, {})).code).toBe('role_not_allowed');
  });

  test('is refused from then on', async () => {
    await leaving.client.made(`${url}/confirm`, { token, name: 'Fleet two' });
    // a process that has just seen the key knows it for five seconds
    expect((await leaving.client.post(url, {})).code).toBe('fleet_leaving');
    app.clock.set(app.clock.nowMs() + 5_001);
    expect((await leaving.client.get('/v1/units')).code).toBe('key_unknown');
    const other = await app.another();
    expect((await app.client(leaving.client.key, other).get('/v1/units')).code).toBe('key_unknown');
    await other.close();
    expect(await deleteLeaving(app.deps)).toBe(0);
  });

  test('goes in batches, taken up again where they ended', async () => {
    app.clock.set(app.clock.nowMs() + 120_000);
    before = await sizes(1);
    expect(nothing(before).length).toBeGreaterThan(20);
    const whole = nothing(await sizes(leavingId));
    const stopped = AbortSignal.abort();
    expect(await deleteLeaving(app.deps, stopped)).toBe(0);
    expect(await deleteLeaving(app.deps, undefined, 3)).toBe(0);
    const midway = nothing(await sizes(leavingId)).map(([name]) => name);
    expect(midway).toContain('fleet');
    expect(midway.length).toBeLessThan(whole.length);
    expect(await deleteLeaving(app.deps)).toBe(1);
  });

  test('is gone from every table; the other is as it was', async () => {
    expect(nothing(await sizes(leavingId))).toEqual([]);
    expect(await sizes(1)).toEqual(before);
  });

  test('leaves when, and how many rows, and nothing more', async () => {
    const { rows } = await app.db.owner.query(
      'select * from liftwright.fleet_deletion where fleet_id = $1',
      [leavingId],
    );
    expect(rows[0]).toMatchObject({ token_sha256: null, finished_at: expect.any(Date) });
    expect(rows[0].deleted).toMatchObject({ unit: 2, fleet: 1 });
    expect(JSON.stringify(rows[0])).not.toContain('Fleet two');
  });

  test('what a straggler writes behind it is deleted too', async () => {
    await withFleet(app.db.pools.app, [leavingId], (tx) =>
      tx.query(
        `insert into liftwright.unit_mark (fleet_id, shard, unit_id, recorded_at)
         values ($1, 0, gen_random_uuid(), 'epoch')`,
        [leavingId],
      ),
    );
    await deleteLeaving(app.deps);
    expect(nothing(await sizes(leavingId))).toEqual([]);
  });
});

describe('the function that deletes', () => {
  const call = (session: number, fleetId: number, most = 10) =>
    withFleet(app.db.pools.app, [session], (tx) =>
      tx.query('select * from liftwright.delete_fleet_batch($1, $2)', [fleetId, most]),
    ).then(
      () => '',
      (error: { code: string }) => error.code,
    );

  test('touches no fleet but the one of its session, once that is confirmed', async () => {
    expect(await call(1, 1)).toBe('42501');
    expect(await call(1, leavingId)).toBe('42501');
    expect(await call(leavingId, 1)).toBe('42501');
    expect(await call(leavingId, leavingId, 0)).toBe('22023');
    const both = withFleet(app.db.pools.app, [1, leavingId], (tx) =>
      tx.query('select * from liftwright.delete_fleet_batch($1, 10)', [leavingId]),
    );
    await expect(both).rejects.toMatchObject({ code: '42501' });
  });
});
