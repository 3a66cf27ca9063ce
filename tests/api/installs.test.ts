import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { dayMs, FleetBuilder, hourMs, ptoCounter, run, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  await app.goTo(startMs + 3 * dayMs);
});

const hourly = { ...ptoCounter, resolution: 1 };
const total = async (assetId: string) =>
  Object.values(await fleet.days(assetId)).reduce((sum, grains) => sum + grains, 0) / 3600;

describe('use follows the asset', () => {
  test('a lift moved to another unit takes its past along, also when told late', async () => {
    const a = await fleet.truck({ yardId, counters: [hourly] });
    const b = await fleet.truck({ yardId, counters: [hourly] });
    // ten hours from noon: 5 h of use on A, 10 h on B
    await a.gateway.one(run(0, [startMs, 10], [startMs + 10 * hourMs, 15]));
    await b.gateway.one(run(0, [startMs, 200], [startMs + 10 * hourMs, 210]));
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([5, 10]);

    // B's own lift went to a third unit, and A's lift to B, in the middle
    const third = await fleet.unit(yardId);
    const moveMs = startMs + 5 * hourMs;
    await fleet.install(third, { assetId: b.liftId }, moveMs, { move: true });
    await fleet.install(b.unitId, { assetId: a.liftId }, moveMs, { move: true });
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([2.5 + 5, 5]);

    const on = async (unitId: string) => {
      const { assets } = await fleet.client.read(`/v1/units/${unitId}/usage`);
      return assets.map((asset: { assetId: string }) => asset.assetId);
    };
    expect(await on(a.unitId)).toEqual([]);
    expect(await on(b.unitId)).toEqual([a.liftId]);
    expect(await on(third)).toEqual([b.liftId]);
    // use after the move belongs to who is there
    await b.gateway.one(run(2, [startMs + 12 * hourMs, 212]));
    await a.gateway.one(run(2, [startMs + 12 * hourMs, 17]));
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([9.5, 5]);
    const subject = `asset/${a.liftId}`;
    const moved = await fleet.events({ type: 'install.moved', subject });
    expect(moved.map(({ data }) => [data.fromUnitId, data.unitId])).toEqual([[a.unitId, b.unitId]]);
  });

  test('a controller keeps its count from one gateway to the next', async () => {
    const controller = { ...hourly, scope: 'controller', controller: 'C-100' };
    const { unitId, liftId, gateway } = await fleet.truck({ yardId, counters: [controller] });
    await gateway.one(run(0, [startMs, 100], [startMs + 10 * hourMs, 105]));
    await app.settle();
    const next = await fleet.gateway();
    await fleet.install(unitId, { gatewayId: next.id }, startMs + 11 * hourMs);
    await next.declare(controller);
    // three hours that no gateway saw, told by the controller's own count
    await next.one(run(0, [startMs + 20 * hourMs, 108]));
    await app.settle();
    expect(await total(liftId)).toBe(8);
    expect(await next.verdicts()).toEqual(['0 carried']);
    await next.one(run(1, [startMs + 21 * hourMs, 109]));
    await app.settle();
    expect(await total(liftId)).toBe(9);
  });

  test('a counter of scope gateway begins anew with another gateway', async () => {
    const a = await fleet.truck({ yardId, counters: [hourly] });
    await a.gateway.one(run(0, [startMs, 100], [startMs + 10 * hourMs, 105]));
    const spare = await fleet.unit(yardId);
    const atMs = startMs + 11 * hourMs;
    await fleet.install(spare, { gatewayId: a.gateway.id }, atMs, { move: true });
    const next = await fleet.gateway(hourly);
    await fleet.install(a.unitId, { gatewayId: next.id }, atMs);
    await next.one(run(0, [startMs + 12 * hourMs, 7], [startMs + 20 * hourMs, 9]));
    await app.settle();
    expect(await total(a.liftId)).toBe(7);
  });
});

describe('installs that cannot be', () => {
  const install = async (body: object) => {
    const answer = await fleet.client.post('/v1/installs', body);
    return [answer.status, answer.code];
  };

  test('two units at a time, twice, or before they were there', async () => {
    const { unitId, liftId, gateway } = await fleet.truck({ yardId });
    const other = await fleet.unit(yardId);
    const overlaps = [409, 'install_overlaps'];
    expect(await install({ unitId: other, assetId: liftId, from: text(startMs) })).toEqual(
      overlaps,
    );
    expect(await install({ unitId, assetId: liftId, from: text(startMs) })).toEqual(overlaps);
    const gatewayId = gateway.id;
    expect(await install({ unitId: other, gatewayId, from: text(startMs) })).toEqual(overlaps);
    const before = { unitId: other, assetId: liftId, from: text(startMs - 40 * dayMs) };
    expect(await install(before)).toEqual(overlaps);
    expect(await install({ ...before, to: text(startMs - 35 * dayMs) })).toEqual([201, undefined]);
  });

  test.each([
    ['an end before its start', { from: text(startMs), to: text(startMs) }, 422, 'time_invalid'],
    ['a start long before', { from: '1999-12-31T23:59:59Z' }, 422, 'time_invalid'],
    ['a start in two years', { from: '2028-03-02T18:00:00Z' }, 422, 'time_invalid'],
    ['no offset', { from: '2026-03-02T18:00:00' }, 400, 'body_invalid'],
    ['an hour that there is not', { from: '2026-03-02T24:00:00Z' }, 400, 'body_invalid'],
    [
      'a fraction finer than time',
      { from: '2026-03-02T18:00:00.0123456789Z' },
      400,
      'body_invalid',
    ],
    ['an unknown member', { from: text(startMs), where: 'here' }, 400, 'body_invalid'],
  ])('%s', async (_, body, status, code) => {
    const unitId = await fleet.unit(yardId);
    const assetId = await fleet.asset();
    expect(await install({ unitId, assetId, ...body })).toEqual([status, code]);
  });

  test('what there is not', async () => {
    const unitId = await fleet.unit(yardId);
    const assetId = await fleet.asset();
    const from = text(startMs);
    const nowhere = '01900000-0000-7000-8000-000000000000';
    const unknown = [422, 'reference_unknown'];
    expect(await install({ unitId: nowhere, assetId, from })).toEqual(unknown);
    expect(await install({ unitId, assetId: nowhere, from })).toEqual(unknown);
    expect(await install({ unitId, gatewayId: nowhere, from })).toEqual(unknown);
    expect(await install({ unitId, from })).toEqual([400, 'body_invalid']);
    const both = { unitId, assetId, gatewayId: nowhere, from };
    expect(await install(both)).toEqual([400, 'body_invalid']);
  });

  test('a move at the moment of the move before', async () => {
    const { unitId, liftId } = await fleet.truck({ yardId });
    const from = text(startMs - 30 * dayMs);
    expect(await install({ unitId, assetId: liftId, from, move: true })).toEqual([
      422,
      'time_invalid',
    ]);
  });
});

test('installs are listed by unit, page by page', async () => {
  const { unitId, liftId, gateway } = await fleet.truck({ yardId });
  const found = await fleet.client.all(`/v1/installs?unitId=${unitId}`, 1);
  expect(found.map((each) => each.assetId ?? each.gatewayId)).toEqual([liftId, gateway.id]);
  expect(found[0]).toMatchObject({ unitId, from: text(startMs - 30 * dayMs), to: null });
});
