import { beforeAll, describe, expect, test } from 'vitest';
import { type Duty, duties, type Role } from '../../src/domain/access/role.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  FleetBuilder,
  Gateway,
  greaseTask,
  ptoCounter,
  run,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  truck = await fleet.truck({ patternId: await fleet.pattern(greaseTask) });
});

const nowhere = '01900000-0000-7000-8000-000000000000';

describe('duties', () => {
  test('no duty is without a role, and admins may do all but report use', () => {
    for (const [duty, allowed] of Object.entries(duties) as [Duty, readonly Role[]][]) {
      expect(allowed.length).toBeGreaterThan(0);
      expect([duty, allowed.includes('admin')]).toEqual([duty, duty !== 'report_use']);
    }
  });
});

describe('keys', () => {
  test.each([
    ['no Bearer', 'Basic abcdefgh', 'key_unknown'],
    ['no key', 'Bearer', 'key_unknown'],
    ['too long a key', `Bearer ${'x'.repeat(301)}`, 'key_unknown'],
    ['two', 'Bearer abcdefgh abcdefgh', 'key_unknown'],
  ])('%s in the header is refused', async (_, authorization, code) => {
    const answer = await app.client(null).get('/v1/units', { authorization });
    expect([answer.status, answer.code]).toEqual([401, code]);
  });

  test('a key’s prefix alone, or another ending, opens nothing', async () => {
    const { key, prefix } = await app.admin.made('/v1/keys', { role: 'lead', name: 'x' });
    for (const wrong of [prefix, key.slice(0, -1), `${key}x`, key.toUpperCase()]) {
      expect((await app.client(wrong).get('/v1/units')).code).toBe('key_unknown');
    }
    expect((await app.client(key).get('/v1/units')).status).toBe(200);
  });

  test('the secret is stored nowhere', async () => {
    const { key } = await app.admin.made('/v1/keys', { role: 'lead', name: 'secret' });
    await app.settle();
    const { rows } = await app.db.owner.query(
      `select relname from pg_class where relnamespace = 'liftwright'::regnamespace
       and relkind = 'r'`,
    );
    for (const { relname } of rows) {
      const found = await app.db.owner.query(
        `select 1 from liftwright.${relname} t where t::text like '%' || $1 || '%'`,
        [key.slice(-43)],
      );
      expect([relname, found.rowCount]).toEqual([relname, 0]);
    }
  });

  test('revoked, it is refused everywhere within five seconds', async () => {
    const { key, keyId } = await app.admin.made('/v1/keys', { role: 'lead', name: 'leaves' });
    const other = await app.another();
    const here = app.client(key);
    const there = app.client(key, other);
    expect([(await here.get('/v1/units')).status, (await there.get('/v1/units')).status]).toEqual([
      200, 200,
    ]);
    await app.admin.made(`/v1/keys/${keyId}/revoke`, {});
    app.clock.set(startMs + 5_000);
    for (const client of [here, there]) {
      expect((await client.get('/v1/units')).code).toBe('key_unknown');
    }
    const again = await app.admin.post(`/v1/keys/${keyId}/revoke`, {});
    expect([again.status, again.code]).toEqual([404, 'not_found']);
    await other.close();
    app.clock.set(startMs);
    await app.settle();
    const events = await fleet.events({ subject: `key/${keyId}` });
    expect(events.map((event) => event.type)).toEqual(['key.made', 'key.ended']);
  });

  test('a gateway’s key is given with the gateway, never as a key of its own', async () => {
    const answer = await app.admin.post('/v1/keys', { role: 'gateway', name: 'x' });
    expect([answer.status, answer.code]).toEqual([400, 'body_invalid']);
  });
});

describe('a gateway', () => {
  test('speaks for itself only', async () => {
    const other = await fleet.gateway(ptoCounter);
    const { client } = truck.gateway;
    for (const path of ['counters', 'verdicts']) {
      const mine = await client.read(`/v1/gateways/${truck.gateway.id}/${path}`);
      expect(await client.read(`/v1/gateways/me/${path}`)).toEqual(mine);
      const theirs = await client.get(`/v1/gateways/${other.id}/${path}`);
      expect([theirs.status, theirs.code]).toEqual([403, 'not_this_gateway']);
    }
    for (const [path, body] of [
      ['counters', { counters: [ptoCounter] }],
      ['epochs', { counter: 'pto_hours', cause: 'sequence_lost' }],
    ] as const) {
      const answer = await client.post(`/v1/gateways/${other.id}/${path}`, body);
      expect([answer.status, answer.code]).toEqual([403, 'not_this_gateway']);
    }
    const me = await app.admin.get('/v1/gateways/me/counters');
    expect([me.status, me.code]).toEqual([404, 'not_found']);
  });

  test('has two keys at most while it changes over', async () => {
    const first = await fleet.gateway(ptoCounter);
    const rotate = async () => {
      app.clock.set(app.clock.nowMs() + 10_000);
      const { key } = await app.admin.made(`/v1/gateways/${first.id}/keys`, {});
      return new Gateway(first.id, app.client(key));
    };
    const works = async (gateway: Gateway) =>
      (await gateway.client.post('/v1/readings', { streams: [] })).status;
    const second = await rotate();
    expect([await works(first), await works(second)]).toEqual([200, 200]);
    const third = await rotate();
    app.clock.set(app.clock.nowMs() + 6_000);
    expect([await works(first), await works(second), await works(third)]).toEqual([401, 200, 200]);
    const none = await app.admin.post(`/v1/gateways/${nowhere}/keys`, {});
    expect([none.status, none.code]).toEqual([404, 'not_found']);
    app.clock.set(startMs);
  });
});

describe('another fleet', () => {
  test('sees nothing of this one, and cannot name what is in it', async () => {
    const other = new FleetBuilder(app, await app.otherFleet());
    await truck.gateway.one(run(0, [startMs, 1]));
    const done = await fleet.done(truck.unitId, 'grease', startMs);
    await app.settle();
    const { client } = other;
    for (const list of [
      'yards',
      'units',
      'assets',
      'gateways',
      'installs',
      'patterns',
      'severities',
      'bring-in',
    ]) {
      expect([list, await client.all(`/v1/${list}`)]).toEqual([list, []]);
    }
    const { items } = await client.read('/v1/events');
    expect(items.filter((event: Json) => event.subject.includes(truck.unitId))).toEqual([]);

    const [yard] = await fleet.client.all('/v1/yards');
    const [pattern] = await fleet.client.all('/v1/patterns');
    const { unitId, liftId, gateway } = truck;
    const at = text(startMs);
    const refused: [string, object | null, number, string][] = [
      [`/v1/units/${unitId}/tasks`, null, 404, 'not_found'],
      [`/v1/units/${unitId}/usage`, null, 404, 'not_found'],
      [`/v1/assets/${liftId}/usage`, null, 404, 'not_found'],
      [`/v1/patterns/${pattern.patternId}`, null, 404, 'not_found'],
      [`/v1/gateways/${gateway.id}/counters`, null, 404, 'not_found'],
      [`/v1/gateways/${gateway.id}/verdicts`, null, 404, 'not_found'],
      [`/v1/gateways/${gateway.id}/keys`, {}, 404, 'not_found'],
      [`/v1/gateways/${gateway.id}/counters`, { counters: [ptoCounter] }, 404, 'not_found'],
      [
        `/v1/gateways/${gateway.id}/epochs`,
        { counter: 'pto_hours', cause: 'sequence_lost' },
        404,
        'not_found',
      ],
      [`/v1/units/${unitId}/tasks/grease/done`, { at }, 404, 'not_found'],
      [`/v1/units/${unitId}/dones/${done.doneId}/void`, { reason: 'x' }, 404, 'not_found'],
      ['/v1/units', { number: '1', homeYardId: yard.yardId }, 422, 'reference_unknown'],
      ['/v1/installs', { unitId, assetId: liftId, from: at }, 422, 'reference_unknown'],
      [
        '/v1/assets',
        { kind: 'lift', serial: '1', patternId: pattern.patternId },
        422,
        'reference_unknown',
      ],
      ['/v1/severities', { kind: 'salt', unitId, fromDay: '2026-03-01' }, 422, 'reference_unknown'],
    ];
    for (const [url, body, status, code] of refused) {
      const answer = body === null ? await client.get(url) : await client.post(url, body);
      expect([url, answer.status, answer.code]).toEqual([url, status, code]);
    }
    const { rows } = await app.db.owner.query(
      `select key_id from liftwright.api_key where name = 'first admin key'`,
    );
    const revoke = await client.post(`/v1/keys/${rows[0].key_id}/revoke`, {});
    expect([revoke.status, revoke.code]).toEqual([404, 'not_found']);
  });

  test('may use the same names and serials', async () => {
    const other = new FleetBuilder(app, await app.otherFleet());
    for (const builder of [fleet, other]) {
      const yard = await builder.client.made('/v1/yards', { name: 'Same', timeZone: 'UTC' });
      await builder.unit(yard.yardId, 'same');
      await builder.client.made('/v1/gateways', { serial: 'same' });
      await builder.client.made('/v1/assets', { kind: 'lift', serial: 'same' });
    }
    expect((await other.client.all('/v1/units')).length).toBe(1);
  });
});
