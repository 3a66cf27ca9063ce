import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, hourMs, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  patternId = await fleet.pattern(greaseTask);
});

let bays = 0;
const newBay = () => `bay ${++bays}`;
const at = (hours: number) => text(startMs + hours * hourMs);
const plan = (unitId: string, from: number, to: number, more: object = {}) => ({
  ...{ unitId, yardId, bay: newBay(), from: at(from), to: at(to) },
  ...more,
});
const told = ({ status, code }: Answer) => [status, code];
const overlaps = [409, 'visit_overlaps'];
const invalid = [422, 'time_invalid'];

describe('a bay', () => {
  test('holds one unit at a time; visits that touch are none too many', async () => {
    const [one, two] = [await fleet.unit(yardId, 'first in'), await fleet.unit(yardId)];
    const bay = newBay();
    const first = await fleet.client.made('/v1/visits', plan(one, 10, 14, { bay }));
    const times: [number, number][] = [
      [10, 14],
      [9, 11],
      [13, 15],
      [11, 12],
      [9, 15],
    ];
    for (const [from, to] of times) {
      const answer = await fleet.client.post('/v1/visits', plan(two, from, to, { bay }));
      expect([from, to, ...told(answer)]).toEqual([from, to, ...overlaps]);
      expect(answer.body.detail).toContain('unit first in from 2026-03-03T04:00');
    }
    const shouted = plan(two, 10, 14, { bay: bay.toUpperCase() });
    expect(told(await fleet.client.post('/v1/visits', shouted))).toEqual(overlaps);
    await fleet.client.made('/v1/visits', plan(two, 14, 15, { bay }));
    await fleet.client.made('/v1/visits', plan(two, 8, 10, { bay }));
    const elsewhere = { bay, yardId: await fleet.yard() };
    await fleet.client.made('/v1/visits', plan(two, 10, 14, elsewhere));
    await fleet.client.made(`/v1/visits/${first.visitId}/cancel`, { reason: 'on a call' });
    const three = await fleet.unit(yardId);
    await fleet.client.made('/v1/visits', plan(three, 10, 14, { bay }));
  });

  test('that many ask for at once is given once', async () => {
    const bay = newBay();
    const units = await Promise.all(Array.from({ length: 5 }, () => fleet.unit(yardId)));
    const answers = await Promise.all(
      units.map((unitId) => fleet.client.post('/v1/visits', plan(unitId, 20, 22, { bay }))),
    );
    const statuses = answers.map(({ status }) => status).sort();
    expect(statuses).toEqual([201, 409, 409, 409, 409]);
    for (const answer of answers) if (answer.status === 409) expect(told(answer)).toEqual(overlaps);
  });
});

test('a unit is in one bay at a time', async () => {
  const unitId = await fleet.unit(yardId);
  await fleet.client.made('/v1/visits', plan(unitId, 1, 3));
  const answer = await fleet.client.post('/v1/visits', plan(unitId, 2, 4));
  expect(told(answer)).toEqual(overlaps);
  expect(answer.body.detail).toContain('The unit has a visit already');
});

test('a visit keeps to what dispatch agreed to, and new times need a new agreement', async () => {
  const unitId = await fleet.unit(yardId);
  const agreed = { canSpareFrom: at(5), backBy: at(12), agreedBy: 'D. Ochoa' };
  const post = (from: number, to: number) =>
    fleet.client.post('/v1/visits', plan(unitId, from, to, agreed));
  expect(told(await post(4, 8))).toEqual(invalid);
  expect(told(await post(5, 13))).toEqual(invalid);
  expect(told(await post(8, 8))).toEqual(invalid);
  const made = await post(6, 8);
  expect(made.body).toMatchObject({ unitId, ...agreed, cancelled: null });
  const url = `/v1/visits/${made.body.visitId}`;
  expect(made.headers.etag).toBe((await fleet.client.get(url)).headers.etag);
  const patch = (body: object) => fleet.client.patch(url, body);
  expect((await patch({ note: 'wash it first' })).body.agreedBy).toBe('D. Ochoa');
  expect((await patch({ to: at(10) })).body).toMatchObject({ to: at(10), agreedBy: null });
  expect((await patch({ agreedBy: 'D. Ochoa' })).body.agreedBy).toBe('D. Ochoa');
  expect(told(await patch({ to: at(13) }))).toEqual(invalid);
  const later = { to: at(13), backBy: at(14), agreedBy: 'E. Lund' };
  expect((await patch(later)).body).toMatchObject(later);
  expect((await patch({ canSpareFrom: null, backBy: null })).body).toMatchObject({
    canSpareFrom: null,
    backBy: null,
    agreedBy: null,
  });
  expect((await patch({})).code).toBe('body_invalid');
});

test('a cancelled visit stays cancelled, and says why', async () => {
  const unitId = await fleet.unit(yardId);
  const { visitId } = await fleet.client.made('/v1/visits', plan(unitId, 1, 2));
  const cancel = () => fleet.client.post(`/v1/visits/${visitId}/cancel`, { reason: 'sold' });
  expect((await cancel()).body.cancelled).toEqual({ reason: 'sold', at: text(startMs) });
  expect(told(await cancel())).toEqual([409, 'visit_cancelled']);
  const change = await fleet.client.patch(`/v1/visits/${visitId}`, { note: 'x' });
  expect(told(change)).toEqual([409, 'visit_cancelled']);
  const { owner } = app.db;
  const undo = `update liftwright.visit set cancelled_at = null, cancelled_by = null,
    cancel_reason = null where visit_id = $1`;
  await expect(owner.query(undo, [visitId])).rejects.toThrow('stays cancelled');
  const types = (await fleet.events({ subject: `unit/${unitId}` })).map(({ type }) => type);
  expect(types).toEqual([]);
  await app.settle();
  const events = await fleet.events({ subject: `unit/${unitId}` });
  expect(events.map(({ type }) => type)).toContain('visit.cancelled');
  const cancelled = events.find(({ type }) => type === 'visit.cancelled');
  expect(cancelled.data).not.toHaveProperty('reason');
  expect(cancelled.personal).toMatchObject({ reason: 'sold' });
});

test('visits are found by unit, yard and time', async () => {
  const unitId = await fleet.unit(yardId);
  const other = await fleet.yard();
  const ids: string[] = [];
  for (const [from, to, more] of [
    [100, 102, {}],
    [110, 112, { yardId: other }],
    [120, 122, {}],
  ] as const) {
    ids.push((await fleet.client.made('/v1/visits', plan(unitId, from, to, more))).visitId);
  }
  await fleet.client.made(`/v1/visits/${ids[2]}/cancel`, { reason: 'x' });
  const found = async (query: Record<string, string>) => {
    const rows = await fleet.client.all(`/v1/visits?${new URLSearchParams({ unitId, ...query })}`);
    return rows.map(({ visitId }) => ids.indexOf(visitId));
  };
  expect(await found({})).toEqual([0, 1, 2]);
  expect(await found({ yardId: other })).toEqual([1]);
  expect(await found({ cancelled: 'false' })).toEqual([0, 1]);
  expect(await found({ cancelled: 'true' })).toEqual([2]);
  expect(await found({ from: at(102), to: at(110) })).toEqual([]);
  expect(await found({ from: at(101), to: at(111) })).toEqual([0, 1]);
});

test('the bring-in list shows the visit that a unit is on, or its next one', async () => {
  const truck = await fleet.truck({ yardId, patternId });
  await app.settle();
  const row = async () => {
    const items = await fleet.client.all('/v1/bring-in');
    return items.find(({ unitId }) => unitId === truck.unitId);
  };
  expect((await row()).visit).toBeNull();
  const etag = (await fleet.client.get('/v1/bring-in')).headers.etag;
  const agreed = { canSpareFrom: at(30), backBy: at(40), agreedBy: 'D. Ochoa' };
  const body = plan(truck.unitId, 31, 35, agreed);
  const later = await fleet.client.made('/v1/visits', plan(truck.unitId, 50, 52));
  expect((await row()).visit).toMatchObject({ visitId: later.visitId, agreed: false });
  const { visitId } = await fleet.client.made('/v1/visits', body);
  const { canSpareFrom, backBy } = agreed;
  const times = { from: at(31), to: at(35), canSpareFrom, backBy };
  expect((await row()).visit).toEqual({ visitId, yardId, bay: body.bay, ...times, agreed: true });
  expect((await fleet.client.get('/v1/bring-in')).headers.etag).not.toBe(etag);
  await app.goTo(startMs + 35 * hourMs - 1);
  expect((await row()).visit.visitId).toBe(visitId);
  await app.goTo(startMs + 35 * hourMs);
  expect((await row()).visit.visitId).toBe(later.visitId);
  await fleet.client.made(`/v1/visits/${later.visitId}/cancel`, { reason: 'x' });
  expect((await row()).visit).toBeNull();
  await app.goTo(startMs + 3 * dayMs);
});

test('nothing of a visit is another fleet’s', async () => {
  const unitId = await fleet.unit(yardId);
  const { visitId } = await fleet.client.made('/v1/visits', plan(unitId, 200, 201));
  const other: Client = await app.otherFleet();
  const builder = new FleetBuilder(app, other);
  const theirs = { yardId: await builder.yard(), unitId: '' };
  theirs.unitId = await builder.unit(theirs.yardId);
  const body = plan(theirs.unitId, 200, 201, { yardId: theirs.yardId });
  const mine = await other.made('/v1/visits', body);
  const bodies: [object, unknown[]][] = [
    [{ ...body, unitId }, [404, 'not_found']],
    [{ ...body, yardId, from: at(300), to: at(301) }, [422, 'reference_unknown']],
  ];
  for (const [wrong, expected] of bodies) {
    expect(told(await other.post('/v1/visits', wrong))).toEqual(expected);
  }
  const moved = await other.patch(`/v1/visits/${mine.visitId}`, { yardId });
  expect(told(moved)).toEqual([422, 'reference_unknown']);
  const cancel = await other.post(`/v1/visits/${visitId}/cancel`, { reason: 'x' });
  expect(told(cancel)).toEqual([404, 'not_found']);
  expect(await other.all(`/v1/visits?unitId=${unitId}`)).toEqual([]);
  expect((await other.all('/v1/visits')).map((row) => row.visitId)).toEqual([mine.visitId]);
});
