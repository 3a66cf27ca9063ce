import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  patternOf,
  point,
  type Signing,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let driver: Client;
let lead: Signing;
let patternId: string;
let yardId: string;

const slow = { ...greaseTask, key: 'look_hoses', name: 'Look over the hoses', every: { days: 90 } };
const rules = [
  {
    symptom: 'creeps_down_loaded',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    makesDue: ['look_hoses'],
    askFor: [
      { words: 'Dirt in the holding valve.', points: ['crossbar_pivot'] },
      { words: 'The piston seal.', points: [] },
    ],
  },
  { symptom: 'will_not_hold_fold', stop: 'at_once', functions: ['wheel_lift', 'road'] },
  { symptom: 'screeches_folding', makesDue: ['grease'] },
];

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  driver = await app.as('dispatcher');
  lead = await fleet.person(['lead']);
  const document = { ...patternOf(greaseTask, slow), symptomRules: rules };
  patternId = (await fleet.client.made('/v1/patterns', { document })).patternId;
});

async function truck() {
  const made = await fleet.truck({ yardId, patternId });
  for (const task of ['grease', 'look_hoses']) {
    await fleet.done(made.unitId, task, app.clock.nowMs() - dayMs);
  }
  await made.gateway.heartbeat();
  await app.settle();
  return made;
}
const tell = (unitId: string, symptom: string, loadOnHook: boolean, more: object = {}) =>
  driver.made(`/v1/units/${unitId}/symptoms`, { symptom, loadOnHook, ...more });
const stops = async (unitId: string): Promise<Json[]> =>
  (await fleet.client.all(`/v1/units/${unitId}/symptoms?open=true`)).length === 0
    ? []
    : (
        await fleet.client.read(
          `/v1/units/${unitId}/symptoms/${
            (await fleet.client.all(`/v1/units/${unitId}/symptoms?open=true`))[0].symptomId
          }`,
        )
      ).stops;
const close = (unitId: string, symptomId: string, more: object = {}) =>
  fleet.client.post(`/v1/units/${unitId}/symptoms/${symptomId}/close`, {
    ...{ how: 'unnecessary', words: 'The oil was cold.', signature: lead.signature },
    ...more,
  });
const told = ({ status, code }: Answer) => [status, code];

describe('a symptom at night, with a car on the lift', () => {
  test('is answered with what to do now, what is likely, and that the shop was told', async () => {
    const { unitId, liftId } = await truck();
    const answer = await tell(unitId, 'creeps_down_loaded', true, { words: 'about a hand' });
    expect(answer).toMatchObject({
      unitId,
      assetId: liftId,
      symptom: 'creeps_down_loaded',
      words: 'about a hand',
      loadOnHook: true,
      reports: 1,
      state: 'told',
      said: 'The shop was told.',
      doNow: { act: 'finish_the_drop' },
      calledDue: ['look_hoses'],
      cameBackOf: null,
      closed: null,
    });
    expect(answer.likelyCauses).toEqual([
      {
        words: 'Dirt in the holding valve.',
        points: [{ point: point.key, name: point.name, side: 'centre', place: point.place }],
      },
      { words: 'The piston seal.', points: [] },
    ]);
    expect(answer.stops).toMatchObject([{ functions: ['wheel_lift'], state: 'waits_for_drop' }]);
    expect(answer.doNow.cautions.length).toBeGreaterThan(2);
    await app.settle();
    const due = await fleet.task(unitId, 'look_hoses');
    expect(due).toMatchObject({
      status: 'in_window',
      called: { cause: 'symptom', what: 'creeps_down_loaded' },
    });
    expect(due.reasons[0]).toContain('because a symptom was told: creeps down loaded');
    const url = `/v1/units/${unitId}/symptoms/${answer.symptomId}`;
    expect(await driver.read(url)).toEqual(answer);
  });

  test('stops at once where the rule says so, load or not', async () => {
    for (const load of [true, false]) {
      const { unitId } = await truck();
      const answer = await tell(unitId, 'will_not_hold_fold', load);
      expect(answer.doNow.act).toBe('stop_at_once');
      expect(answer.stops).toMatchObject([
        { functions: ['wheel_lift', 'road'], state: 'standing' },
      ]);
    }
  });

  test('with nothing on the lift waits for no drop', async () => {
    const { unitId } = await truck();
    const answer = await tell(unitId, 'creeps_down_loaded', false);
    expect(answer.doNow.act).toBe('no_new_call');
    expect(answer.stops).toMatchObject([{ state: 'standing' }]);
  });

  test('without a rule of its own has what is usual, and some stop nothing', async () => {
    const { unitId } = await truck();
    const pump = await tell(unitId, 'pump_whines', false);
    expect(pump).toMatchObject({ doNow: { act: 'go_on' }, stops: [], calledDue: [] });
    expect(pump.likelyCauses[0].words).toBe('Low oil.');
    const dry = await tell(unitId, 'screeches_folding', false);
    expect(dry).toMatchObject({ doNow: { act: 'go_on' }, stops: [], calledDue: ['grease'] });
  });

  test('on a unit with nothing entered on it is taken all the same', async () => {
    const unitId = await fleet.unit(yardId);
    const answer = await tell(unitId, 'leak', true);
    expect(answer).toMatchObject({ assetId: null, doNow: { act: 'finish_the_drop' } });
  });
});

describe('told again', () => {
  test('joins what is open, whoever tells it, and says so', async () => {
    const { unitId } = await truck();
    const words = ['first', 'second', 'third', 'fourth', 'fifth'];
    const answers: Json[] = [];
    for (const each of words) {
      answers.push(await tell(unitId, 'creeps_down_loaded', true, { words: each }));
    }
    expect(new Set(answers.map(({ symptomId }) => symptomId)).size).toBe(1);
    const last = answers.at(-1);
    expect(last).toMatchObject({ reports: 5, words: 'first' });
    expect(last.said).toContain('reported ×5');
    expect(last.told.map((each: Json) => each.words)).toEqual(words);
    expect(last.stops).toHaveLength(1);
    expect(last.calledDue).toEqual(['look_hoses']);
    const list = await driver.all(`/v1/units/${unitId}/symptoms`);
    expect(list).toHaveLength(1);
  });

  test('by many at once is one', async () => {
    const { unitId } = await truck();
    const answers = await Promise.all(
      Array.from({ length: 6 }, () => tell(unitId, 'play_at_crossbar', false)),
    );
    expect(new Set(answers.map(({ symptomId }) => symptomId)).size).toBe(1);
    expect(answers.map(({ reports }) => reports).sort()).toEqual([1, 2, 3, 4, 5, 6]);
    expect(await stops(unitId)).toHaveLength(1);
  });

  test('as `other` is always another', async () => {
    const { unitId } = await truck();
    const first = await tell(unitId, 'other', false, { words: 'the seat is loose' });
    const second = await tell(unitId, 'other', false, { words: 'smells of oil' });
    expect(second.symptomId).not.toBe(first.symptomId);
  });

  test('by the same phone with its Idempotency-Key is told once', async () => {
    const { unitId } = await truck();
    const send = () =>
      driver.post(
        `/v1/units/${unitId}/symptoms`,
        { symptom: 'leak', loadOnHook: true },
        { 'idempotency-key': `leak-${unitId}` },
      );
    const [first, second] = [await send(), await send()];
    expect(second.body).toEqual(first.body);
    expect(second.body.reports).toBe(1);
  });
});

describe('closing', () => {
  test('a lead signs that nothing needs mending: stop and calls go with it', async () => {
    const { unitId } = await truck();
    const { symptomId } = await tell(unitId, 'creeps_down_loaded', false);
    await app.settle();
    const worker = await fleet.person(['lift_work']);
    const unsigned = await close(unitId, symptomId, { signature: worker.signature });
    expect(told(unsigned)).toEqual([403, 'competence_missing']);
    const closed = await close(unitId, symptomId);
    expect(closed.body).toMatchObject({
      state: 'unnecessary',
      outcome: 'The shop looked, and nothing needed mending.',
      doNow: null,
      stops: [],
      calledDue: [],
      closed: { how: 'unnecessary', words: 'The oil was cold.', by: { personId: lead.personId } },
    });
    expect(told(await close(unitId, symptomId))).toEqual([409, 'trouble_closed']);
    await app.settle();
    expect((await fleet.task(unitId, 'look_hoses')).status).toBe('ahead');
    const open = await driver.all(`/v1/units/${unitId}/symptoms?open=true`);
    expect(open).toEqual([]);
    const again = await tell(unitId, 'creeps_down_loaded', false);
    expect(again).toMatchObject({ reports: 1, cameBackOf: null });
    expect(again.symptomId).not.toBe(symptomId);
  });

  test('a token of a sign-in is not enough for it', async () => {
    const { unitId } = await truck();
    const { symptomId } = await tell(unitId, 'leak', false);
    const { personId, signature } = lead;
    const url = `/v1/people/${personId}/sign-ins`;
    const { token } = await fleet.client.made(url, { pin: signature.pin });
    const answer = await close(unitId, symptomId, { signature: { signIn: token } });
    expect(told(answer)).toEqual([403, 'pin_needed']);
  });
});

test('what was told goes with the asset to another unit', async () => {
  const { unitId, liftId } = await truck();
  const { symptomId } = await tell(unitId, 'play_at_crossbar', false);
  const to = await fleet.unit(yardId);
  await fleet.install(to, { assetId: liftId }, startMs - hourMs, { move: true });
  const there = await tell(to, 'play_at_crossbar', false);
  expect(there).toMatchObject({ symptomId, reports: 2 });
  for (const at of [unitId, to]) {
    const list = await driver.all(`/v1/units/${at}/symptoms`);
    expect(list.map((row) => row.symptomId)).toContain(symptomId);
  }
});

test('a signature is kept, the names and words stay out of the chain', async () => {
  const { unitId } = await truck();
  const person = await fleet.person(['driving']);
  const words = 'Kim says it drops';
  await tell(unitId, 'leak', false, { words, signature: person.signature });
  const answer = await tell(unitId, 'leak', false);
  expect(answer.told.map(({ by }: Json) => by.personId)).toEqual([person.personId, null]);
  await app.settle();
  const events = await fleet.events({ subject: `unit/${unitId}` });
  expect(events.map(({ type }) => type)).toEqual(
    expect.arrayContaining(['symptom.told', 'symptom.told_again', 'stop.set']),
  );
  expect(JSON.stringify(events.map(({ data }) => data))).not.toContain('Kim');
});

test.each<[string, object, string]>([
  ['a word that is none of ours', { symptom: 'broken', loadOnHook: true }, 'body_invalid'],
  ['no word whether a load is on', { symptom: 'leak' }, 'body_invalid'],
  [
    'too many words',
    { symptom: 'leak', loadOnHook: true, words: 'x'.repeat(2001) },
    'body_invalid',
  ],
  [
    'a time to come',
    { symptom: 'leak', loadOnHook: true, noticedAt: text(startMs + dayMs) },
    'time_invalid',
  ],
])('refused: %s', async (_, body, code) => {
  const unitId = await fleet.unit(yardId);
  const answer = await driver.post(`/v1/units/${unitId}/symptoms`, body);
  expect(answer.code).toBe(code);
  expect(await driver.all(`/v1/units/${unitId}/symptoms`)).toEqual([]);
});

test('nothing of it is another fleet’s', async () => {
  const { unitId, liftId } = await truck();
  const { symptomId } = await tell(unitId, 'leak', true);
  const other = await app.otherFleet();
  const builder = new FleetBuilder(app, other);
  const theirs = await builder.truck({});
  const stranger = await builder.person(['lead', 'driving']);
  const leak = { symptom: 'leak', loadOnHook: true };
  const closing = { how: 'unnecessary', words: 'x', signature: stranger.signature };
  const tries: [string, object, unknown[]][] = [
    [`/v1/units/${unitId}/symptoms`, leak, [404, 'not_found']],
    [
      `/v1/units/${theirs.unitId}/symptoms`,
      { ...leak, assetId: liftId },
      [422, 'reference_unknown'],
    ],
    [`/v1/units/${unitId}/symptoms/${symptomId}/close`, closing, [404, 'not_found']],
    [`/v1/units/${theirs.unitId}/symptoms/${symptomId}/close`, closing, [404, 'not_found']],
    [
      `/v1/units/${theirs.unitId}/symptoms`,
      { ...leak, signature: lead.signature },
      [403, 'pin_wrong'],
    ],
  ];
  for (const [url, body, expected] of tries) {
    expect([url, ...told(await other.post(url, body))]).toEqual([url, ...expected]);
  }
  for (const url of [
    `/v1/units/${unitId}/symptoms`,
    `/v1/units/${unitId}/symptoms/${symptomId}`,
    `/v1/units/${theirs.unitId}/symptoms/${symptomId}`,
  ]) {
    expect([url, ...told(await other.get(url))]).toEqual([url, 404, 'not_found']);
  }
  expect(await other.all('/v1/symptoms')).toEqual([]);
  expect((await driver.read(`/v1/units/${unitId}/symptoms/${symptomId}`)).reports).toBe(1);
});
