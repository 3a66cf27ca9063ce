import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { contract } from '../helpers/contract.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  liftCounter,
  run,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
let yardId: string;
/** By the path of each thing that can be edited: where it is, and a change of it. */
const things: Record<string, { url: string; change: object }> = {};
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  truck = await fleet.truck({ yardId, patternId: await fleet.pattern(greaseTask) });
  const [install] = await fleet.client.all(`/v1/installs?unitId=${truck.unitId}`);
  const reason = 'misread';
  Object.assign(things, {
    '/v1/yards/{yardId}': { url: `/v1/yards/${yardId}`, change: { name: 'Renamed' } },
    '/v1/units/{unitId}': { url: `/v1/units/${truck.unitId}`, change: { note: 'rear light' } },
    '/v1/assets/{assetId}': { url: `/v1/assets/${truck.liftId}`, change: { serial: 'L-9' } },
    '/v1/gateways/{gatewayId}': {
      url: `/v1/gateways/${truck.gateway.id}`,
      change: { note: 'under the seat' },
    },
    '/v1/fleet': { url: '/v1/fleet', change: { name: 'Fleet 1' } },
    '/v1/people/{personId}': {
      url: `/v1/people/${(await fleet.person()).personId}`,
      change: { name: 'A. Penn' },
    },
    '/v1/installs/{installId}': {
      url: `/v1/installs/${install.installId}`,
      change: { note: 'by hand', reason },
    },
  });
  const visit = await fleet.client.made('/v1/visits', {
    ...{ unitId: truck.unitId, yardId, bay: '1' },
    ...{ from: text(startMs), to: text(startMs + hourMs) },
  });
  things['/v1/visits/{visitId}'] = {
    url: `/v1/visits/${visit.visitId}`,
    change: { note: 'by the door' },
  };
  await app.settle();
});

const edited = Object.entries(contract.paths)
  .filter(([, operations]) => operations.patch)
  .map(([path]) => path);
const patch = (url: string, body: object, etag?: string, headers: Record<string, string> = {}) =>
  fleet.client.call({
    method: 'PATCH',
    url,
    body,
    headers: { ...(etag === undefined ? {} : { 'if-match': etag }), ...headers },
  });

test('every PATCH of the contract is tried here', () => {
  expect(edited.toSorted()).toEqual(Object.keys(things).toSorted());
});

describe.each(edited)('%s', (path) => {
  test('is answered with an ETag, and 304 to one who has it', async () => {
    const { url } = things[path]!;
    const first = await fleet.client.get(url);
    const etag = first.headers.etag as string;
    expect(etag).toMatch(/^"[\w-]{27}"$/);
    expect((await fleet.client.get(url)).headers.etag).toBe(etag);
    for (const known of [etag, `W/${etag}`, `"x", ${etag}`, '*']) {
      const again = await fleet.client.get(url, { 'if-none-match': known });
      expect([known, again.status, again.headers.etag]).toEqual([known, 304, etag]);
    }
    expect((await fleet.client.get(url, { 'if-none-match': '"x"' })).status).toBe(200);
  });

  test('is changed only by one who read it as it is', async () => {
    const { url, change } = things[path]!;
    const before = await fleet.client.get(url);
    const etag = before.headers.etag as string;
    const missing = await patch(url, change);
    expect([missing.status, missing.code]).toEqual([428, 'precondition_missing']);
    for (const wrong of ['"x"', `W/${etag}`, '"x", "y"']) {
      const refused = await patch(url, change, wrong);
      expect([wrong, refused.status, refused.code]).toEqual([wrong, 412, 'precondition_failed']);
      expect(refused.headers.etag).toBe(etag);
    }
    for (const unfit of ['x', '"x', 'W/x', '"x" "y"']) {
      expect([unfit, (await patch(url, change, unfit)).code]).toEqual([unfit, 'header_invalid']);
    }
    expect((await fleet.client.get(url)).body).toEqual(before.body);
    const done = await patch(url, change, `"x", ${etag}`);
    expect([done.status, done.body?.code]).toEqual([200, undefined]);
    const after = await fleet.client.get(url);
    expect(done.body).toEqual(after.body);
    expect(done.headers.etag).toBe(after.headers.etag);
    expect(after.headers.etag).not.toBe(etag);
    expect((await patch(url, change, etag)).code).toBe('precondition_failed');
  });

  test('of many at once with one ETag, one changes it', async () => {
    const { url, change } = things[path]!;
    const key = Object.keys(change)[0] as string;
    const etag = (await fleet.client.get(url)).headers.etag as string;
    const answers = await Promise.all(
      Array.from({ length: 6 }, (_, i) => patch(url, { ...change, [key]: `try ${i}` }, etag)),
    );
    const statuses = answers.map((answer) => answer.status).sort();
    expect(statuses).toEqual([200, 412, 412, 412, 412, 412]);
    const won = answers.findIndex((answer) => answer.status === 200);
    expect((await fleet.client.read(url))[key]).toBe(`try ${won}`);
    for (const { headers } of answers) expect(headers.etag).toBe(answers[won]?.headers.etag);
  });

  test('a repeat with its Idempotency-Key gets the first answer, ETag and all', async () => {
    const { url, change } = things[path]!;
    const key = Object.keys(change)[0] as string;
    const etag = (await fleet.client.get(url)).headers.etag as string;
    const send = () =>
      patch(url, { ...change, [key]: 'repeated' }, etag, { 'idempotency-key': path });
    const [first, second] = [await send(), await send()];
    expect([first.status, second.status]).toEqual([200, 200]);
    expect(second.headers['idempotency-replayed']).toBe('true');
    expect([second.body, second.headers.etag]).toEqual([first.body, first.headers.etag]);
  });

  // a key speaks of its own fleet alone
  test.skipIf(path === '/v1/fleet')('of another fleet is not there', async () => {
    const { url, change } = things[path]!;
    const other = await app.otherFleet();
    expect((await other.get(url)).code).toBe('not_found');
    const tried = await other.patch(url, change);
    expect([tried.status, tried.code]).toEqual([404, 'not_found']);
  });
});

describe('a yard', () => {
  test('keeps a name of its own', async () => {
    const other = await fleet.yard();
    const { name } = await fleet.client.read(`/v1/yards/${yardId}`);
    const answer = await fleet.client.patch(`/v1/yards/${other}`, { name });
    expect([answer.status, answer.code]).toEqual([409, 'already_exists']);
  });

  test('whose time zone was wrong has its days reckoned anew', async () => {
    const wrong = await fleet.yard('UTC');
    const { gateway, liftId, unitId } = await fleet.truck({
      yardId: wrong,
      counters: [liftCounter],
    });
    // 23:00 to 01:00 in Chicago: one day there, and two in between for UTC
    const late = startMs - 13 * hourMs;
    const counts = run(0, [late, 0], [late + hourMs, 1], [late + 2 * hourMs, 2]);
    await gateway.post([{ counter: 'lifts', ...counts }]);
    await app.settle();
    const days = () => fleet.days(liftId, 'lift_cycles');
    expect(await days()).toEqual({ '2026-03-02': 2 });
    const changed = await fleet.client.patch(`/v1/yards/${wrong}`, {
      timeZone: 'America/Chicago',
    });
    expect(changed.body.timeZone).toBe('America/Chicago');
    await app.settle();
    expect(await days()).toEqual({ '2026-03-01': 1, '2026-03-02': 1 });
    const [event] = await fleet.events({ type: 'yard.changed', subject: `yard/${wrong}` });
    expect(event.data).toEqual({ timeZone: { from: 'UTC', to: 'America/Chicago' } });
    expect((await fleet.client.read(`/v1/units/${unitId}`)).homeYardId).toBe(wrong);
    const unfit = await fleet.client.patch(`/v1/yards/${wrong}`, { timeZone: 'Here/There' });
    expect(unfit.code).toBe('body_invalid');
  });
});

describe('a unit', () => {
  const move = (unitId: string, body: object) => fleet.client.patch(`/v1/units/${unitId}`, body);

  test('is moved from an instant on, and not to before it came', async () => {
    const { unitId } = await fleet.truck({});
    const [home, away] = [await fleet.yard(), await fleet.yard()];
    const at = text(startMs - dayMs);
    const moved = await move(unitId, { presentYardId: away, at });
    expect([moved.status, moved.body.presentYardId]).toEqual([200, away]);
    const early = await move(unitId, { presentYardId: home, at: text(startMs - 2 * dayMs) });
    expect([early.status, early.code]).toEqual([422, 'time_invalid']);
    // the same instant: it was another yard that it went to
    expect((await move(unitId, { presentYardId: home, at })).body.presentYardId).toBe(home);
    expect((await move(unitId, { presentYardId: away })).body.presentYardId).toBe(away);
    const future = await move(unitId, { presentYardId: home, at: text(startMs + hourMs) });
    expect(future.code).toBe('time_invalid');
    const nowhere = '01900000-0000-7000-8000-000000000000';
    expect((await move(unitId, { homeYardId: nowhere })).code).toBe('reference_unknown');
    expect((await move(unitId, { at })).code).toBe('body_invalid');
  });

  test('with another home has its days by the zone there, from then on', async () => {
    const zoned = await fleet.yard('UTC');
    const { gateway, liftId, unitId } = await fleet.truck({
      yardId: zoned,
      counters: [liftCounter],
    });
    const late = startMs - 13 * hourMs;
    const readings: [number, number][] = [
      [late - dayMs, 0],
      [late - dayMs + hourMs, 1],
      [late, 2],
      [late + hourMs, 3],
    ];
    await gateway.post([{ counter: 'lifts', ...run(0, ...readings) }]);
    await app.settle();
    const before = await fleet.days(liftId, 'lift_cycles');
    const home = await fleet.yard('America/Chicago');
    await move(unitId, { homeYardId: home, at: text(late - hourMs) });
    await app.settle();
    const after = await fleet.days(liftId, 'lift_cycles');
    const total = (days: Json) => Object.values(days as number[]).reduce((a, b) => a + b, 0);
    expect(total(after)).toBe(total(before));
    expect(after).not.toEqual(before);
    expect(after['2026-03-01']).toBeGreaterThan(before['2026-03-01'] ?? 0);
    const { items } = await fleet.client.read('/v1/bring-in?limit=200');
    expect(items.find((unit: Json) => unit.unitId === unitId).yardId).toBe(home);
  });

  test('keeps a number of its own, and a note out of the chain', async () => {
    const [a, b] = [await fleet.unit(yardId), await fleet.unit(yardId)];
    const { number } = await fleet.client.read(`/v1/units/${a}`);
    expect((await move(b, { number })).code).toBe('already_exists');
    expect((await move(b, { number: 'B 7', note: 'with J.' })).status).toBe(200);
    await app.settle();
    const [event] = await fleet.events({ type: 'unit.changed', subject: `unit/${b}` });
    expect(Object.keys(event.data)).toEqual(['number']);
    expect(event.personal.note.to).toBe('with J.');
    expect((await move(b, { note: null })).body.note).toBeNull();
  });
});

describe('an asset', () => {
  test('follows the next version of its pattern when it is told to', async () => {
    const patternId = await fleet.pattern(greaseTask);
    const { unitId, liftId } = await fleet.truck({ patternId });
    await app.settle();
    const document = {
      ...(await fleet.client.read(`/v1/patterns/${patternId}`)).document,
      tasks: [greaseTask, { ...greaseTask, key: 'look', name: 'Look at all fittings' }],
    };
    await fleet.client.made('/v1/patterns', { patternId, document });
    const keys = async () =>
      (await fleet.client.read(`/v1/units/${unitId}/tasks`)).tasks.map((t: Json) => t.task).sort();
    await app.settle();
    expect(await keys()).toEqual(['grease']);
    const changed = await fleet.client.patch(`/v1/assets/${liftId}`, { patternId });
    expect(changed.body.patternVersion).toBe(2);
    await app.settle();
    expect(await keys()).toEqual(['grease', 'look']);
    await fleet.client.patch(`/v1/assets/${liftId}`, { patternVersion: 1 });
    await app.settle();
    expect(await keys()).toEqual(['grease']);
    const none = await fleet.client.patch(`/v1/assets/${liftId}`, { patternVersion: 9 });
    expect(none.code).toBe('reference_unknown');
    const bare = await fleet.asset('lift');
    const without = await fleet.client.patch(`/v1/assets/${bare}`, { patternVersion: 1 });
    expect(without.code).toBe('reference_unknown');
  });
});

test('what says nothing new changes nothing and leaves no event', async () => {
  const url = `/v1/yards/${await fleet.yard('UTC')}`;
  const { body, headers } = await fleet.client.get(url);
  const same = await fleet.client.patch(url, { name: body.name, timeZone: 'UTC' });
  expect([same.status, same.headers.etag]).toEqual([200, headers.etag]);
  await app.settle();
  const subject = url.replace('/v1/yards/', 'yard/');
  expect((await fleet.events({ subject })).map((event) => event.type)).toEqual(['yard.added']);
});
