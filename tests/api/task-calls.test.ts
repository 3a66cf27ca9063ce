import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, hourMs, startMs, type Truck } from '../helpers/fleet.ts';

const app = useApp();
const lookTask = { ...greaseTask, key: 'look', name: 'Look it over', every: { days: 90 } };
let fleet: FleetBuilder;
let patternId: string;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  patternId = await fleet.pattern(greaseTask, lookTask);
});
const told = ({ status, code }: Answer) => [status, code];

/** A unit whose tasks were all done yesterday. */
async function soundTruck(): Promise<Truck> {
  const truck = await fleet.truck({ yardId, patternId });
  for (const task of ['grease', 'look']) {
    await fleet.done(truck.unitId, task, app.clock.nowMs() - dayMs);
  }
  await truck.gateway.heartbeat();
  await app.settle();
  return truck;
}
const call = (unitId: string, words = 'Stood in a flood.', task = 'look') =>
  fleet.client.made(`/v1/units/${unitId}/tasks/${task}/calls`, { words });

test('a called task is in its window at once, until it is done after the call', async () => {
  const { unitId, liftId } = await soundTruck();
  const place = async () => {
    const items = await fleet.client.all('/v1/bring-in');
    return items.find((row) => row.unitId === unitId);
  };
  expect(await fleet.task(unitId, 'look')).toMatchObject({ status: 'ahead', called: null });
  const made = await call(unitId);
  expect(made).toMatchObject({
    assetId: liftId,
    task: 'look',
    cause: { kind: 'person', id: null },
    words: 'Stood in a flood.',
    answered: false,
    withdrawn: null,
  });
  await app.settle();
  const due = await fleet.task(unitId, 'look');
  expect(due).toMatchObject({ status: 'in_window', knownStatus: 'in_window', driver: 'call' });
  expect(due.full).toEqual({ day: '2026-03-02', past: true, by: 'call', noDay: null });
  expect(due.reasons[0]).toBe('Called due on 2026-03-02, because the shop asked for it.');
  expect(due.limit.past).toBe(false);
  expect((await fleet.task(unitId, 'grease')).called).toBeNull();
  expect((await place()).reasons.map(({ text }: { text: string }) => text)).toContain(
    due.reasons[0],
  );

  await app.settleAt(startMs + 3 * hourMs);
  await fleet.done(unitId, 'look', startMs - hourMs);
  await fleet.done(unitId, 'look', startMs + hourMs, { estimated: true });
  await app.settle();
  expect((await fleet.task(unitId, 'look')).status).toBe('in_window');
  const { doneId } = await fleet.done(unitId, 'look', startMs + 2 * hourMs);
  await app.settle();
  expect(await fleet.task(unitId, 'look')).toMatchObject({ status: 'ahead', called: null });
  const answered = async () => {
    const rows = await fleet.client.all(`/v1/assets/${liftId}/task-calls?task=look`);
    return rows.map((row) => row.answered);
  };
  expect(await answered()).toEqual([true]);
  await fleet.client.made(`/v1/units/${unitId}/dones/${doneId}/void`, { reason: 'not greased' });
  await app.settle();
  expect((await fleet.task(unitId, 'look')).status).toBe('in_window');
  expect(await answered()).toEqual([false]);
});

test('what was never done, and is called, is in its window and says both', async () => {
  const { unitId } = await fleet.truck({ yardId, patternId });
  await call(unitId);
  await call(unitId, 'and again');
  await app.settle();
  const task = await fleet.task(unitId, 'look');
  expect(task).toMatchObject({ status: 'in_window', called: { cause: 'person', calls: 2 } });
  expect(task.reasons).toEqual([
    expect.stringContaining('(and 1 more since)'),
    'Nothing says when it was last done.',
  ]);
});

test('a call never makes an overrun look better', async () => {
  const { unitId } = await fleet.truck({ yardId, patternId });
  await fleet.done(unitId, 'look', startMs - 110 * dayMs);
  await app.settle();
  const before = await fleet.task(unitId, 'look');
  expect(before).toMatchObject({ status: 'overrun', effect: { effect: 'no' } });
  await call(unitId);
  await app.settle();
  const after = await fleet.task(unitId, 'look');
  const { overrunSince, effect, limit } = before;
  expect(after).toMatchObject({ status: 'overrun', overrunSince, effect, limit });
  expect(after.reasons[0]).toBe(before.reasons[0]);
  expect(after.reasons[1]).toContain('Called due on');
});

test('a call for nothing is withdrawn once, and the words stay out of the chain', async () => {
  const { unitId, liftId } = await soundTruck();
  const { callId } = await call(unitId, 'told by Kim at the gate');
  await app.settle();
  const url = `/v1/units/${unitId}/task-calls/${callId}/withdraw`;
  const other = await fleet.unit(yardId);
  const elsewhere = `/v1/units/${other}/task-calls/${callId}/withdraw`;
  expect(told(await fleet.client.post(elsewhere, { reason: 'x' }))).toEqual([404, 'not_found']);
  const reason = 'the wrong truck';
  expect((await fleet.client.made(url, { reason })).withdrawn).toMatchObject({ reason });
  expect(told(await fleet.client.post(url, { reason }))).toEqual([409, 'already_voided']);
  await app.settle();
  expect((await fleet.task(unitId, 'look')).status).toBe('ahead');
  const [row] = await fleet.client.all(`/v1/assets/${liftId}/task-calls`);
  expect(row).toMatchObject({ callId, withdrawn: { reason } });
  const events = await fleet.events({ subject: `unit/${unitId}` });
  const chained = JSON.stringify(events.map(({ data }) => data));
  for (const words of ['Kim', 'wrong truck']) expect(chained).not.toContain(words);
  expect(events.map(({ type }) => type)).toEqual(
    expect.arrayContaining(['task.called', 'task.status_changed', 'task.call_withdrawn']),
  );
});

test('a call goes with the asset to another unit', async () => {
  const { unitId, liftId } = await soundTruck();
  await call(unitId);
  await app.settle();
  const to = await fleet.unit(yardId);
  await fleet.install(to, { assetId: liftId }, startMs + 2 * hourMs, { move: true });
  await app.settle();
  expect(await fleet.task(unitId, 'look')).toBeUndefined();
  expect((await fleet.task(to, 'look')).called).toMatchObject({ cause: 'person', calls: 1 });
});

test('only what is there can be called, and only in one’s own fleet', async () => {
  const { unitId, liftId } = await soundTruck();
  const { callId } = await call(unitId);
  const words = { words: 'x' };
  const nothing = await fleet.client.post(`/v1/units/${unitId}/tasks/nothing/calls`, words);
  expect(told(nothing)).toEqual([404, 'not_found']);
  for (const bad of [{}, { words: ' ' }, { words: 'x'.repeat(2001) }]) {
    const answer = await fleet.client.post(`/v1/units/${unitId}/tasks/look/calls`, bad);
    expect(told(answer)).toEqual([400, 'body_invalid']);
  }
  const other = await app.otherFleet();
  const theirs = await new FleetBuilder(app, other).truck({});
  for (const [url, body] of [
    [`/v1/units/${unitId}/tasks/look/calls`, words],
    [`/v1/units/${theirs.unitId}/tasks/look/calls`, { ...words, assetId: liftId }],
    [`/v1/units/${unitId}/task-calls/${callId}/withdraw`, { reason: 'x' }],
    [`/v1/units/${theirs.unitId}/task-calls/${callId}/withdraw`, { reason: 'x' }],
  ] as const) {
    expect([url, ...told(await other.post(url, body))]).toEqual([url, 404, 'not_found']);
  }
  expect((await other.get(`/v1/assets/${liftId}/task-calls`)).code).toBe('not_found');
});
