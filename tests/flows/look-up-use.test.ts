import { beforeAll, expect, test } from 'vitest';
import { UseLookup } from '../../src/flows/look-up-use.ts';
import { withFleet } from '../../src/store/pool.ts';
import { assetWork } from '../../src/store/unit-work.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, greaseTask, hourMs, run, startMs, type Truck } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(greaseTask);
});
const zone = 'America/Chicago';
/** 2 March by the clock in Chicago. */
const at = (hour: number) => startMs + (hour - 12) * hourMs;

/** Two hours of use from 8:00 to 12:00; the number between them is missing. */
async function newTruck(): Promise<Truck> {
  const truck = await fleet.truck({ patternId });
  await truck.gateway.one(run(0, [at(8), 1_000]));
  await truck.gateway.one(run(2, [at(12), 1_040]));
  await app.settle();
  return truck;
}

async function lookUp(truck: Truck, atMs: number, meanwhile = async () => {}): Promise<number> {
  return withFleet(app.db.pools.app, 1, async (tx) => {
    const { sources, uses } = await assetWork(tx, 1, truck.liftId, 100);
    const lookup = new UseLookup(tx, { fleetId: 1, assetId: truck.liftId, zone }, sources, uses);
    const grains = await lookup.until('pto_hours', atMs);
    await meanwhile();
    return grains / 3600;
  });
}

test.each([
  [0, 0],
  [8, 0],
  [9, 0.5],
  [11, 1.5],
  [12, 2],
  [20, 2],
])('until %i:00 it was used %f hours', async (hour, hours) => {
  const truck = await newTruck();
  expect(await lookUp(truck, at(hour))).toBe(hours);
  // the second time from what was kept
  expect(await lookUp(truck, at(hour))).toBe(hours);
});

test('use before the asset came onto the unit is not its own', async () => {
  const { gateway } = await newTruck();
  const liftId = await fleet.asset('lift', patternId);
  const unitId = await fleet.unit(await fleet.yard());
  await fleet.install(unitId, { gatewayId: gateway.id }, at(10), { move: true });
  await fleet.install(unitId, { assetId: liftId }, at(10));
  await app.settle();
  expect(await lookUp({ unitId, liftId, gateway }, at(12))).toBe(1);
  expect(await lookUp({ unitId, liftId, gateway }, at(11))).toBe(0.5);
});

test('a reading that comes while it is looked up is not overlooked afterwards', async () => {
  const truck = await newTruck();
  let folding: Promise<unknown> = Promise.resolve();
  await lookUp(truck, at(11), async () => {
    // by 10:00 it had an hour and a half: a quarter more by 11:00 than it seemed
    await truck.gateway.one(run(1, [at(10), 1_030]));
    folding = app.answerCalls();
    await Promise.race([folding, new Promise((settle) => setTimeout(settle, 700))]);
  });
  await folding;
  await fleet.done(truck.unitId, 'grease', at(11));
  await app.settle();
  expect(await fleet.measure(truck.unitId)).toMatchObject({ used: 0.25 });
});
