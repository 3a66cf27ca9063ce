import { beforeAll, expect, test } from 'vitest';
import { compactReadings } from '../../src/flows/compact-readings.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, ptoCounter, startMs, tickMs } from '../helpers/fleet.ts';
import { postFrames, vehicleHours } from '../helpers/frame.ts';
import { everyReading, foldAnew, stored } from './posting-history.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const counter = { ...ptoCounter, counter: 'bus_pto', basis: 'j1939_248' };

test('readings made of frames are joined like others, and are missing to nobody', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [counter] });
  // a frame every three minutes, a post each, one tick more each time; twice a few posts are lost
  for (let tick = 0; tick < 60; tick += 1) {
    await app.goTo(startMs + tick * tickMs);
    if (tick % 20 > 16) continue;
    await postFrames(gateway.client, [vehicleHours(startMs + tick * tickMs - 1000, 500 + tick)]);
  }
  await app.settle();
  const days = await fleet.days(liftId);
  expect(Object.values(days).reduce((a, b) => a + b, 0)).toBe(56 * 180);

  const { reasons } = await fleet.client.read(`/v1/gateways/${gateway.id}/health`);
  expect(reasons.map((each: Json) => each.code)).not.toContain('numbers_missing');

  const before = await everyReading(app, gateway);
  expect(await stored(app, gateway)).toEqual({ rows: 51, readings: 51 });
  await app.goTo(startMs + 4 * dayMs);
  await compactReadings(app.deps);
  // one for each stretch without something missing
  expect(await stored(app, gateway)).toEqual({ rows: 3, readings: 51 });
  expect(await everyReading(app, gateway)).toEqual(before);
  await foldAnew(app);
  expect(await fleet.days(liftId)).toEqual(days);

  // what was lost turns up after all: it is put in its place, and nothing else moves
  const late = [17, 18, 19].map((t) => vehicleHours(startMs + t * tickMs - 1000, 500 + t));
  const answer = await postFrames(gateway.client, late);
  expect(answer.counters[0]).toMatchObject({ accepted: 3, duplicate: 0 });
  await app.settle();
  expect(await fleet.days(liftId)).toEqual(days);
  expect((await everyReading(app, gateway)).length).toBe(before.length + 3);
});
