import { beforeAll, expect, test } from 'vitest';
import { deleteLeaving } from '../../src/flows/leave-fleet.ts';
import { UseLookup } from '../../src/flows/look-up-use.ts';
import { putAwayReadings } from '../../src/flows/put-away-readings.ts';
import { withFleet } from '../../src/store/pool.ts';
import { assetWork } from '../../src/store/unit-work.ts';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';
import { postFrames, vehicleHours } from '../helpers/frame.ts';
import { everyReading, foldAnew } from './posting-history.ts';

/** What other ways to readings make of it that a month of them is put away: all in one fleet. */
const app = useApp();
const at = (hours: number) => startMs + hours * hourMs;
const hourly = { ...ptoCounter, resolution: 1 };
const onBus = { ...ptoCounter, counter: 'bus_pto', basis: 'j1939_248' };
let fleet: FleetBuilder;
let leaving: FleetBuilder;
let lead: Client;
let plain: Truck;
let moved: Truck;
let disputed: Truck;
let bus: Truck;
let latest: number;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  leaving = new FleetBuilder(app, await app.otherFleet());
  lead = await app.as('lead');
  await app.goTo(at(30));
  const patternId = await fleet.pattern(greaseTask);
  plain = await fleet.truck({ patternId });
  await plain.gateway.one(run(0, [at(-4), 0], [at(0), 40]));
  moved = await fleet.truck({});
  await moved.gateway.one(run(0, [at(0), 10], [at(1), 12]));
  await moved.gateway.epoch('sequence_lost');
  await moved.gateway.one({ epoch: 1, ...run(0, [at(2), 14]) });
  disputed = await fleet.truck({ counters: [hourly] });
  await disputed.gateway.one(run(0, [at(0), 1], [at(8), 5], [at(9), 900], [at(10), 901]));
  await disputed.gateway.one(run(4, [at(11), 901], [at(12), 902]));
  await disputed.gateway.one(run(1, [at(8), 6]));
  bus = await fleet.truck({ counters: [onBus] });
  await postFrames(bus.gateway.client, [vehicleHours(at(0), 50), vehicleHours(at(1), 60)]);
  const other = await leaving.truck({});
  await other.gateway.one(run(0, [at(0), 0], [at(1), 10]));
  await app.settle();
  latest = at(30) + 70 * dayMs;
  await app.goTo(latest);
  const { months, waiting } = await putAwayReadings(app.deps, 1);
  expect({ months: months.length > 0, waiting }).toEqual({ months: true, waiting: null });
  for (const { gateway } of [plain, moved, disputed, bus]) {
    expect(await everyReading(app, gateway)).toEqual([]);
  }
});

test('an epoch that is over takes nothing more, the present one goes on', async () => {
  const over = await moved.gateway.one(run(1, [at(1), 12], [at(3), 13]));
  expect(over).toMatchObject({ accepted: 0, duplicate: 1 });
  expect(over.refused).toEqual([{ from: 2, to: 2, verdict: 'too_late' }]);
  const now = await moved.gateway.one({ epoch: 1, ...run(1, [latest, 30]) });
  expect(now).toMatchObject({ accepted: 1, contiguous: 1, highest: 1 });
  await foldAnew(app);
  const days = Object.values(await fleet.days(moved.liftId));
  expect(days.reduce((sum, grains) => sum + grains, 0)).toBe(20 * 180);
  expect((await moved.gateway.client.get('/v1/gateways/me')).status).toBe(200);
  expect((await app.admin.get(`/v1/gateways/${moved.gateway.id}/health`)).status).toBe(200);
});

test('a word that would bring use from behind the cut is refused, others are kept', async () => {
  const say = async (seq: number, decision: string) => {
    const body = { counter: 'pto_hours', epoch: 0, seq, decision, name: 'B. Quill', reason: 'r' };
    const answer = await lead.post(`/v1/gateways/${disputed.gateway.id}/decisions`, body);
    await app.settle();
    return [answer.status, answer.code];
  };
  const before = await fleet.days(disputed.liftId);
  expect(await say(2, 'counts')).toEqual([422, 'decision_impossible']);
  expect(await say(1, 'this_stands')).toEqual([422, 'decision_impossible']);
  expect(await say(2, 'does_not_count')).toEqual([201, undefined]);
  expect(await say(1, 'first_stands')).toEqual([201, undefined]);
  await foldAnew(app);
  expect(await fleet.days(disputed.liftId)).toEqual(before);
  expect((await fleet.events({ type: 'usage.kept_behind_cut' })).length).toBeGreaterThan(0);
});

test('use up to a moment of a day that is put away is even over the day', async () => {
  const until = (atMs: number) =>
    withFleet(app.db.pools.app, [1], async (tx) => {
      const { sources, uses } = await assetWork(tx, 1, plain.liftId, 100);
      const asset = { fleetId: 1, assetId: plain.liftId, zone: 'America/Chicago' };
      return (await new UseLookup(tx, asset, sources, uses).until('pto_hours', atMs)) / 3600;
    });
  // Two hours on 2 March; startMs is noon.
  expect(await until(at(0))).toBe(1);
  expect(await until(at(6))).toBe(1.5);
  expect(await until(at(-12))).toBe(0);
});

test('frames of times that are put away were told of; later ones count', async () => {
  const counter = ({ counters }: Json) => counters[0];
  const late = await postFrames(bus.gateway.client, [vehicleHours(at(-2), 45)]);
  expect(counter(late)).toMatchObject({ accepted: 0, duplicate: 1 });
  expect(await everyReading(app, bus.gateway)).toEqual([]);
  const now = await postFrames(bus.gateway.client, [vehicleHours(latest, 70)]);
  expect(counter(now)).toMatchObject({ accepted: 1 });
  await foldAnew(app);
  const days = Object.values(await fleet.days(bus.liftId));
  expect(days.reduce((sum, grains) => sum + grains, 0)).toBe(20 * 180);
});

test('a fleet that leaves takes what is put away along', async () => {
  const rows = async () => {
    const found = await app.db.owner.query(
      'select distinct fleet_id from liftwright.reading_run_202603 order by 1',
    );
    return found.rows.map(({ fleet_id: id }) => id);
  };
  expect(await rows()).toHaveLength(2);
  const { token } = await leaving.client.made('/v1/fleet/deletion', {});
  await leaving.client.made('/v1/fleet/deletion/confirm', { token, name: 'Fleet two' });
  await app.goTo(app.clock.nowMs() + 300_000);
  expect(await deleteLeaving(app.deps)).toBe(1);
  expect(await rows()).toEqual([1]);
});

test('its owner may read a month that is put away, to archive it', async () => {
  const { owner } = app.db;
  const asOwner = async () => {
    await owner.query('set role lw_owner');
    const { rows } = await owner.query('select 1 from liftwright.reading_run_202603');
    await owner.query('reset role');
    return rows.length;
  };
  expect(await asOwner()).toBe(0);
  await owner.query('alter table liftwright.reading_run_202603 no force row level security');
  expect(await asOwner()).toBeGreaterThan(3);
  await owner.query('drop table liftwright.reading_run_202603');
  await foldAnew(app);
  expect(await fleet.days(plain.liftId)).toEqual({ '2026-03-02': 7_200 });
});
