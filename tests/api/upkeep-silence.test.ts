import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(greaseTask);
});

/** Eight of ten hours used, last heard at the start. */
async function truckHeardAtStart(counters: object[] = [ptoCounter]): Promise<Truck> {
  await app.settleAt(startMs);
  const truck = await fleet.truck({ patternId, counters });
  await fleet.done(truck.unitId, 'grease', startMs - 12 * hourMs);
  await truck.gateway.one(run(0, [startMs - 12 * hourMs, 0], [startMs, 160]));
  await app.settle();
  return truck;
}
const state = async (truck: Truck) => {
  const { status, knownStatus, unknownBecause } = await fleet.task(truck.unitId);
  return [status, knownStatus, unknownBecause.join()];
};
const known = ['ahead', 'ahead', ''];
const unknown = ['unknown', 'ahead', 'pto_hours'];

describe('a silent gateway', () => {
  test('makes its meters unknown when they could change the answer, after a day', async () => {
    const truck = await truckHeardAtStart();
    expect(await state(truck)).toEqual(known);
    await app.settleAt(startMs + 26 * hourMs - 1);
    expect(await state(truck)).toEqual(known);
    await app.settleAt(startMs + 26 * hourMs);
    expect(await state(truck)).toEqual(unknown);
    const task = await fleet.task(truck.unitId);
    expect(task.reasons.join(' ')).toContain('PTO hours not known since 2026-03-02');
    const list = await fleet.client.all('/v1/bring-in?status=unknown');
    expect(list.map((row) => row.unitId)).toContain(truck.unitId);
    // the readings that it had kept bring the answer back
    await truck.gateway.one(run(2, [startMs + 26 * hourMs, 161]));
    await app.settle();
    expect(await state(truck)).toEqual(known);
  });

  test('is not one that sends heartbeats', async () => {
    const truck = await truckHeardAtStart();
    for (let hour = 20; hour <= 100; hour += 20) {
      await app.settleAt(startMs + hour * hourMs);
      await truck.gateway.heartbeat();
    }
    await app.settleAt(startMs + 120 * hourMs);
    expect(await state(truck)).toEqual(known);
    expect((await fleet.measure(truck.unitId)).known).toBe('known');
    await app.settleAt(startMs + 130 * hourMs);
    expect(await state(truck)).toEqual(unknown);
  });

  test('is known again from its first heartbeat on', async () => {
    const truck = await truckHeardAtStart();
    await app.settleAt(startMs + 60 * hourMs);
    expect(await state(truck)).toEqual(unknown);
    await truck.gateway.heartbeat();
    await app.settle();
    expect(await state(truck)).toEqual(known);
  });

  test('its own habit says how long it may be silent', async () => {
    const truck = await truckHeardAtStart();
    await app.settleAt(startMs + 24 * hourMs);
    await truck.gateway.heartbeat();
    // a gap of 24 hours allows 36
    await app.settleAt(startMs + 24 * hourMs + 36 * hourMs - 1);
    expect(await state(truck)).toEqual(known);
    await app.settleAt(startMs + 24 * hourMs + 36 * hourMs);
    expect(await state(truck)).toEqual(unknown);
  });

  test('of two that bring the same controller, the one heard last is believed', async () => {
    const controller = { ...ptoCounter, scope: 'controller', controller: 'C-8' };
    const truck = await truckHeardAtStart([controller]);
    const other = await fleet.gateway();
    await fleet.install(truck.unitId, { gatewayId: other.id }, startMs + hourMs);
    await other.declare(controller);
    for (let hour = 10; hour <= 50; hour += 10) {
      await app.goTo(startMs + hour * hourMs);
      await other.heartbeat();
      await app.settle();
    }
    expect(await state(truck)).toEqual(known);
    await app.settleAt(startMs + 80 * hourMs);
    expect(await state(truck)).toEqual(unknown);
  });

  test('is not hidden by the gateway that was there before it', async () => {
    const controller = { ...ptoCounter, scope: 'controller', controller: 'C-7' };
    const truck = await truckHeardAtStart([controller]);
    const elsewhere = await fleet.unit(await fleet.yard());
    const gatewayId = truck.gateway.id;
    await fleet.install(elsewhere, { gatewayId }, startMs + hourMs, { move: true });
    const next = await fleet.gateway();
    await fleet.install(truck.unitId, { gatewayId: next.id }, startMs + hourMs);
    await next.declare(controller);
    await app.settleAt(startMs + 2 * hourMs);
    await next.one(run(0, [startMs + 2 * hourMs, 161]));
    await app.settle();
    for (let hour = 10; hour <= 30; hour += 10) {
      await app.goTo(startMs + hour * hourMs);
      await truck.gateway.heartbeat();
      await app.settle();
    }
    expect(await state(truck)).toEqual(unknown);
  });
});

test('a task without any counter is unknown, and one never done too', async () => {
  await app.settleAt(startMs);
  const truck = await fleet.truck({ patternId, counters: [] });
  await app.settle();
  expect(await fleet.task(truck.unitId)).toMatchObject({
    status: 'unknown',
    measures: [],
    reasons: ['Nothing says when it was last done.'],
  });
  await fleet.done(truck.unitId, 'grease', startMs - 20 * hourMs);
  await app.settle();
  expect((await fleet.measure(truck.unitId)).known).toBe('none');
  expect(await state(truck)).toEqual(unknown);
});
