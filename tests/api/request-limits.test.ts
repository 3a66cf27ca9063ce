import type { FastifyInstance } from 'fastify';
import { v7 as uuid } from 'uuid';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { RequestLimiter } from '../../src/flows/limit-requests.ts';
import { silentLog } from '../../src/log.ts';
import { openPools } from '../../src/store/pool.ts';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client } from '../helpers/client.ts';
import { FleetBuilder, startMs } from '../helpers/fleet.ts';
import { parseItemList } from '../helpers/structured-fields.ts';

const app = useApp();
const most = 100;
const twentieth = most / 20;
let here: FastifyInstance;
let there: FastifyInstance;
beforeAll(async () => {
  app.limits = { gateway: most, people: most, integrator: 0 };
  here = await app.another();
  there = await app.another();
});
afterAll(() => Promise.all([here.close(), there.close()]));
beforeEach(() => app.clock.set(startMs));

/** A new key's client at each of two processes of the service. */
async function both(role: 'lead' | 'integrator' = 'lead'): Promise<[Client, Client]> {
  const { key } = await app.as(role);
  return [app.client(key, here), app.client(key, there)];
}
const ask = (client: Client) => client.get('/v1/imports/template');
const limitOf = ({ headers }: Answer) => parseItemList(headers.ratelimit as string)[0]!;
const shared = async () =>
  (await app.db.owner.query('select count(*)::int as n from liftwright.request_use')).rows[0].n;

/** How many of so many requests pass, shared out by turns. */
async function passed(clients: readonly Client[], times: number): Promise<number> {
  let passing = 0;
  for (let i = 0; i < times; i += 1) {
    if ((await ask(clients[i % clients.length]!)).status === 200) passing += 1;
  }
  return passing;
}

describe('the fields', () => {
  test('are structured lists: the policy, and what is left of it for how long', async () => {
    const [client] = await both();
    const answers = [await ask(client), await ask(client)];
    for (const { headers } of answers) {
      expect(parseItemList(headers['ratelimit-policy'] as string)).toEqual([
        { value: 'people', params: { q: most, w: 60 } },
      ]);
    }
    const seconds = expect.toSatisfy((t: number) => Number.isInteger(t) && t >= 1 && t <= 60);
    expect(answers.map(limitOf)).toEqual([
      { value: 'people', params: { r: most - 1, t: seconds } },
      { value: 'people', params: { r: most - 2, t: seconds } },
    ]);
  });

  test('come with refusals too, and count them', async () => {
    const gateway = await new FleetBuilder(app).gateway();
    const client = app.client(gateway.client.key, here);
    const refused = await ask(client);
    expect([refused.status, refused.code]).toEqual([403, 'role_not_allowed']);
    expect(limitOf(refused)).toMatchObject({ value: 'gateway', params: { r: most - 1 } });
  });

  test('are absent without a limit, and where no key is asked for', async () => {
    const [client] = await both('integrator');
    for (const answer of [await ask(client), await client.get('/healthz')]) {
      expect([answer.status, answer.headers.ratelimit]).toEqual([200, undefined]);
    }
  });

  test.each(['', ',', '"a', '"a";=1', '"a";q=', '"a";Q=1', '"a",', '"a" "b"', '"a";q=1.5.2'])(
    'the reader of fields refuses %j',
    (field) => expect(() => parseItemList(field)).toThrow(),
  );
});

describe('a limit', () => {
  test('is kept to one process exactly, then refused until the window ends', async () => {
    const [client] = await both();
    expect(await passed([client], most + 20)).toBe(most);
    const refused = await ask(client);
    const wait = Number(refused.headers['retry-after']);
    expect([refused.status, refused.code]).toEqual([429, 'rate_limited']);
    expect(limitOf(refused).params).toEqual({ r: 0, t: wait });
    app.clock.set(startMs + wait * 1000 - 1000);
    expect((await ask(client)).status).toBe(429);
    app.clock.set(startMs + wait * 1000);
    expect((await ask(client)).status).toBe(200);
  });

  test('is shared by two processes, to a twentieth', async () => {
    const clients = await both();
    const passing = await passed(clients, 2 * most);
    expect(passing).toBeGreaterThanOrEqual(most - twentieth);
    expect(passing).toBeLessThanOrEqual(most + twentieth);
    for (const client of clients) expect((await ask(client)).status).toBe(429);
  });

  test('is seen by a process that comes to it late', async () => {
    const [first, second] = await both();
    expect(await passed([first], most)).toBe(most);
    expect(await passed([second], most)).toBeLessThanOrEqual(twentieth);
  });

  test('holds for requests at once', async () => {
    const clients = await both();
    const answers = await Promise.all(
      Array.from({ length: 3 * most }, (_, i) => ask(clients[i % 2]!)),
    );
    const passing = answers.filter(({ status }) => status === 200).length;
    expect(passing).toBeGreaterThanOrEqual(most - twentieth);
    expect(passing).toBeLessThanOrEqual(most + twentieth);
    expect(answers.filter(({ status }) => status !== 200 && status !== 429)).toEqual([]);
  });

  test('is each key’s own, and a quiet key costs the database nothing', async () => {
    const before = await shared();
    const [loud] = await both();
    const [quiet] = await both();
    await passed([loud], most + 1);
    expect(await passed([quiet], twentieth)).toBe(twentieth);
    expect((await shared()) - before).toBe(1);
  });

  test('begins anew when the clock of the others was far ahead', async () => {
    const [first, second] = await both();
    app.clock.set(startMs + 3_600_000);
    await passed([first], most + 1);
    app.clock.set(startMs);
    expect(await passed([second], most + 1)).toBe(most);
  });
});

test('without the database requests pass, and that is logged once each time', async () => {
  const gone = new URL(app.db.ownerUrl);
  gone.port = '1';
  const pools = { away: openPools(gone.href, { log: silentLog }), there: app.db.pools };
  const lines: string[] = [];
  const log = { ...silentLog, warn: (_: object, message: string) => lines.push(message) };
  const caller = { fleetId: 1, keyId: uuid(), role: 'lead' as const };
  const limits = { gateway: 0, people: most, integrator: 0 };
  let pool = pools.away.app;
  const limiter = new RequestLimiter({
    get pool() {
      return pool;
    },
    clock: app.clock,
    limits,
    log,
  });
  const count = async (times: number) => {
    let passing = 0;
    for (let i = 0; i < times; i += 1) if ((await limiter.count(caller))?.allowed) passing += 1;
    return passing;
  };
  expect(await count(2 * most)).toBe(2 * most);
  app.clock.set(startMs + 120_000);
  expect(await count(2 * most)).toBe(2 * most);
  expect(lines.length).toBe(1);
  pool = pools.there.app;
  app.clock.set(startMs + 240_000);
  expect(await count(2 * most)).toBe(most);
  pool = pools.away.app;
  app.clock.set(startMs + 360_000);
  expect(await count(2 * most)).toBe(2 * most);
  expect(lines.length).toBe(2);
  await pools.away.close();
});
