import { describe, expect, test } from 'vitest';
import { silentLog } from '../../src/log.ts';
import { openPools } from '../../src/store/pool.ts';
import { useApp } from '../helpers/app.ts';
import type { Answer } from '../helpers/client.ts';
import { FleetBuilder, ptoCounter, startMs } from '../helpers/fleet.ts';

const app = useApp();

const refused = (answer: Answer) => [
  answer.status,
  answer.code,
  Number(answer.headers['retry-after']) > 0,
];
const overloaded = [503, 'overloaded', true];

describe('without its database', () => {
  test('every request is answered 503 with a time to come back, and no more', async () => {
    const gone = new URL(app.db.ownerUrl);
    gone.port = '1';
    const pools = openPools(gone.href, { log: silentLog });
    const service = await app.another(pools);
    try {
      const client = app.client(app.admin.key, service);
      const answers = [
        await client.get('/v1/units'),
        await client.post('/v1/yards', { name: 'x', timeZone: 'UTC' }),
        await client.post('/v1/readings', { streams: [] }),
      ];
      for (const answer of answers) {
        expect(refused(answer)).toEqual(overloaded);
        expect(JSON.stringify(answer.body)).not.toMatch(/ECONN|127\.0\.0\.1|:1\b|lw_app|password/);
      }
      expect((await app.client(null, service).get('/healthz')).status).toBe(200);
    } finally {
      await service.close();
      await pools.close();
    }
  });

  test('connections cut under a request: 503, and the next request goes well', async () => {
    const gateway = await new FleetBuilder(app).gateway(ptoCounter);
    await app.db.owner.query('begin');
    await app.db.owner.query('lock table liftwright.unit, liftwright.stream');
    const waiting = [
      app.admin.get('/v1/units'),
      gateway.client.post('/v1/readings', {
        streams: [{ counter: 'pto_hours', epoch: 0, firstSeq: 0, at: [startMs], raw: [1] }],
      }),
    ];
    await expect
      .poll(
        async () => {
          // inside a transaction the first look would be shown again and again
          await app.db.owner.query('select pg_stat_clear_snapshot()');
          const { rows } = await app.db.owner.query(
            `select count(*)::int as n from pg_stat_activity
           where datname = current_database() and wait_event_type = 'Lock'`,
          );
          return rows[0].n;
        },
        { timeout: 20_000 },
      )
      .toBe(2);
    await app.db.owner.query(
      `select pg_terminate_backend(pid) from pg_stat_activity
       where datname = current_database() and wait_event_type = 'Lock'`,
    );
    await app.db.owner.query('rollback');
    for (const answer of await Promise.all(waiting)) expect(refused(answer)).toEqual(overloaded);
    expect((await app.admin.get('/v1/units')).status).toBe(200);
    // what was cut is not stored; sent again, it is
    expect(await gateway.one({ firstSeq: 0, at: [startMs], raw: [1] })).toMatchObject({
      accepted: 1,
    });
  });

  test('a statement beyond its time, and no free connection: 503', async () => {
    const impatient = openPools(app.db.ownerUrl, {
      log: silentLog,
      sizes: { app: 1 },
      statementTimeoutMs: 1_500,
      connectTimeoutMs: 2_500,
    });
    const service = await app.another(impatient);
    await app.db.owner.query('begin');
    try {
      const client = app.client(app.admin.key, service);
      expect((await client.get('/v1/units')).status).toBe(200);
      await app.db.owner.query('lock table liftwright.unit');
      expect(refused(await client.get('/v1/units'))).toEqual(overloaded);
      const held = await impatient.app.connect();
      expect(refused(await client.get('/v1/units'))).toEqual(overloaded);
      held.release();
    } finally {
      await app.db.owner.query('rollback');
      await service.close();
      await impatient.close();
    }
  });
});
