import { setTimeout as sleep } from 'node:timers/promises';
import { pino } from 'pino';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createLifecycle } from '../../src/lifecycle.ts';
import { silentLog } from '../../src/log.ts';
import { type Service, startService } from '../../src/service.ts';
import { useDatabase } from '../helpers/db.ts';

const database = useDatabase();
let service: Service;
let adminKey: string;
const exits: number[] = [];

const start = (role: 'all' | 'api' | 'worker'): Promise<Service> =>
  startService({
    config: {
      port: 0,
      host: '127.0.0.1',
      dataDir: '/nowhere',
      databaseUrl: database.ownerUrl,
      redisUrl: null,
      adminKey: null,
      groupPosts: true,
      readingsKeepMonths: null,
      limits: { gateway: 0, people: 0, integrator: 0 },
      logLevel: 'silent',
      role,
    },
    log: pino({ level: 'silent' }),
    lifecycle: createLifecycle({ log: silentLog, exit: (code) => exits.push(code) }),
  });

beforeAll(async () => {
  service = await start('all');
  adminKey = service.adminKey as string;
});
afterAll(() => service.stop());

// biome-ignore lint/suspicious/noExplicitAny: a test reads whatever was answered
async function call(method: string, path: string, body?: unknown, key = adminKey): Promise<any> {
  const response = await fetch(`${service.url}${path}`, {
    method,
    headers: {
      authorization: `Bearer ${key}`,
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  const answer = await response.json();
  expect(response.ok, JSON.stringify(answer)).toBe(true);
  return answer;
}

const point = { key: 'p', kind: 'pin', name: 'Pin', side: 'centre', place: 'Behind the crossbar' };
const task = { key: 'grease', name: 'Grease', points: ['p'], every: { pto_hours: 10, days: 30 } };
const document = {
  name: 'Lift',
  assetKind: 'lift',
  servicePoints: [point],
  tasks: [task],
  wearParts: [],
};

describe('the whole service over HTTP, with its own queue and workers', () => {
  test('from a post of readings to the bring-in list and the history', async () => {
    const nowMs = Date.now();
    const iso = (ms: number) => new Date(ms).toISOString();
    const { yardId } = await call('POST', '/v1/yards', { name: 'North', timeZone: 'UTC' });
    const { unitId } = await call('POST', '/v1/units', { number: '12', homeYardId: yardId });
    const { patternId } = await call('POST', '/v1/patterns', { document });
    const lift = { kind: 'lift', serial: 'S1', patternId };
    const { assetId } = await call('POST', '/v1/assets', lift);
    const { gatewayId, key } = await call('POST', '/v1/gateways', { serial: 'G1' });
    const from = iso(nowMs - 40 * 86_400_000);
    await call('POST', '/v1/installs', { unitId, assetId, from });
    await call('POST', '/v1/installs', { unitId, gatewayId, from });
    const counters = [{ counter: 'pto_hours', meter: 'pto_hours', resolution: 0.05 }];
    await call('POST', '/v1/gateways/me/counters', { counters }, key);
    await call('POST', `/v1/units/${unitId}/tasks/grease/done`, { at: iso(nowMs - 86_400_000) });
    const at = [nowMs - 20 * 3_600_000, nowMs - 60_000];
    const stream = { counter: 'pto_hours', epoch: 0, firstSeq: 0, at, raw: [0, 240] };
    const settled = await call('POST', '/v1/readings', { streams: [stream] }, key);
    expect(settled.streams[0]).toMatchObject({ accepted: 2, contiguous: 1 });

    expect(await service.drain()).toBe(true);
    const list = await call('GET', '/v1/bring-in');
    expect(list.items).toMatchObject([{ unitId, number: '12', status: 'overrun', rank: 3 }]);
    const usage = await call('GET', `/v1/assets/${assetId}/usage`);
    expect(usage.meters[0]).toMatchObject({ total: 12 });
    const { items, last } = await call('GET', '/v1/events?limit=500');
    expect(last).toBe(items.length);
    const types = items.map((event: { type: string }) => event.type);
    expect(types).toEqual(expect.arrayContaining(['task.done', 'task.status_changed']));
  });

  test('a second start founds nothing and shows no key', async () => {
    const worker = await start('worker');
    expect([worker.url, worker.adminKey]).toEqual([null, null]);
    await worker.stop();
    expect(exits).toEqual([0]);
  });

  test('stopping, it answers what it has begun and then takes nothing more', async () => {
    const url = `${service.url}/readyz`;
    expect((await fetch(url)).status).toBe(200);
    const { owner } = database;
    await owner.query('begin');
    await owner.query('lock table liftwright.yard in exclusive mode');
    const slow = call('POST', '/v1/yards', { name: 'Slow', timeZone: 'UTC' });
    await expect
      .poll(
        async () => {
          await owner.query('select pg_stat_clear_snapshot()');
          const { rows } = await owner.query(
            `select 1 from pg_stat_activity
             where datname = current_database() and wait_event_type = 'Lock'`,
          );
          return rows.length;
        },
        { timeout: 20_000 },
      )
      .toBe(1);
    const stopped = service.stop();
    await sleep(50);
    await owner.query('commit');
    expect((await slow).name).toBe('Slow');
    await stopped;
    await expect(fetch(url)).rejects.toThrow();
    expect(exits.at(-1)).toBe(0);
  });
});
