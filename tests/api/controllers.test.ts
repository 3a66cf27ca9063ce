import { beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  hourMs,
  liftCounter,
  ptoCounter,
  run,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
let truck: Truck;
let controller: object;
let numbered = 0;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
});
beforeEach(async () => {
  await app.goTo(startMs + 3 * dayMs);
  numbered += 1;
  controller = { ...ptoCounter, resolution: 1, scope: 'controller', controller: `C-${numbered}` };
  truck = await fleet.truck({ yardId, counters: [controller] });
  await truck.gateway.one(run(0, [startMs, 100], [startMs + 10 * hourMs, 105]));
  await app.settle();
});

const total = async () =>
  Object.values(await fleet.days(truck.liftId)).reduce((sum, grains) => sum + grains, 0) / 3600;
const declare = async (gateway: Gateway, ...counters: object[]) => {
  const answer = await gateway.client.post('/v1/gateways/me/counters', { counters });
  await app.settle();
  return [answer.status, answer.code];
};
const refused = [409, 'controller_elsewhere'];
const told = (gateway: Gateway) =>
  fleet.events({ type: 'counter.join_refused', subject: `gateway/${gateway.id}` });

describe('a gateway joins the line of a controller', () => {
  test('on its own word only on the unit where the controller counts', async () => {
    const next = await fleet.gateway();
    expect(await declare(next, controller)).toEqual(refused);
    await fleet.install(truck.unitId, { gatewayId: next.id }, startMs + 11 * hourMs);
    expect(await declare(next, controller)).toEqual([200, undefined]);
    await next.one(run(0, [startMs + 20 * hourMs, 108]));
    await app.settle();
    expect(await total()).toBe(8);
  });

  test('not from another unit: nothing is changed, and it is told once a day', async () => {
    const other = await fleet.truck({ yardId, counters: [] });
    expect(await declare(other.gateway, liftCounter, controller)).toEqual(refused);
    expect(await declare(other.gateway, controller)).toEqual(refused);
    // nor by another meter, which would wait for the controller's own
    const lifts = { ...controller, counter: 'lifts', meter: 'lift_cycles' };
    expect(await declare(other.gateway, lifts)).toEqual(refused);
    expect((await other.gateway.client.read('/v1/gateways/me/counters')).counters).toEqual([]);
    expect((await told(other.gateway)).map((event) => event.data)).toEqual([
      { controllers: [`C-${numbered}`] },
    ]);
    await app.goTo(startMs + 5 * dayMs);
    await declare(other.gateway, controller);
    expect(await told(other.gateway)).toHaveLength(2);
    expect(await total()).toBe(5);
  });

  test('from where it came lately, not from where it was long ago', async () => {
    const next = await fleet.gateway();
    await fleet.install(truck.unitId, { gatewayId: next.id }, startMs - 20 * dayMs);
    const elsewhere = await fleet.unit(yardId);
    await fleet.install(elsewhere, { gatewayId: next.id }, startMs - 10 * dayMs, { move: true });
    await app.goTo(startMs + 25 * dayMs);
    expect(await declare(next, controller)).toEqual(refused);
    await app.goTo(startMs + 15 * dayMs);
    expect(await declare(next, controller)).toEqual([200, undefined]);
  });

  test('where its last reading was read, though that gateway has moved on', async () => {
    const other = await fleet.truck({ yardId, counters: [] });
    const gatewayId = truck.gateway.id;
    await fleet.install(other.unitId, { gatewayId }, startMs + dayMs, { move: true });
    expect(await declare(other.gateway, controller)).toEqual(refused);
    const next = await fleet.gateway();
    await fleet.install(truck.unitId, { gatewayId: next.id }, startMs + dayMs);
    expect(await declare(next, controller)).toEqual([200, undefined]);
  });

  test('anywhere by the word of who keeps the fleet', async () => {
    const next = await fleet.gateway();
    const url = `/v1/gateways/${next.id}/counters`;
    for (const role of ['lead', 'integrator', 'admin'] as const) {
      const client = await app.as(role);
      const counters = [{ ...controller, counter: `by_${role}` }];
      expect((await client.post(url, { counters })).status).toBe(200);
    }
    // it counts for it now, and may declare more of it
    expect(await declare(next, controller)).toEqual([200, undefined]);
  });

  test('of its own, several counters at once, before it is on any unit', async () => {
    const fresh = { ...controller, controller: `D-${numbered}` };
    const lifts = { ...fresh, counter: 'lifts', meter: 'lift_cycles' };
    const next = await fleet.gateway();
    expect(await declare(next, fresh, lifts)).toEqual([200, undefined]);
    expect(await declare(await fleet.gateway(), fresh)).toEqual(refused);
  });

  test('of its own name in another fleet', async () => {
    const others = new FleetBuilder(app, await app.otherFleet());
    expect(await declare(await others.gateway(), controller)).toEqual([200, undefined]);
  });
});
