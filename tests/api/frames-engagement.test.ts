import { beforeAll, beforeEach, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { FleetBuilder, hourMs, startMs } from '../helpers/fleet.ts';
import { postFrames, ptoEngaged, vehicleHours } from '../helpers/frame.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});
beforeEach(() => app.goTo(startMs));

/** 36 s a tick. */
const derived = {
  counter: 'engaged',
  meter: 'pto_hours',
  resolution: 0.01,
  basis: 'derived_j1939_3948',
};
const bus = { counter: 'bus_pto', meter: 'pto_hours', resolution: 0.05, basis: 'j1939_248' };
const beginMs = startMs - 4 * hourMs;
const off = 0;
const on = 1;
const fault = 2;
const unknown = 3;

/** One sample a second. */
const said = (fromMs: number, seconds: number, state: number, everyMs = 1000) =>
  Array.from({ length: seconds }, (_, i) => ptoEngaged(fromMs + i * everyMs, state));

const counterOf = ({ counters }: Json, name = 'engaged'): Json =>
  counters.find((each: Json) => each.counter === name);

async function useOf(assetId: string): Promise<number> {
  await app.settle();
  const days = await fleet.days(assetId);
  return Object.values(days).reduce((sum, grains) => sum + grains, 0);
}

test('half an hour engaged within two hours is half an hour of use, over many posts', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [derived] });
  const frames = [
    ...said(beginMs, 1800, off),
    ...said(beginMs + 1_800_000, 1800, on),
    ...said(beginMs + 3_600_000, 3600, off),
  ];
  // cut so that posts end while engaged
  for (let from = 0; from < frames.length; from += 700) {
    await postFrames(gateway.client, frames.slice(from, from + 700));
  }
  expect(await useOf(liftId)).toBe(1800);
  const again = await postFrames(gateway.client, frames);
  expect(counterOf(again)).toMatchObject({ accepted: 0, duplicate: 7200, late: 0, raw: 50 });
  expect(again.heard).toBe(false);
  expect(await useOf(liftId)).toBe(1800);
});

test('errors, "not available" and long silences count nothing', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [derived] });
  const minute = 60_000;
  const answer = await postFrames(gateway.client, [
    ...said(beginMs, 61, on), // one minute
    ...said(beginMs + minute + 1000, 60, fault), // from the last "on" to here: nobody knows
    ...said(beginMs + 2 * minute + 1000, 61, on), // one minute
    ...said(beginMs + 3 * minute + 2000, 60, unknown),
    ...said(beginMs + 30 * minute, 1, on), // a silence before it
    ...said(beginMs + 32 * minute, 2, on), // 120 s after: too far apart; then one second
    ...said(beginMs + 33 * minute, 3, on, minute), // 59 s, then asked once a minute: all counts
  ]);
  expect(counterOf(answer).skipped).toMatchObject({ error: 60, not_available: 60 });
  // 60 + 60 + 1 + 59 + 120 s, in whole ticks of 36 s
  expect(counterOf(answer).raw).toBe(Math.floor(300 / 36));
  expect(await useOf(liftId)).toBe(8 * 36);
});

test('what comes late is not counted and is told as late, not as a duplicate', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [derived] });
  const parts = [0, 1, 2].map((i) => said(beginMs + i * 600_000, 361, on));
  await postFrames(gateway.client, parts[0] ?? []);
  await postFrames(gateway.client, parts[2] ?? []);
  const answer = counterOf(
    await postFrames(gateway.client, [...(parts[1] ?? []), ...(parts[0] ?? [])]),
  );
  expect(answer).toMatchObject({ accepted: 0, late: 361, duplicate: 361 });
  expect(await useOf(liftId)).toBe(720);
});

test('it never mixes with the counter of the vehicle: each is a line of its own', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [bus, derived] });
  // the vehicle counts an hour while the states say that nothing was engaged
  const frames = Array.from({ length: 3601 }, (_, i) => [
    vehicleHours(beginMs + i * 1000, 500 + Math.floor(i / 180)),
    ptoEngaged(beginMs + i * 1000, off),
  ]).flat();
  const answer = await postFrames(gateway.client, frames);
  expect(counterOf(answer, 'bus_pto')).toMatchObject({ raw: 520, source: 0 });
  expect(counterOf(answer)).toMatchObject({ raw: 0, source: 0x21, unchanged: 3600 });
  expect(await useOf(liftId)).toBe(3600);
  const { counters } = await gateway.client.read('/v1/gateways/me/counters');
  expect(counters.map((each: Json) => each.basis)).toEqual(['j1939_248', 'derived_j1939_3948']);
  const { rows } = await app.db.owner.query(
    'select count(distinct line_id)::int as n from liftwright.counter where gateway_id = $1',
    [gateway.id],
  );
  expect(rows[0].n).toBe(2);
});

test('the counter that counts is not heard: no sign of life, whatever else is heard', async () => {
  const { gateway } = await fleet.truck({ counters: [bus, derived] });
  const answer = await postFrames(gateway.client, said(beginMs, 60, on));
  expect(answer).toMatchObject({ heard: false, unheard: ['bus_pto'] });
  const both = [vehicleHours(beginMs + 70_000, 500), ...said(beginMs + 70_000, 60, on)];
  expect(await postFrames(gateway.client, both)).toMatchObject({ heard: true, unheard: [] });
  // for an hour it may be missing: vehicles send it only when they are asked
  const soon = await postFrames(gateway.client, said(beginMs + hourMs, 10, on));
  expect(soon).toMatchObject({ heard: true, unheard: [] });
  const late = await postFrames(gateway.client, said(beginMs + 2 * hourMs, 10, on));
  expect(late).toMatchObject({ heard: false, unheard: ['bus_pto'] });
  // one that only cross-checks need not be heard
  const other = [vehicleHours(beginMs + 3.5 * hourMs, 500)];
  expect(await postFrames(gateway.client, other)).toMatchObject({ heard: true, unheard: [] });
});

test('asked too seldom, nothing is known of it: that is no sign of life', async () => {
  const { gateway, liftId } = await fleet.truck({ counters: [derived] });
  await postFrames(gateway.client, said(beginMs, 1, on));
  const answer = await postFrames(gateway.client, said(beginMs + 300_000, 10, on, 300_000));
  expect(answer.heard).toBe(false);
  expect(counterOf(answer)).toMatchObject({ unseen: 10, raw: 0, unchanged: 10 });
  // after a night, engaged as it was left: only the first time is unseen
  const next = await postFrames(gateway.client, said(beginMs + 3.5 * hourMs, 37, on));
  expect(next.heard).toBe(true);
  expect(counterOf(next)).toMatchObject({ unseen: 1, raw: 1 });
  expect(await useOf(liftId)).toBe(36);
});

test('states alone that say nothing begin nothing', async () => {
  const { gateway } = await fleet.truck({ counters: [derived] });
  const answer = await postFrames(gateway.client, said(beginMs, 10, unknown));
  expect(answer.heard).toBe(false);
  expect(counterOf(answer)).toMatchObject({ raw: null, knownUntil: null });
  expect(counterOf(await postFrames(gateway.client, said(beginMs, 61, on)))).toMatchObject({
    raw: 1,
    accepted: 2,
  });
});
