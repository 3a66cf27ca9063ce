import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import { dayMs, hourMs, startMs, type Truck, text } from '../helpers/fleet.ts';
import { cardPattern, Shop } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
let driver: Client;
let patternId: string;
const symptomRules = [
  {
    symptom: 'play_at_crossbar',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    makesDue: ['look'],
    askFor: [
      { words: 'The pin of the fold.', points: ['pin'] },
      { words: 'A loose pivot bolt.', points: ['bolt'] },
    ],
  },
];
beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
  driver = await app.as('dispatcher');
  const document = { ...cardPattern, symptomRules };
  patternId = (await shop.client.made('/v1/patterns', { document })).patternId;
});

const newTruck = () => shop.fleet.truck({ patternId, counters: [] });
const told = ({ status, code }: Answer) => [status, code];
const tell = (truck: Truck, loadOnHook = false): Promise<Json> =>
  driver.made(`/v1/units/${truck.unitId}/symptoms`, { symptom: 'play_at_crossbar', loadOnHook });
const urlOf = (truck: Truck, { symptomId }: Json) =>
  `/v1/units/${truck.unitId}/symptoms/${symptomId}`;
const seen = (truck: Truck, symptom: Json): Promise<Json> => driver.read(urlOf(truck, symptom));
const onCard = async (truck: Truck, symptom: Json, more: object = {}): Promise<Json> => {
  const { cardId } = await shop.client.made(`${urlOf(truck, symptom)}/card`, more);
  return shop.read(cardId);
};

/** Every step done, checked and signed off. */
async function mend(card: Json): Promise<void> {
  await shop.work(card, shop.ann, { at: text(app.clock.nowMs()) });
  await shop.end(card, shop.ann);
  const stepIds = shop.critical(card);
  if (stepIds.length > 0) await shop.did(card, 'checks', shop.ben, { stepIds });
  await shop.did(card, 'sign-off', shop.lee, { words: 'New washers.' });
}

describe('a symptom on a job card', () => {
  test('is written up with what is due and where to look, mended, and told of', async () => {
    const truck = await newTruck();
    const symptom = await tell(truck);
    expect((await seen(truck, symptom)).outcome).toContain('nobody has looked yet');
    const card = await onCard(truck, symptom);
    expect(card).toMatchObject({
      kind: 'symptom',
      cause: { kind: 'symptom', id: symptom.symptomId },
      tasks: [{ task: 'look' }],
    });
    expect(card.reasons[0]).toContain('There is play or a knock at the crossbar.');
    expect(card.reasons).toContain('Likely cause 1: The pin of the fold.');
    const looked = card.steps.filter((step: Json) => step.work === 'look');
    expect(looked.map((step: Json) => step.pointKey)).toEqual(
      expect.arrayContaining(['pin', 'bolt']),
    );
    const again = await shop.client.post(`${urlOf(truck, symptom)}/card`, {});
    expect(told(again)).toEqual([409, 'trouble_on_card']);
    expect(await seen(truck, symptom)).toMatchObject({
      state: 'on_card',
      outcome: 'It is on a job card of the shop.',
      cardId: card.cardId,
      stops: [{ state: 'standing' }],
    });
    app.clock.set(startMs + hourMs);
    await mend(card);
    expect(await seen(truck, symptom)).toMatchObject({
      state: 'mended',
      outcome: 'It was mended.',
      stops: [],
      doNow: null,
      calledDue: [],
      closed: { how: 'mended', words: 'New washers.', by: { personId: shop.lee.personId } },
    });
    expect(await shop.stops(truck)).toEqual([]);
    app.clock.set(startMs);
  });

  test('told again within 30 days after that it comes back, later it is a new one', async () => {
    const truck = await newTruck();
    const first = await tell(truck);
    await mend(await onCard(truck, first));
    app.clock.set(startMs + 30 * dayMs);
    const second = await tell(truck);
    expect(second).toMatchObject({ cameBackOf: first.symptomId, reports: 1 });
    expect(second.said).toContain('came back');
    expect((await seen(truck, first)).cameBackAs).toBe(second.symptomId);
    await mend(await onCard(truck, second));
    app.clock.set(startMs + 60 * dayMs + 1);
    expect((await tell(truck)).cameBackOf).toBeNull();
    await app.settle();
    const types = (await shop.fleet.events({ subject: `unit/${truck.unitId}` })).map((e) => e.type);
    expect(types.filter((type) => type.startsWith('symptom'))).toEqual([
      'symptom.told',
      'symptom.on_card',
      'symptom.mended',
      'symptom.came_back',
      'symptom.on_card',
      'symptom.mended',
      'symptom.told',
    ]);
    app.clock.set(startMs);
  });

  test('is open again when its card is withdrawn', async () => {
    const truck = await newTruck();
    const symptom = await tell(truck);
    const card = await onCard(truck, symptom);
    await shop.did(card, 'withdraw', shop.lee, { words: 'The wrong unit.' });
    expect(await seen(truck, symptom)).toMatchObject({ state: 'told', stops: [{}] });
    expect((await onCard(truck, symptom)).cardId).not.toBe(card.cardId);
  });

  test('stays open where the card left something, and goes on with the next card', async () => {
    const truck = await newTruck();
    const symptom = await tell(truck);
    const card = await onCard(truck, symptom);
    await shop.did(card, 'begin', shop.ann);
    const commands = card.steps.map((step: Json) =>
      shop.command(step, step.work === 'look' && step.pointKey === 'bolt' ? 'not_done' : 'done'),
    );
    await shop.tell(card, shop.ann, ...commands);
    await shop.end(card, shop.ann);
    await shop.did(card, 'sign-off', shop.lee, { restNotDone: 'No washers here.' });
    const left = await seen(truck, symptom);
    expect(left).toMatchObject({ state: 'told', stops: [{ state: 'standing' }], closed: null });
    expect(left.outcome).toContain('not mended yet');
    const next = await shop.did(card, 'follow-on', null, { reasons: ['The washers came.'] });
    expect(await seen(truck, symptom)).toMatchObject({ state: 'on_card', cardId: next.cardId });
    await mend(next);
    expect(await seen(truck, symptom)).toMatchObject({ state: 'mended', stops: [] });
  });

  test('may be put on an open card, or closed with the card that mended it', async () => {
    const truck = await newTruck();
    const symptom = await tell(truck);
    const upkeep = await shop.write(['grease'], {}, truck);
    const elsewhere = await shop.write(['grease']);
    const put = (cardId: string) => shop.client.post(`${urlOf(truck, symptom)}/card`, { cardId });
    expect(told(await put(elsewhere.cardId))).toEqual([422, 'reference_unknown']);
    expect((await put(upkeep.cardId)).body).toMatchObject({ cardId: upkeep.cardId });
    const close = (cardId?: string) =>
      shop.client.post(`${urlOf(truck, symptom)}/close`, {
        ...{ how: 'mended', words: 'Tightened.', cardId, signature: shop.lee.signature },
      });
    expect(told(await close())).toEqual([400, 'body_invalid']);
    expect(told(await close(upkeep.cardId))).toEqual([409, 'card_state']);
    const other = await shop.write(['look'], {}, truck);
    await mend(other);
    expect((await close(other.cardId)).body).toMatchObject({
      state: 'mended',
      cardId: other.cardId,
      closed: { words: 'Tightened.' },
    });
    await mend(upkeep);
    expect((await seen(truck, symptom)).cardId).toBe(other.cardId);
  });
});

test('told again with nothing on the lift: what waited for the drop waits no more', async () => {
  const truck = await newTruck();
  expect((await tell(truck, true)).stops).toMatchObject([{ state: 'waits_for_drop' }]);
  const dropped = await tell(truck, false);
  expect(dropped).toMatchObject({ reports: 2, doNow: { act: 'no_new_call' } });
  expect(dropped.stops).toMatchObject([{ state: 'standing' }]);
});

describe('an incident', () => {
  const crash = (truck: Truck) =>
    driver.made(`/v1/units/${truck.unitId}/incidents`, { kind: 'drop', loadOnHook: true });

  test('has its card of full inspection at once, and is over when that is signed off', async () => {
    const truck = await newTruck();
    const incident = await crash(truck);
    expect(incident).toMatchObject({ state: 'on_card', doNow: { act: 'stop_at_once' } });
    const card = await shop.read(incident.cardId);
    expect(card).toMatchObject({ kind: 'incident', cause: { id: incident.incidentId } });
    expect(card.tasks.map(({ task }: Json) => task).sort()).toEqual(['bolts', 'look']);
    expect(card.reasons[0]).toContain('Full inspection');
    app.clock.set(startMs + hourMs);
    await mend(card);
    const url = `/v1/units/${truck.unitId}/incidents/${incident.incidentId}`;
    expect(await driver.read(url)).toMatchObject({ state: 'mended', stops: [], calledDue: [] });
    expect(await shop.stops(truck)).toEqual([]);
    app.clock.set(startMs);
  });

  test('whose card was withdrawn stops the unit on, and gets another', async () => {
    const truck = await newTruck();
    const incident = await crash(truck);
    const url = `/v1/units/${truck.unitId}/incidents/${incident.incidentId}`;
    await shop.did(incident, 'withdraw', shop.lee, { words: 'Printed twice.' });
    expect(await driver.read(url)).toMatchObject({ state: 'told', stops: [{ state: 'standing' }] });
    const again = await shop.client.made(`${url}/card`, {});
    expect(again.state).toBe('on_card');
    expect(again.cardId).not.toBe(incident.cardId);
  });

  test('stops a unit of which nothing is known, with no card', async () => {
    const unitId = await shop.fleet.unit(await shop.fleet.yard());
    const body = { kind: 'collision', loadOnHook: false };
    const incident = await driver.made(`/v1/units/${unitId}/incidents`, body);
    expect(incident).toMatchObject({ state: 'told', cardId: null, stops: [{}] });
  });
});

test('a defect of a walk-round that a card mended is certified with it', async () => {
  const truck = await newTruck();
  const url = `/v1/units/${truck.unitId}/walk-rounds`;
  const { walkRoundId } = await driver.made(url, {
    shift: 'after',
    defects: [{ item: 'pins_keepers', affectsSafety: true }],
    signature: shop.dan.signature,
  });
  const card = await shop.write(['look'], {}, truck);
  const body = { how: 'repaired', words: 'A new keeper.', signature: shop.lee.signature };
  const certify = (cardId: string) =>
    shop.client.post(`${url}/${walkRoundId}/certify`, { ...body, cardId });
  const elsewhere = await shop.write(['look']);
  expect(told(await certify(elsewhere.cardId))).toEqual([422, 'reference_unknown']);
  const certified = await certify(card.cardId);
  expect(certified.body.defects[0].certified).toMatchObject({ cardId: card.cardId });
});

test('cards and what rests on them stay in their fleet', async () => {
  const truck = await newTruck();
  const symptom = await tell(truck);
  const card = await shop.write(['grease'], {}, truck);
  const other = await app.otherFleet();
  const theirs = new Shop(app, other);
  await theirs.open();
  const mine = await other.made(`/v1/units/${theirs.truck.unitId}/symptoms`, {
    ...{ symptom: 'leak', loadOnHook: false },
  });
  const own = `/v1/units/${theirs.truck.unitId}/symptoms/${mine.symptomId}`;
  const closing = { how: 'mended', words: 'x', signature: theirs.lee.signature };
  const tries: [string, object, unknown[]][] = [
    [`${urlOf(truck, symptom)}/card`, {}, [404, 'not_found']],
    [`${own}/card`, { cardId: card.cardId }, [422, 'reference_unknown']],
    [`${own}/close`, { ...closing, cardId: card.cardId }, [422, 'reference_unknown']],
    [`${urlOf(truck, symptom)}/close`, { ...closing, cardId: card.cardId }, [404, 'not_found']],
  ];
  for (const [url, body, expected] of tries) {
    expect([url, ...told(await other.post(url, body))]).toEqual([url, ...expected]);
  }
  expect((await seen(truck, symptom)).state).toBe('told');
});
