import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let lead: Client;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  lead = await app.as('lead');
  yardId = await fleet.yard();
  await app.goTo(startMs + 4 * dayMs);
});

const hourly = { ...ptoCounter, resolution: 1 };
const total = (assetId: string) => fleet.hours(assetId);
const said = { name: 'B. Quill', reason: 'the other one misses half' };
const choose = async (
  assetId: string,
  source: object | string,
  fromMs: number,
  toMs: number | null = null,
): Promise<Json> => {
  const to = toMs === null ? null : text(toMs);
  const body = { meter: 'pto_hours', source, from: text(fromMs), to, ...said };
  const made = await lead.made(`/v1/assets/${assetId}/meter-sources`, body);
  await app.settle();
  return made;
};
const withdraw = async (assetId: string, choiceId: string) => {
  const url = `/v1/assets/${assetId}/meter-sources/${choiceId}/withdraw`;
  const made = await lead.made(url, { name: 'C. Reed', reason: 'it does not' });
  await app.settle();
  return made;
};
const sources = (assetId: string, query = ''): Promise<Json> =>
  fleet.client.read(`/v1/assets/${assetId}/meter-sources?meter=pto_hours${query}`);
const refused = ({ status, code }: Answer) => [status, code];

/** Two gateways on one unit: over two days the first counts 10 hours, the second 20. */
async function twice(patternId?: string) {
  const more = patternId ? { patternId } : {};
  const truck = await fleet.truck({ yardId, counters: [hourly], ...more });
  const second = await fleet.gateway(hourly);
  await fleet.install(truck.unitId, { gatewayId: second.id });
  await truck.gateway.one(run(0, [startMs, 7], [startMs + 2 * dayMs, 17]));
  await second.one(run(0, [startMs, 900], [startMs + 2 * dayMs, 920]));
  await app.settle();
  return { ...truck, second };
}
const named = ({ id }: Gateway) => ({
  byHand: false,
  controller: null,
  counters: [{ gatewayId: id, counter: 'pto_hours' }],
});

describe('two gateways count one meter', () => {
  test('one counts by the rule, the other is shown beside it', async () => {
    const { liftId, gateway, second } = await twice();
    const shown = await sources(liftId);
    expect(await total(liftId)).toBe(10);
    expect(shown.counting).toMatchObject([{ by: 'rule', to: null, source: named(gateway) }]);
    expect(shown.counting[0].others).toEqual([
      {
        source: named(second),
        ...{ from: shown.from, to: shown.to, use: 20, countedUse: 10, difference: 10 },
      },
    ]);
    // of one day in the middle both are half
    const range = `&from=${text(startMs + 12 * hourMs)}&to=${text(startMs + 36 * hourMs)}`;
    const { counting } = await sources(liftId, range);
    expect(counting[0].others).toMatchObject([{ use: 10, countedUse: 5, difference: 5 }]);
  });

  test('a choice holds from-to, and no more when it is taken back', async () => {
    const { liftId, gateway, second } = await twice();
    const made = await choose(
      liftId,
      { gatewayId: second.id },
      startMs + dayMs,
      startMs + 36 * hourMs,
    );
    expect(made).toMatchObject({ meter: 'pto_hours', name: said.name, withdrawn: null });
    // a day of the first, half a day of the second, half a day of the first
    expect(await total(liftId)).toBe(5 + 5 + 2.5);
    const shown = await sources(liftId);
    expect(shown.counting.map((each: Json) => [each.by, each.source])).toEqual([
      ['rule', named(gateway)],
      ['choice', named(second)],
      ['rule', named(gateway)],
    ]);
    expect(shown.counting[1].others).toMatchObject([{ source: named(gateway), use: 2.5 }]);
    expect(shown.choices).toMatchObject([{ choiceId: made.choiceId, source: named(second) }]);
    const back = await withdraw(liftId, made.choiceId);
    expect(back.withdrawn).toMatchObject({ name: 'C. Reed' });
    expect(await total(liftId)).toBe(10);
    const url = `/v1/assets/${liftId}/meter-sources/${made.choiceId}/withdraw`;
    expect(refused(await lead.post(url, said))).toEqual([409, 'already_voided']);
    const types = (await fleet.events({ subject: `asset/${liftId}` })).map(({ type }) => type);
    expect(types).toEqual(
      expect.arrayContaining(['meter_source.chosen', 'meter_source.withdrawn']),
    );
  });

  test('of two that overlap the later holds', async () => {
    const { liftId, gateway, second } = await twice();
    await choose(liftId, { gatewayId: second.id, counter: 'pto_hours' }, startMs);
    expect(await total(liftId)).toBe(20);
    const later = await choose(liftId, { gatewayId: gateway.id }, startMs + dayMs);
    expect(await total(liftId)).toBe(10 + 5);
    await withdraw(liftId, later.choiceId);
    expect(await total(liftId)).toBe(20);
    expect((await sources(liftId)).choices).toHaveLength(2);
  });

  test('tasks are assessed anew, and what was announced wrongly is taken back', async () => {
    const { liftId, unitId, second } = await twice(await fleet.pattern(greaseTask));
    await fleet.done(unitId, 'grease', startMs);
    await app.settleAt(startMs + 4 * dayMs + hourMs);
    expect((await fleet.task(unitId)).status).toBe('in_window');
    await choose(liftId, { gatewayId: second.id }, startMs);
    expect((await fleet.task(unitId)).status).toBe('overrun');
    const undone = await fleet.events({ type: 'task.status_undone', subject: `unit/${unitId}` });
    expect(undone.at(-1)?.data.causes[0]).toMatchObject({ what: 'meter_source_chosen' });
    await app.goTo(startMs + 4 * dayMs);
  });
});

test('a dial may be chosen against a device', async () => {
  const { liftId } = await twice();
  for (const [i, value] of [100, 103, 118].entries()) {
    await fleet.client.made(`/v1/assets/${liftId}/hand-readings`, {
      ...{ meter: 'pto_hours', value, at: text(startMs + i * dayMs), readBy: 'A. Penn' },
    });
  }
  await app.settle();
  expect(await total(liftId)).toBe(10);
  const { choiceId, source } = await choose(liftId, 'hand', startMs);
  expect(source).toEqual({ byHand: true, controller: null, counters: [] });
  expect(await total(liftId)).toBe(18);
  const { counting } = await sources(liftId);
  const chosen = counting.find((each: Json) => each.by === 'choice');
  expect(chosen.source).toEqual({ byHand: true, controller: null, counters: [] });
  expect(chosen.others.map((each: Json) => each.use)).toEqual([10, 20]);
  await withdraw(liftId, choiceId);
  expect(await total(liftId)).toBe(10);
});

test('a choice that says what the rule says leaves no seam in what counts', async () => {
  const { liftId, gateway } = await twice();
  const source = { gatewayId: gateway.id };
  const { choiceId } = await choose(liftId, source, startMs + dayMs, startMs + 36 * hourMs);
  const rows = async () => {
    const { rowCount } = await app.db.owner.query(
      'select from liftwright.meter_source where asset_id = $1',
      [liftId],
    );
    return rowCount;
  };
  expect(await rows()).toBe(1);
  expect((await sources(liftId)).counting.map((each: Json) => each.by)).toEqual([
    'rule',
    'choice',
    'rule',
  ]);
  await withdraw(liftId, choiceId);
  expect(await rows()).toBe(1);
});

test('what cannot be chosen', async () => {
  const { liftId, gateway } = await twice();
  const elsewhere = await fleet.truck({ yardId, counters: [hourly] });
  const post = async (source: object | string, more: object = {}) =>
    refused(
      await lead.post(`/v1/assets/${liftId}/meter-sources`, {
        ...{ meter: 'pto_hours', source, from: text(startMs), ...said },
        ...more,
      }),
    );
  const gatewayId = gateway.id;
  expect(await post({ gatewayId: elsewhere.gateway.id })).toEqual([422, 'source_elsewhere']);
  const before = { from: text(startMs - 40 * dayMs), to: text(startMs - 35 * dayMs) };
  expect(await post({ gatewayId }, before)).toEqual([422, 'source_elsewhere']);
  expect(await post('hand')).toEqual([422, 'reference_unknown']);
  const dial = await lead.post(`/v1/assets/${liftId}/meter-sources`, {
    ...{ meter: 'pto_hours', source: 'dial', from: text(startMs), ...said },
  });
  expect(dial.body.errors).toEqual([
    { path: '/source', reason: 'Expected {"gatewayId", "counter"}, or "hand"' },
  ]);
  expect(await post({ gatewayId, counter: 'other' })).toEqual([422, 'reference_unknown']);
  expect(await post({ gatewayId }, { meter: 'lift_cycles' })).toEqual([422, 'reference_unknown']);
  expect(await post({ gatewayId }, { meter: 'engine_hours' })).toEqual([422, 'meter_not_counted']);
  expect(await post({ gatewayId }, { to: text(startMs) })).toEqual([422, 'time_invalid']);
  expect(await post('by ear')).toEqual([400, 'body_invalid']);
  const nowhere = '01900000-0000-7000-8000-000000000000';
  expect(refused(await lead.get(`/v1/assets/${nowhere}/meter-sources`))).toEqual([
    404,
    'not_found',
  ]);
  const long = `from=${text(startMs - 93 * dayMs)}&to=${text(startMs)}`;
  const asked = await lead.get(`/v1/assets/${liftId}/meter-sources?${long}`);
  expect(refused(asked)).toEqual([400, 'query_invalid']);
  const technician = await app.as('technician');
  const body = { meter: 'pto_hours', source: { gatewayId }, from: text(startMs), ...said };
  const tried = await technician.post(`/v1/assets/${liftId}/meter-sources`, body);
  expect(refused(tried)).toEqual([403, 'role_not_allowed']);
});
