import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  patternOf,
  point,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
let patternId: string;

const nowhere = '01900000-0000-7000-8000-0000000000ff';
const screws = { ...greaseTask, key: 'screws', name: 'Check the screws', every: { days: 300 } };

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(greaseTask, screws);
  truck = await fleet.truck({ patternId });
  await app.settle();
});

const write = (more: object = {}) =>
  fleet.client.post('/v1/job-cards', { unitId: truck.unitId, ...more });
const task = (key: string) => ({ assetId: truck.liftId, task: key });
const works = (card: Json) => card.steps.map((step: Json) => step.work);

describe('a card is written up', () => {
  test('from tasks that are named, its steps in the order of the work', async () => {
    const { status, body } = await write({ tasks: [task('grease')], reasons: ['It squeals.'] });
    expect(status).toBe(201);
    expect(body).toMatchObject({
      unitId: truck.unitId,
      kind: 'upkeep',
      state: 'written_up',
      reasons: ['It squeals.'],
      tasks: [{ ...task('grease'), name: greaseTask.name }],
      signatures: [],
      corrections: [],
    });
    expect(works(body)).toEqual([
      'first_look',
      'clean',
      'look_again',
      'grease',
      'function_test',
      'wipe_and_look',
    ]);
    expect(body.steps[3]).toMatchObject({
      stepNo: 4,
      pointKey: point.key,
      side: 'centre',
      place: point.place,
      tasks: ['grease'],
      result: null,
    });
    expect(body.lacking).toHaveLength(6);
    const read = await fleet.client.read(`/v1/job-cards/${body.cardId}`);
    expect(read).toEqual(body);
    await app.settle();
    const [event] = await fleet.events({ type: 'job_card.written_up' });
    expect(event.data).toMatchObject({ cardId: body.cardId, kind: 'upkeep', steps: 6 });
    expect(JSON.stringify(event.data)).not.toMatch(/squeals/);
  });

  test('from what is proposed, with the reasons, and no task twice', async () => {
    const other = await fleet.truck({ patternId });
    const url = '/v1/job-cards';
    await fleet.done(other.unitId, 'grease', startMs - 29 * dayMs);
    await fleet.done(other.unitId, 'screws', startMs - dayMs);
    await app.settle();
    const card = await fleet.client.made(url, { unitId: other.unitId });
    expect(card.tasks).toMatchObject([{ assetId: other.liftId, task: 'grease' }]);
    expect(card.tasks[0].why.join(' ')).toMatch(/29 of 30 days/);
    const again = await fleet.client.post(url, { unitId: other.unitId });
    expect(again.code, 'it is on the first card').toBe('card_empty');
  });

  test('keeps its steps when the asset goes over to another version of the pattern', async () => {
    const other = await fleet.truck({ patternId });
    const card = await fleet.client.made('/v1/job-cards', {
      unitId: other.unitId,
      tasks: [{ assetId: other.liftId, task: 'grease' }],
    });
    const renamed = { ...point, name: 'Renamed' };
    const document = { ...patternOf(greaseTask), servicePoints: [renamed] };
    const { version } = await fleet.client.made('/v1/patterns', { patternId, document });
    const moved = { patternId, patternVersion: version };
    expect((await fleet.client.patch(`/v1/assets/${other.liftId}`, moved)).status).toBe(200);
    const read = await fleet.client.read(`/v1/job-cards/${card.cardId}`);
    expect(read.steps[3].title).toBe(`Grease: ${point.name}`);
    const next = await fleet.client.made('/v1/job-cards', {
      unitId: other.unitId,
      tasks: [{ assetId: other.liftId, task: 'grease' }],
    });
    expect(next.steps[3].title).toBe('Grease: Renamed');
  });

  test('a symptom on equipment without a pattern: all on the unit is looked over', async () => {
    const bare = await fleet.truck({});
    const body = { unitId: bare.unitId, kind: 'symptom', reasons: ['It creeps down.'] };
    const card = await fleet.client.made('/v1/job-cards', body);
    expect(works(card)).toEqual(['first_look', 'look']);
  });

  test('a card in the yard stays short', async () => {
    const points = Array.from({ length: 25 }, (_, i) => ({ ...point, key: `point_${i}` }));
    const many = { ...greaseTask, points: points.map(({ key }) => key) };
    const document = { ...patternOf(many), servicePoints: points };
    const made = await fleet.client.made('/v1/patterns', { document });
    const other = await fleet.truck({ patternId: made.patternId });
    const body = {
      unitId: other.unitId,
      tasks: [{ assetId: other.liftId, task: 'grease' }],
    };
    const refused = await fleet.client.post('/v1/job-cards', { ...body, kind: 'yard' });
    expect(refused.code).toBe('card_too_long');
    expect((await fleet.client.made('/v1/job-cards', body)).steps).toHaveLength(30);
  });

  test.each([
    ['a unit that is not there', { unitId: nowhere }, 'not_found'],
    ['nothing to do', { tasks: [] }, 'card_empty'],
    ['a task of no pattern', { tasks: [task0('other')] }, 'reference_unknown'],
    ['an asset elsewhere', { tasks: [{ assetId: nowhere, task: 'grease' }] }, 'reference_unknown'],
    [
      'a visit that is not there',
      { visitId: nowhere, tasks: [task0('grease')] },
      'reference_unknown',
    ],
    ['a finding that is not there', { findings: [nowhere] }, 'reference_unknown'],
    ['a point of no pattern', { points: [point0('other')] }, 'reference_unknown'],
    [
      'an earlier card that is not there',
      { follows: nowhere, tasks: [task0('grease')] },
      'reference_unknown',
    ],
  ])('%s is refused', async (_what, more, code) => {
    const filled = JSON.parse(JSON.stringify(more).replaceAll('LIFT', truck.liftId));
    expect((await write(filled)).code).toBe(code);
  });
});

/** The lift is known only when tests run. */
function task0(key: string) {
  return { assetId: 'LIFT', task: key };
}
function point0(key: string) {
  return { assetId: 'LIFT', point: key };
}

test('cards are listed by unit and state, the latest first', async () => {
  const other = await fleet.truck({ patternId });
  const ids: string[] = [];
  for (let i = 0; i < 3; i += 1) {
    app.clock.set(startMs + i * 1_000);
    const body = { unitId: other.unitId, kind: 'symptom', reasons: [`no. ${i}`] };
    ids.unshift((await fleet.client.made('/v1/job-cards', body)).cardId);
  }
  const url = `/v1/units/${other.unitId}/job-cards`;
  const idsOf = async (query: string) =>
    (await fleet.client.all(query, 2)).map(({ cardId }) => cardId);
  expect(await idsOf(url)).toEqual(ids);
  expect(await idsOf(`/v1/job-cards?unitId=${other.unitId}&kind=symptom`)).toEqual(ids);
  expect(await idsOf(`${url}?state=signed_off`)).toEqual([]);
  expect((await fleet.client.get(`/v1/units/${nowhere}/job-cards`)).code).toBe('not_found');
  expect((await fleet.client.get(`/v1/job-cards/${nowhere}`)).code).toBe('not_found');
  const [first] = await fleet.client.all(url);
  expect(first.writtenUpAt).toBe(text(startMs + 2_000));
});
