import { randomUUID } from 'node:crypto';
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { countPass } from '../../src/flows/give-competence.ts';
import { withWork } from '../../src/flows/work.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { contract } from '../helpers/contract.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  greaseTask,
  patternOf,
  run,
  type Signing,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';
import { driversLists } from './lists-of-drivers.ts';
import { readinessLists } from './lists-of-readiness.ts';
import { type List, shopLists } from './lists-of-the-shop.ts';
import { wearLists } from './lists-of-wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
let patternId: string;
const truck: Partial<Truck> = {};
const people: { worker?: Signing; trainee?: Signing } = {};
const gateway = () => truck.gateway as Gateway;
let count = 0;
const next = () => {
  count += 1;
  return count;
};

const post = (url: string, body: object) => fleet.client.made(url, body);
const done = () => fleet.done(truck.unitId as string, 'grease', startMs - next() * 60_000);
const install = async () => {
  const at = startMs - 20 * dayMs + next() * 60_000;
  const asset = await fleet.asset('winch');
  return fleet.install(truck.unitId as string, { assetId: asset }, at, { to: text(at + 60_000) });
};

/** A number with two values; answers it. */
async function disputed(): Promise<number> {
  const seq = next();
  const at = startMs - dayMs + seq * 60_000;
  for (const raw of [seq, seq + 1]) await gateway().one(run(seq, [at, raw]));
  return seq;
}

/** Every list with pages, and how a row comes to it. A new one of the contract needs its line. */
const lists: Record<string, List> = {
  ...shopLists({ client: () => fleet.client, truck }),
  ...driversLists({ fleet: () => fleet, yardId: () => yardId, truck, next }),
  ...wearLists(
    () => fleet,
    truck,
    () => yardId,
  ),
  '/v1/yards': { id: ['yardId'], key: 'other', add: () => fleet.yard() },
  '/v1/units': { id: ['unitId'], key: 'text', add: () => fleet.unit(yardId) },
  '/v1/assets': { id: ['assetId'], key: 'id', add: () => fleet.asset('lift') },
  '/v1/gateways': { id: ['gatewayId'], key: 'id', add: () => fleet.gateway() },
  '/v1/installs': { id: ['installId'], key: 'id', add: install },
  '/v1/patterns': {
    id: ['patternId', 'version'],
    key: 'other',
    add: () =>
      next() % 2 === 0
        ? fleet.pattern(greaseTask)
        : post('/v1/patterns', { patternId, document: patternOf(greaseTask) }),
  },
  '/v1/severities': {
    id: ['severityId'],
    key: 'id',
    add: () =>
      post('/v1/severities', { kind: 'dust', unitId: truck.unitId, fromDay: '2026-01-01' }),
  },
  '/v1/bring-in': {
    id: ['unitId'],
    key: 'other',
    add: async () => {
      await fleet.truck({ yardId, patternId });
      await app.settle();
    },
  },
  '/v1/keys': {
    id: ['keyId'],
    key: 'id',
    add: () => post('/v1/keys', { role: 'lead', name: 'x' }),
  },
  '/v1/people': { id: ['personId'], key: 'other', add: () => fleet.person() },
  '/v1/people/{personId}/sign-ins': {
    id: ['signInId'],
    url: () => `/v1/people/${people.worker?.personId}/sign-ins`,
    key: 'id',
    add: async () => {
      const { personId, signature } = people.worker as Signing;
      const phone = await app.as('technician');
      return phone.made(`/v1/people/${personId}/sign-ins`, { pin: signature.pin });
    },
  },
  '/v1/people/{personId}/competences': {
    id: ['competenceId'],
    url: () => `/v1/people/${people.worker?.personId}/competences`,
    key: 'id',
    add: () => {
      const at = startMs - 20 * dayMs + next() * 60_000;
      const during = { from: text(at), to: text(at + 60_000) };
      const given = { competence: 'driving', evidence: 'a course', ...during };
      return post(`/v1/people/${people.worker?.personId}/competences`, given);
    },
  },
  '/v1/people/{personId}/passes': {
    id: ['passId'],
    url: () => `/v1/people/${people.trainee?.personId}/passes`,
    key: 'id',
    add: () =>
      withWork(app.deps, 1, (work) =>
        countPass(work, {
          personId: people.trainee?.personId as string,
          supervisorId: people.worker?.personId as string,
          cause: { kind: 'job_card', id: randomUUID() },
        }),
      ),
  },
  '/v1/assets/{assetId}/dones': {
    id: ['doneId'],
    url: () => `/v1/assets/${truck.liftId}/dones`,
    key: 'id',
    add: done,
  },
  '/v1/assets/{assetId}/hand-readings': {
    id: ['readingId'],
    url: () => `/v1/assets/${truck.liftId}/hand-readings`,
    key: 'id',
    add: () =>
      post(`/v1/assets/${truck.liftId}/hand-readings`, {
        meter: 'lift_cycles',
        value: next(),
        at: text(startMs - dayMs + count * 60_000),
        readBy: 'A. Penn',
      }),
  },
  '/v1/assets/{assetId}/pattern-moves': {
    id: ['moveId'],
    url: () => `/v1/assets/${truck.liftId}/pattern-moves`,
    key: 'id',
    add: async () => {
      const body = { patternId: await fleet.pattern(greaseTask) };
      const headers = { 'if-match': '*' };
      const url = `/v1/assets/${truck.liftId}`;
      return fleet.client.call({ method: 'PATCH', url, body, headers });
    },
  },
  '/v1/assets/{assetId}/usage-entries': {
    id: ['entryId'],
    url: () => `/v1/assets/${truck.liftId}/usage-entries`,
    key: 'other',
    add: () =>
      post(`/v1/assets/${truck.liftId}/adjustments`, {
        meter: 'reach_cycles',
        amount: next(),
        at: text(startMs - dayMs),
        name: 'A. Penn',
        reason: 'counted by hand',
      }),
  },
  ...readinessLists(() => ({ fleet, unitId: truck.unitId as string, yardId, next })),
  '/v1/gateways/{gatewayId}/open-questions': {
    id: ['kind', 'counter', 'epoch', 'seq'],
    url: () => `/v1/gateways/${gateway().id}/open-questions`,
    key: 'other',
    add: disputed,
  },
  '/v1/gateways/{gatewayId}/decisions': {
    id: ['decisionId'],
    url: () => `/v1/gateways/${gateway().id}/decisions`,
    key: 'id',
    add: async () => {
      const seq = await disputed();
      const said = { decision: 'neither', name: 'A. Penn', reason: 'nobody knows' };
      const body = { counter: 'pto_hours', epoch: 0, seq, ...said };
      return post(`/v1/gateways/${gateway().id}/decisions`, body);
    },
  },
};
const urlOf = (path: string) => lists[path]?.url?.() ?? path;
const nameOf = (path: string, row: Json) => lists[path]!.id.map((part) => row[part]).join(' ');
const rowsAtLeast = 8;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  patternId = await fleet.pattern(greaseTask);
  Object.assign(truck, await fleet.truck({ yardId, patternId }));
  people.worker = await fleet.person(['lift_work']);
  people.trainee = await fleet.person(['lift_work'], { passesNeeded: 100 });
  for (const list of Object.values(lists))
    for (let i = 0; i < rowsAtLeast; i += 1) await list.add();
  await app.settle();
});

/** The whole list in pages of these sizes, over and over; `between` runs after each page. */
async function walk(path: string, sizes: readonly number[], between?: () => Promise<unknown>) {
  const url = urlOf(path);
  const items: Json[] = [];
  let cursor = '';
  for (let page = 0; page < 500; page += 1) {
    const limit = sizes[page % sizes.length] as number;
    const mark = url.includes('?') ? '&' : '?';
    const body = await fleet.client.read(`${url}${mark}limit=${limit}${cursor}`);
    expect(body.items.length).toBeLessThanOrEqual(limit);
    items.push(...body.items);
    if (body.next === undefined) return items;
    expect(body.items.length).toBe(limit);
    cursor = `&cursor=${encodeURIComponent(body.next)}`;
    await between?.();
  }
  throw new Error(`${path} has no last page`);
}

const sizes = fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 5 });

describe.each(Object.keys(lists))('%s', (path) => {
  test('in pages of any size it is the whole list, each row once', async () => {
    const whole = await walk(path, [200]);
    expect(whole.length).toBeGreaterThanOrEqual(rowsAtLeast);
    expect(new Set(whole.map((row) => nameOf(path, row))).size).toBe(whole.length);
    await fc.assert(
      fc.asyncProperty(sizes, async (chosen) => {
        expect(await walk(path, chosen)).toEqual(whole);
      }),
      { numRuns: 12 },
    );
  });

  test('what is there when the walk begins comes once, whatever is added meanwhile', async () => {
    await fc.assert(
      fc.asyncProperty(sizes, async (chosen) => {
        await app.settle();
        const before = (await walk(path, [200])).map((row) => nameOf(path, row));
        let added = 0;
        const seen = await walk(path, chosen, async () => {
          if (added >= 3) return;
          added += 1;
          await lists[path]?.add();
        });
        const names = seen.map((row) => nameOf(path, row));
        expect(new Set(names).size).toBe(names.length);
        expect(names.filter((name) => before.includes(name))).toEqual(before);
        expect(names.length - before.length).toBeLessThanOrEqual(added);
      }),
      { numRuns: 4 },
    );
  });

  test('a page has at most 200 rows', async () => {
    for (const limit of ['0', '201', '-1', '1.5', 'x', '']) {
      const answer = await fleet.client.get(`${urlOf(path)}?limit=${limit}`);
      expect([limit, answer.status, answer.code]).toEqual([limit, 400, 'query_invalid']);
    }
  });

  const cursorOf = (...parts: unknown[]) =>
    Buffer.from(JSON.stringify(parts)).toString('base64url');

  test('cursors that this list never gave are refused', async () => {
    const someId = '01900000-0000-7000-8000-000000000000';
    const made: [cursor: string, fits?: List['key']][] = [
      ['x'],
      ['%00'],
      [Buffer.from('7').toString('base64url')],
      [cursorOf()],
      [cursorOf('x'), 'text'],
      [cursorOf('\u0000')],
      [cursorOf('x', 'x')],
      [cursorOf('\u0000', someId)],
      [cursorOf(someId, 1.5)],
      [cursorOf('x', 1)],
      [cursorOf(1, 'x', 'x')],
      [cursorOf(1, '2026-02-30', someId)],
      [cursorOf(1e10, '2026-02-20', someId)],
      [cursorOf(1, '2026-02-20', someId, 1)],
      [cursorOf({ a: 1 }, null)],
    ];
    for (const [cursor, fits] of made) {
      const answer = await fleet.client.get(`${urlOf(path)}?cursor=${cursor}`);
      // a well-formed text is a place in a list of texts
      const place = fits !== undefined && lists[path]?.key === fits;
      const expected = place ? [200, undefined] : [400, 'cursor_invalid'];
      expect([cursor, answer.status, answer.code]).toEqual([cursor, ...expected]);
    }
    const long = await fleet.client.get(`${urlOf(path)}?cursor=${'x'.repeat(2001)}`);
    expect([long.status, long.code]).toEqual([400, 'query_invalid']);
  });
});

test.each(['日', '\u0001', '"', '🛻'])(
  'a cursor has room for any name, as of %j',
  async (letter) => {
    const before = await walk('/v1/yards', [200]);
    for (const number of ['00', '01', '02']) {
      const name = letter.repeat(200 / letter.length - 2) + number;
      await fleet.client.made('/v1/yards', { name, timeZone: 'UTC' });
    }
    const whole = await walk('/v1/yards', [1]);
    expect(whole.length).toBe(before.length + 3);
    expect(await walk('/v1/yards', [200])).toEqual(whole);
  },
);

test('every list with pages of the contract is tried above', () => {
  const paged = Object.entries(contract.paths).flatMap(([path, operations]) => {
    const parameters = (operations.get as { parameters?: { name: string }[] })?.parameters ?? [];
    return parameters.some(({ name }) => name === 'cursor') ? [path] : [];
  });
  const missing = paged.filter((path) => !(path in lists));
  expect(missing, 'lines to add to `lists` in tests/api/lists.test.ts').toEqual([]);
  expect(Object.keys(lists).sort()).toEqual(paged.sort());
});

test('the history comes in pages of any size, while it grows', async () => {
  const all = (await fleet.client.read('/v1/events?limit=500')).items;
  const chosen = [3, 1, 7, 20];
  const seen: Json[] = [];
  for (let page = 0; seen.length < all.length; page += 1) {
    const after = seen.at(-1)?.number ?? 0;
    const limit = chosen[page % chosen.length];
    seen.push(...(await fleet.client.read(`/v1/events?after=${after}&limit=${limit}`)).items);
    if (page % 9 !== 0) continue;
    await fleet.yard();
    await app.settle();
  }
  expect(seen.slice(0, all.length)).toEqual(all);
  expect(seen.map((event) => event.number)).toEqual(seen.map((_, i) => i + 1));
});

test('keys are listed with what is known of them, and never with a secret', async () => {
  const made = await fleet.client.made('/v1/keys', { role: 'parts', name: 'stores' });
  await app.client(made.key).read('/v1/units');
  const gateway = await fleet.gateway();
  await fleet.client.made(`/v1/keys/${made.keyId}/revoke`, {});
  const keys = await fleet.client.all('/v1/keys');
  expect(keys.find((key) => key.keyId === made.keyId)).toEqual({
    keyId: made.keyId,
    prefix: made.prefix,
    role: 'parts',
    name: 'stores',
    gatewayId: null,
    createdAt: text(startMs),
    lastUsedAt: text(startMs),
    revokedAt: text(startMs),
  });
  const ofGateway = keys.filter((key) => key.gatewayId === gateway.id);
  expect(ofGateway).toMatchObject([{ role: 'gateway', revokedAt: null, lastUsedAt: null }]);
  expect(JSON.stringify(keys)).not.toContain(made.key);
  expect(JSON.stringify(keys)).not.toContain(gateway.client.key);
});

test('dones are listed by task, the latest told first, and with what was voided', async () => {
  const { unitId, liftId } = await fleet.truck({ yardId, patternId });
  const [first, second] = [
    await fleet.done(unitId, 'grease', startMs - dayMs),
    await fleet.done(unitId, 'grease', startMs - 2 * dayMs),
  ];
  const reason = 'another truck';
  await fleet.client.made(`/v1/units/${unitId}/dones/${first.doneId}/void`, { reason });
  const list = await fleet.client.all(`/v1/assets/${liftId}/dones`);
  expect(list).toEqual([second, { ...first, voided: { reason, at: text(startMs) } }]);
  expect(await fleet.client.all(`/v1/assets/${liftId}/dones?task=grease`)).toEqual(list);
  expect(await fleet.client.all(`/v1/assets/${liftId}/dones?task=look`)).toEqual([]);
  const nowhere = '01900000-0000-7000-8000-000000000000';
  expect((await fleet.client.get(`/v1/assets/${nowhere}/dones`)).code).toBe('not_found');
});
