import { Ajv2020 } from 'ajv/dist/2020.js';
import { beforeAll, describe, expect, test } from 'vitest';
import { badPatterns, spoilt } from '../domain/upkeep/bad-patterns.ts';
import { richPattern } from '../domain/upkeep/rich-pattern.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  patternOf,
  point,
  ptoCounter,
  run,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const publish = (document: unknown, patternId?: string) =>
  fleet.client.post('/v1/patterns', { document, ...(patternId ? { patternId } : {}) });

describe('publishing', () => {
  test('a document that says everything comes back as it was sent', async () => {
    const made = await publish(richPattern);
    expect(made.status).toBe(201);
    const read = await fleet.client.read(`/v1/patterns/${made.body.patternId}`);
    expect(read).toMatchObject({ version: 1, name: richPattern.name, document: richPattern });
  });

  test.each(badPatterns.map((each) => [each.what, each] as const))(
    '%s is refused, with path and reason',
    async (_, each) => {
      const refused = await publish(spoilt(each));
      expect([refused.status, refused.code]).toEqual([422, 'pattern_invalid']);
      const errors = refused.body.errors as { path: string; reason: string }[];
      expect(errors).toContainEqual({
        path: `/document${each.path}`,
        reason: expect.stringContaining(each.reason),
      });
    },
  );

  test('the schema is served where the contract says so, and takes what is taken', async () => {
    const url = '/docs/lift-pattern.schema.json';
    const served = await app.client(null).call({ url, undocumented: true });
    expect(served.headers['content-type']).toContain('application/schema+json');
    const schema = typeof served.body === 'string' ? JSON.parse(served.body) : served.body;
    const fits = new Ajv2020({ strict: false }).compile(schema);
    expect(fits(richPattern)).toBe(true);
    expect(fits({ ...richPattern, assetKind: 'boat' })).toBe(false);
  });
});

const strokes = (amount: number) => ({ ...point, quantity: { amount, unit: 'strokes' } });
const first = { ...patternOf(greaseTask), servicePoints: [strokes(4)] };
const second = {
  ...patternOf({ ...greaseTask, every: { pto_hours: 8, days: 30 } }),
  servicePoints: [strokes(6)],
};

describe('two versions', () => {
  let patternId: string;
  beforeAll(async () => {
    patternId = (await publish(first)).body.patternId;
    const next = await publish(second, patternId);
    expect([next.status, next.body.version]).toEqual([201, 2]);
  });
  const compare = (query: string, id = patternId) =>
    fleet.client.get(`/v1/patterns/${id}/compare?${query}`);

  test('are compared in words, either way round', async () => {
    const told = await compare('from=1&to=2');
    expect([told.status, told.body]).toEqual([
      200,
      {
        patternId,
        from: 1,
        to: 2,
        changes: [
          {
            part: 'service_point',
            key: 'crossbar_pivot',
            what: 'changed',
            field: 'quantity',
            words: 'Crossbar pivot: 4 strokes -> 6 strokes',
          },
          {
            part: 'task',
            key: 'grease',
            what: 'changed',
            field: 'every',
            words: 'Grease all fittings: every 10 PTO hours or 30 days -> 8 PTO hours or 30 days',
          },
        ],
        moreChanges: 0,
      },
    ]);
    const back = await compare('from=2&to=1');
    expect(back.body.changes[0].words).toBe('Crossbar pivot: 6 strokes -> 4 strokes');
    expect((await compare('from=2&to=2')).body.changes).toEqual([]);
  });

  test('only where there are two, of this fleet', async () => {
    expect([(await compare('from=1&to=3')).status]).toEqual([404]);
    expect((await compare('from=0&to=1')).status).toBe(400);
    expect((await compare('from=1')).status).toBe(400);
    const nowhere = '01900000-0000-7000-8000-000000000000';
    expect((await compare('from=1&to=2', nowhere)).status).toBe(404);
  });

  test('are never changed, not even by the service itself', async () => {
    const write = app.db.pools.app.query(`update liftwright.lift_pattern set name = 'other'`);
    await expect(write).rejects.toMatchObject({ code: '42501' });
    const take = app.db.pools.app.query('delete from liftwright.lift_pattern');
    await expect(take).rejects.toMatchObject({ code: '42501' });
  });
});

describe('an asset', () => {
  let truck: Truck;
  let patternId: string;
  const shown = (): Promise<Json> => fleet.client.read(`/v1/assets/${truck.liftId}`);
  const moves = (): Promise<Json[]> => fleet.client.all(`/v1/assets/${truck.liftId}/pattern-moves`);
  const interval = async () => (await fleet.measure(truck.unitId))?.full.at;
  const choose = async (body: object) => {
    const url = `/v1/assets/${truck.liftId}`;
    const { etag } = (await fleet.client.get(url)).headers;
    const headers = { 'if-match': etag as string };
    return fleet.client.call({ method: 'PATCH', url, body, headers });
  };

  beforeAll(async () => {
    patternId = (await publish(first)).body.patternId;
    truck = await fleet.truck({ patternId, counters: [ptoCounter] });
    await fleet.done(truck.unitId, 'grease', startMs - dayMs);
    await truck.gateway.post([run(0, [startMs - 3_600_000, 100], [startMs, 120])]);
    await app.settle();
  });

  test('stays with its version when a further one is published', async () => {
    await publish(second, patternId);
    await app.settle();
    expect(await shown()).toMatchObject({ patternId, patternVersion: 1 });
    expect(await interval()).toBe(10);
    expect(await moves()).toEqual([]);
  });

  test('moves to it by choice: what was done stays, and so does what it followed', async () => {
    const dones = await fleet.client.all(`/v1/assets/${truck.liftId}/dones`);
    expect((await choose({ patternVersion: 2 })).status).toBe(200);
    await app.settle();
    expect(await shown()).toMatchObject({ patternId, patternVersion: 2 });
    expect(await interval()).toBe(8);
    expect(await fleet.client.all(`/v1/assets/${truck.liftId}/dones`)).toEqual(dones);
    expect(dones).toHaveLength(1);
    expect(await moves()).toMatchObject([
      { from: { patternId, version: 1 }, to: { patternId, version: 2 } },
    ]);
    const old = await fleet.client.read(`/v1/patterns/${patternId}?version=1`);
    expect(old.document).toEqual(first);
  });

  test('moves back, and to another pattern, and each move is kept in order', async () => {
    expect((await choose({ patternVersion: 1 })).status).toBe(200);
    const other = (await publish(first)).body.patternId;
    expect((await choose({ patternId: other })).status).toBe(200);
    expect((await choose({ note: 'bent once' })).status).toBe(200);
    await app.settle();
    const told = (await moves()).map(({ from, to }) => [from?.version, to.version, to.patternId]);
    expect(told).toEqual([
      [1, 2, patternId],
      [2, 1, patternId],
      [1, 1, other],
    ]);
    const subject = `asset/${truck.liftId}`;
    const events = await fleet.events({ type: 'asset.changed', subject });
    expect(events.length).toBeGreaterThanOrEqual(3);
  });

  test('without a pattern gets one by choice or by an import, kept as the first move', async () => {
    const bare = await fleet.asset('lift');
    const url = `/v1/assets/${bare}`;
    const { etag } = (await fleet.client.get(url)).headers;
    const headers = { 'if-match': etag as string };
    const given = await fleet.client.call({ method: 'PATCH', url, body: { patternId }, headers });
    expect(given.status).toBe(200);
    const list = await fleet.client.all(`${url}/pattern-moves`);
    expect(list).toMatchObject([{ from: null, to: { patternId, version: 2 } }]);
    const unknown = '01900000-0000-7000-8000-000000000000';
    expect((await fleet.client.get(`/v1/assets/${unknown}/pattern-moves`)).status).toBe(404);
  });

  test('that an import gives a pattern has that kept, too', async () => {
    const bare = await fleet.asset('lift');
    const { serial } = await fleet.client.read(`/v1/assets/${bare}`);
    const named = { ...first, name: 'Imported by name' };
    const made = (await publish(named)).body;
    const assets = `kind,serial,pattern\nlift,${serial},Imported by name\n`;
    const report = await fleet.client.post('/v1/imports', { dryRun: false, assets });
    expect(report.status).toBe(200);
    const list = await fleet.client.all(`/v1/assets/${bare}/pattern-moves`);
    expect(list).toMatchObject([{ from: null, to: { patternId: made.patternId, version: 1 } }]);
  });
});
