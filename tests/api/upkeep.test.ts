import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  run,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  patternId = await fleet.pattern(greaseTask);
});

/** 2 March by the clock in Chicago. */
const at = (hour: number, minute = 0) => startMs + (hour - 12) * hourMs + minute * 60_000;
/** Ticks of 0.05 h: half an hour of use every hour from 8:00 on. */
const morning = run(0, [at(8), 1_000], [at(10), 1_020], [at(12), 1_040]);

async function newTruck(): Promise<Truck> {
  await app.goTo(at(17));
  return fleet.truck({ yardId, patternId });
}
const used = async (truck: Truck) => (await fleet.measure(truck.unitId)).used;
/** So much use since it was done, by hours that end at 17:00. */
async function worked(hoursOfUse: number): Promise<Truck> {
  const truck = await newTruck();
  const from = at(17) - 12 * hourMs;
  await fleet.done(truck.unitId, 'grease', from);
  await truck.gateway.one(run(0, [from, 0], [at(17), hoursOfUse * 20]));
  await app.settle();
  return truck;
}

describe('done', () => {
  test('at noon it does not take the afternoon with it', async () => {
    const truck = await newTruck();
    await truck.gateway.one(morning);
    await truck.gateway.one(run(3, [at(16), 1_080]));
    await fleet.done(truck.unitId, 'grease', at(12));
    await app.settle();
    expect(await fleet.days(truck.liftId)).toEqual({ '2026-03-02': 4 * 3600 });
    expect(await used(truck)).toBe(2);
    const task = await fleet.task(truck.unitId);
    expect(task).toMatchObject({ status: 'ahead', driver: 'calendar', name: greaseTask.name });
  });

  test('between two readings, by the time between them', async () => {
    const truck = await newTruck();
    await truck.gateway.one(morning);
    await fleet.done(truck.unitId, 'grease', at(11));
    await app.settle();
    expect(await used(truck)).toBe(0.5);
  });

  test('a late reading of that forenoon is looked up again', async () => {
    const truck = await newTruck();
    await truck.gateway.one(run(0, [at(8), 1_000]));
    await truck.gateway.one(run(2, [at(12), 1_040]));
    await fleet.done(truck.unitId, 'grease', at(10));
    await app.settle();
    expect(await used(truck)).toBe(1);
    await truck.gateway.one(run(1, [at(10), 1_030]));
    await app.settle();
    expect(await used(truck)).toBe(0.5);
  });

  test('before any reading of it arrived', async () => {
    const truck = await newTruck();
    await fleet.done(truck.unitId, 'grease', at(12));
    await app.settle();
    expect(await used(truck)).toBe(0);
    await truck.gateway.one(morning);
    await truck.gateway.one(run(3, [at(16), 1_080]));
    await app.settle();
    expect(await used(truck)).toBe(2);
  });

  test('on an earlier day, with the days between counted whole', async () => {
    const truck = await newTruck();
    const points = [0, 1, 2, 3].map((day): [number, number] => [
      at(12) - (3 - day) * dayMs,
      day * 40,
    ]);
    await truck.gateway.one(run(0, ...points));
    await fleet.done(truck.unitId, 'grease', at(12) - 2 * dayMs - 6 * hourMs);
    await app.settle();
    expect(await used(truck)).toBe(4.5);
  });

  test('voided, it counts no more; voided again, it is refused', async () => {
    const truck = await newTruck();
    await truck.gateway.one(morning);
    await fleet.done(truck.unitId, 'grease', at(8));
    const wrong = await fleet.done(truck.unitId, 'grease', at(12));
    await app.settle();
    expect(await used(truck)).toBe(0);
    const url = `/v1/units/${truck.unitId}/dones/${wrong.doneId}/void`;
    const voided = await fleet.client.made(url, { reason: 'another truck' });
    expect(voided).toMatchObject({ doneId: wrong.doneId, voided: { reason: 'another truck' } });
    await app.settle();
    expect(await used(truck)).toBe(2);
    const again = await fleet.client.post(url, { reason: 'again' });
    expect([again.status, again.code]).toEqual([409, 'already_voided']);
    const elsewhere = (await newTruck()).unitId;
    const other = `/v1/units/${elsewhere}/dones/${wrong.doneId}/void`;
    expect((await fleet.client.post(other, { reason: 'x' })).code).toBe('not_found');
  });

  test('recorded out of order, the latest doing counts', async () => {
    const truck = await newTruck();
    await truck.gateway.one(morning);
    await fleet.done(truck.unitId, 'grease', at(10));
    await fleet.done(truck.unitId, 'grease', at(8) - 3 * dayMs, { estimated: true });
    await app.settle();
    expect(await used(truck)).toBe(1);
    await fleet.done(truck.unitId, 'grease', at(11));
    await app.settle();
    expect(await used(truck)).toBe(0.5);
  });

  test.each([
    ['a quarter of an hour ahead', at(17, 15), 422, 'time_invalid'],
    ['in 1999', Date.UTC(1999, 11, 31), 422, 'time_invalid'],
  ])('%s is refused', async (_, atMs, status, code) => {
    const truck = await newTruck();
    const url = `/v1/units/${truck.unitId}/tasks/grease/done`;
    const answer = await fleet.client.post(url, { at: text(atMs) });
    expect([answer.status, answer.code]).toEqual([status, code]);
  });

  test('a minute ahead is now', async () => {
    const truck = await newTruck();
    const done = await fleet.done(truck.unitId, 'grease', at(17, 1));
    expect(done.at).toBe(text(at(17)));
  });

  test('of a task or unit that there is not', async () => {
    const { unitId } = await newTruck();
    const body = { at: text(at(12)) };
    const nowhere = '01900000-0000-7000-8000-000000000000';
    for (const url of [
      `/v1/units/${unitId}/tasks/tea/done`,
      `/v1/units/${nowhere}/tasks/grease/done`,
    ]) {
      const answer = await fleet.client.post(url, body);
      expect([answer.status, answer.code]).toEqual([404, 'not_found']);
    }
  });

  test('where two assets have the task, one must be named', async () => {
    const truck = await newTruck();
    const second = await fleet.asset('lift', patternId);
    await fleet.install(truck.unitId, { assetId: second });
    const url = `/v1/units/${truck.unitId}/tasks/grease/done`;
    const answer = await fleet.client.post(url, { at: text(at(12)) });
    expect([answer.status, answer.code]).toEqual([409, 'task_ambiguous']);
    const done = await fleet.done(truck.unitId, 'grease', at(12), { assetId: second });
    expect(done.assetId).toBe(second);
  });
});

describe('windows', () => {
  test.each([
    [8.95, 'ahead', null, null],
    [9, 'in_window', 'pto_hours', null],
    [11, 'in_window', 'pto_hours', null],
    [11.05, 'overrun', 'pto_hours', { effect: 'no', functions: ['wheel_lift'] }],
  ])('%f of 10 hours: %s', async (hoursOfUse, status, driver, effect) => {
    const { unitId } = await worked(hoursOfUse);
    const task = await fleet.task(unitId);
    expect(task).toMatchObject({ status, effect, ...(driver ? { driver } : {}) });
    expect(task.overrunSince).toBe(status === 'overrun' ? '2026-03-02' : null);
    expect(task.reasons[0]).toMatch(/\w/);
  });

  test('done inside its window, the meter that drives keeps its grid', async () => {
    const truck = await worked(9.5);
    await fleet.done(truck.unitId, 'grease', at(17));
    await app.settle();
    expect(await fleet.measure(truck.unitId)).toMatchObject({ used: -0.5 });
  });

  test('a status that changed is told, once', async () => {
    const truck = await worked(11.05);
    const subject = `unit/${truck.unitId}`;
    const told = await fleet.events({ type: 'task.status_changed', subject });
    const steps = told.map(({ data }) => data.to);
    expect(steps.at(-1)).toBe('overrun');
    await truck.gateway.one(run(2, [at(17), 11.05 * 20]));
    await app.settle();
    expect(await fleet.events({ type: 'task.status_changed', subject })).toHaveLength(told.length);
  });

  test.each([0, 1])(
    'a reading ahead of us over midnight counts (done %i days before)',
    async (daysBefore) => {
      const truck = await newTruck();
      const midnight = at(24);
      await app.goTo(midnight - 30_000);
      await fleet.done(truck.unitId, 'grease', at(8) - daysBefore * dayMs);
      await truck.gateway.one(
        run(0, [midnight - 20 * 60_000, 0], [midnight - 60_000, 6], [midnight + 60_000, 6]),
      );
      await truck.gateway.one(run(3, [midnight + 61_000, 7]));
      await app.settle();
      expect(await fleet.days(truck.liftId)).toHaveProperty('2026-03-03');
      expect(await fleet.measure(truck.unitId)).toMatchObject({ used: 0.35 });
    },
  );
});
