import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  patternOf,
  point,
  type Signing,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let lead: Signing;
let patternId: string;
let yardId: string;
const every = { days: 90 };
const tasks = [
  greaseTask,
  { key: 'look', name: 'Look it over', points: ['frame'], every },
  { key: 'tighten', name: 'Tighten', points: ['bolt'], every },
];
const kinds = ['collision', 'overload', 'shock_load', 'drop'] as const;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  lead = await fleet.person(['lead']);
  const place = { side: 'left', place: 'under the boom' };
  const document = {
    ...patternOf(...tasks),
    servicePoints: [
      point,
      { key: 'frame', kind: 'structure', name: 'Frame', ...place },
      { key: 'bolt', kind: 'fastener', name: 'Bolt', ...place },
    ],
  };
  patternId = (await fleet.client.made('/v1/patterns', { document })).patternId;
});

async function truck() {
  const made = await fleet.truck({ yardId, patternId });
  for (const { key } of tasks) await fleet.done(made.unitId, key, startMs - dayMs);
  await app.settle();
  return made;
}
const told = ({ status, code }: Answer) => [status, code];

test.each(kinds)(
  'after a %s the unit stops at once, and is to be inspected in full',
  async (kind) => {
    const { unitId } = await truck();
    const phone = await app.as('technician');
    const incident = await phone.made(`/v1/units/${unitId}/incidents`, {
      ...{ kind, loadOnHook: true, words: 'at the ramp' },
    });
    expect(incident).toMatchObject({
      kind,
      state: 'on_card',
      words: 'at the ramp',
      doNow: { act: 'stop_at_once' },
      stops: [{ state: 'standing', functions: ['wheel_lift', 'winch', 'boom', 'dollies', 'road'] }],
    });
    expect(incident.calledDue.toSorted()).toEqual(['look', 'tighten']);
    expect(incident.doNow.cautions[0]).toContain('People first');
    await app.settle();
    for (const key of ['look', 'tighten']) {
      const task = await fleet.task(unitId, key);
      expect(task).toMatchObject({
        status: 'in_window',
        called: { cause: 'incident', what: kind },
      });
    }
    expect((await fleet.task(unitId, 'grease')).called).toBeNull();
    const url = `/v1/units/${unitId}/incidents/${incident.incidentId}`;
    expect(await phone.read(url)).toEqual(incident);
  },
);

test('each incident is one of its own, however often something happens', async () => {
  const { unitId } = await truck();
  const body = { kind: 'drop', loadOnHook: false };
  for (let i = 0; i < 2; i += 1) await fleet.client.made(`/v1/units/${unitId}/incidents`, body);
  const list = await fleet.client.all(`/v1/units/${unitId}/incidents?open=true`);
  expect(list).toHaveLength(2);
});

test('a lead who signs may say that nothing happened, and nobody else', async () => {
  const { unitId } = await truck();
  const body = { kind: 'overload', loadOnHook: false };
  const { incidentId } = await fleet.client.made(`/v1/units/${unitId}/incidents`, body);
  const close = (signature: object) =>
    fleet.client.post(`/v1/units/${unitId}/incidents/${incidentId}/close`, {
      ...{ how: 'unnecessary', words: 'It was another unit.', signature },
    });
  const dispatcher = await fleet.person(['dispatch', 'driving']);
  expect(told(await close(dispatcher.signature))).toEqual([403, 'competence_missing']);
  const closed = await close(lead.signature);
  expect(closed.body).toMatchObject({
    state: 'unnecessary',
    stops: [],
    calledDue: [],
    doNow: null,
  });
  expect(told(await close(lead.signature))).toEqual([409, 'trouble_closed']);
  await app.settle();
  expect((await fleet.task(unitId, 'look')).status).toBe('ahead');
  const events = await fleet.events({ subject: `unit/${unitId}` });
  expect(events.map(({ type }) => type)).toEqual(
    expect.arrayContaining(['incident.told', 'stop.set', 'incident.unnecessary', 'stop.cleared']),
  );
});

test('a unit with nothing known on it stops all the same', async () => {
  const unitId = await fleet.unit(yardId);
  const body = { kind: 'collision', loadOnHook: false };
  const incident = await fleet.client.made(`/v1/units/${unitId}/incidents`, body);
  expect(incident).toMatchObject({ calledDue: [], stops: [{ state: 'standing' }] });
});

test('refused: other kinds, times to come, and what is another fleet’s', async () => {
  const { unitId } = await truck();
  const url = `/v1/units/${unitId}/incidents`;
  const body = { kind: 'drop', loadOnHook: true };
  const later = { ...body, happenedAt: text(startMs + dayMs) };
  expect((await fleet.client.post(url, { ...body, kind: 'fire' })).code).toBe('body_invalid');
  expect((await fleet.client.post(url, later)).code).toBe('time_invalid');
  const { incidentId } = await fleet.client.made(url, body);
  const other = await app.otherFleet();
  const builder = new FleetBuilder(app, other);
  const theirs = await builder.truck({});
  const { signature } = await builder.person(['lead']);
  const closing = { how: 'unnecessary', words: 'x', signature };
  for (const unit of [unitId, theirs.unitId]) {
    const one = `/v1/units/${unit}/incidents/${incidentId}`;
    expect(told(await other.get(one))).toEqual([404, 'not_found']);
    expect(told(await other.post(`${one}/close`, closing))).toEqual([404, 'not_found']);
  }
  expect(told(await other.post(url, body))).toEqual([404, 'not_found']);
  expect(told(await other.get(url))).toEqual([404, 'not_found']);
  expect((await fleet.client.read(`${url}/${incidentId}`)).state).toBe('on_card');
});
