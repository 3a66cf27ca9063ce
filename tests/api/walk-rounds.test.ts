import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, type Signing, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let phone: Client;
let yardId: string;
let driver: Signing;
let next: Signing;
let lead: Signing;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  phone = await app.as('technician');
  yardId = await fleet.yard();
  driver = await fleet.person(['driving']);
  next = await fleet.person(['driving']);
  lead = await fleet.person(['lead']);
});

const truck = () => fleet.truck({ yardId });
const urlOf = (unitId: string) => `/v1/units/${unitId}/walk-rounds`;
const walk = (unitId: string, defects: object[] = [], more: object = {}) =>
  phone.post(urlOf(unitId), {
    ...{ shift: 'after', defects, signature: driver.signature },
    ...more,
  });
const horn = { item: 'horn', words: 'quiet', affectsSafety: true };
const hoses = { item: 'hoses', words: 'rubbed at the fold', affectsSafety: false };
const certify = (unitId: string, walkRoundId: string, more: object = {}) =>
  phone.post(`${urlOf(unitId)}/${walkRoundId}/certify`, {
    ...{ how: 'repaired', words: 'New horn.', signature: lead.signature },
    ...more,
  });
const review = (unitId: string, walkRoundId: string, by = next) =>
  phone.post(`${urlOf(unitId)}/${walkRoundId}/review`, { signature: by.signature });
const told = ({ status, code }: Answer) => [status, code];

describe('a walk-round without a defect', () => {
  test('is one tap of a driver who is signed in, and waits for nothing', async () => {
    const { unitId } = await truck();
    const { personId, signature } = driver;
    const { token } = await phone.made(`/v1/people/${personId}/sign-ins`, { pin: signature.pin });
    const body = { shift: 'before', signature: { signIn: token } };
    const round = await phone.made(urlOf(unitId), body);
    expect(round).toMatchObject({
      unitId,
      shift: 'before',
      defects: [],
      waitsFor: null,
      via: 'sign_in',
      by: { personId },
      reviewed: null,
    });
    expect(told(await review(unitId, round.walkRoundId))).toEqual([409, 'walk_round_waits']);
    expect(told(await certify(unitId, round.walkRoundId))).toEqual([409, 'walk_round_waits']);
    expect(await phone.all(`${urlOf(unitId)}?waits=true`)).toEqual([]);
  });

  test('is signed by somebody who may drive', async () => {
    const { unitId } = await truck();
    const { signature } = await fleet.person(['lift_work']);
    expect(told(await walk(unitId, [], { signature }))).toEqual([403, 'competence_missing']);
    const unsigned = await phone.post(urlOf(unitId), { shift: 'before' });
    expect(told(unsigned)).toEqual([400, 'body_invalid']);
    expect(await phone.all(urlOf(unitId))).toEqual([]);
  });
});

describe('a defect', () => {
  test('is certified by a lead, then reviewed by the next driver, in that order', async () => {
    const { unitId, liftId } = await truck();
    const round = (await walk(unitId, [horn, hoses])).body;
    expect(round).toMatchObject({ waitsFor: 'certification', by: { personId: driver.personId } });
    const [first, second] = round.defects as Json[];
    expect(first).toMatchObject({ item: 'horn', means: 'Horn', reports: 1, certified: null });
    const { walkRoundId } = round;
    expect(told(await review(unitId, walkRoundId))).toEqual([409, 'walk_round_waits']);
    const byDriver = await certify(unitId, walkRoundId, { signature: driver.signature });
    expect(told(byDriver)).toEqual([403, 'competence_missing']);
    const one = await certify(unitId, walkRoundId, { defectIds: [first.defectId] });
    expect(one.body).toMatchObject({ waitsFor: 'certification' });
    expect(one.body.defects[0].certified).toMatchObject({
      how: 'repaired',
      words: 'New horn.',
      by: { personId: lead.personId },
    });
    expect(told(await review(unitId, walkRoundId))).toEqual([409, 'walk_round_waits']);
    const again = await certify(unitId, walkRoundId, { defectIds: [first.defectId] });
    expect(told(again)).toEqual([409, 'walk_round_waits']);
    const rest = await certify(unitId, walkRoundId, { how: 'unnecessary', words: 'Only dirt.' });
    expect(rest.body).toMatchObject({ waitsFor: 'review' });
    expect(rest.body.defects[1].certified.how).toBe('unnecessary');
    const { signature } = lead;
    const notADriver = await phone.post(`${urlOf(unitId)}/${walkRoundId}/review`, { signature });
    expect(told(notADriver)).toEqual([403, 'competence_missing']);
    const done = await review(unitId, walkRoundId);
    expect(done.body).toMatchObject({
      waitsFor: null,
      reviewed: { by: { personId: next.personId }, at: text(startMs) },
    });
    expect(told(await review(unitId, walkRoundId))).toEqual([409, 'walk_round_waits']);
    expect(await phone.read(`${urlOf(unitId)}/${walkRoundId}`)).toEqual(done.body);
    const { rows } = await app.db.owner.query(
      'select asset_id, closed_how from liftwright.finding where finding_id = any ($1)',
      [[first.findingId, second.findingId]],
    );
    expect(rows).toEqual(
      expect.arrayContaining([
        { asset_id: null, closed_how: 'mended' },
        { asset_id: liftId, closed_how: 'withdrawn' },
      ]),
    );
  });

  test('that affects safety stops what it serves until it is certified', async () => {
    const { unitId } = await truck();
    const { walkRoundId, defects } = (await walk(unitId, [horn, hoses])).body;
    const stops = async () => {
      const { rows } = await app.db.owner.query(
        `select state, functions, finding_id from liftwright.stop where unit_id = $1`,
        [unitId],
      );
      return rows;
    };
    const [{ findingId }] = defects;
    const standing = { state: 'standing', functions: ['road'], finding_id: findingId };
    expect(await stops()).toEqual([standing]);
    await certify(unitId, walkRoundId);
    expect(await stops()).toEqual([{ ...standing, state: 'cleared' }]);
  });

  test('told again joins, and is certified for every walk-round that told it', async () => {
    const { unitId } = await truck();
    const first = (await walk(unitId, [horn])).body;
    const second = (await walk(unitId, [horn], { signature: next.signature })).body;
    expect(second.defects[0]).toMatchObject({
      reports: 2,
      findingId: first.defects[0].findingId,
    });
    await certify(unitId, second.walkRoundId);
    const waiting = await phone.all(`${urlOf(unitId)}?waits=true`);
    expect(waiting.map(({ waitsFor }) => waitsFor)).toEqual(['review', 'review']);
    const [other] = waiting.filter(({ walkRoundId }) => walkRoundId === first.walkRoundId);
    expect(other.defects[0].certified).toMatchObject({ how: 'repaired', words: 'New horn.' });
    for (const { walkRoundId } of [first, second]) {
      expect((await review(unitId, walkRoundId)).status).toBe(200);
    }
    const third = (await walk(unitId, [horn])).body;
    expect(third.defects[0].findingId).not.toBe(first.defects[0].findingId);
  });
});

test('what is looked at depends on what is on the unit, and sources are named', async () => {
  const bare = await fleet.unit(yardId);
  const { unitId } = await truck();
  const items = async (unit: string): Promise<Json[]> =>
    (await phone.read(`/v1/units/${unit}/walk-items`)).items;
  const legal = (list: Json[]) => list.filter(({ source }) => source.startsWith('49 CFR 396.11'));
  expect(legal(await items(bare))).toHaveLength(11);
  expect(legal(await items(unitId))).toHaveLength(11);
  expect((await items(unitId)).map(({ item }) => item)).toContain('arms_stowed');
  const wrong = await walk(bare, [hoses]);
  expect(told(wrong)).toEqual([422, 'reference_unknown']);
  expect(await phone.all(urlOf(bare))).toEqual([]);
});

test.each<[string, object, string]>([
  ['an item twice', { defects: [horn, horn] }, 'body_invalid'],
  ['an item that is none', { defects: [{ ...horn, item: 'radio' }] }, 'body_invalid'],
  ['no word whether it affects safety', { defects: [{ item: 'horn' }] }, 'body_invalid'],
  ['a time to come', { walkedAt: text(startMs + dayMs) }, 'time_invalid'],
])('refused: %s', async (_, more, code) => {
  const { unitId } = await truck();
  expect((await walk(unitId, [], more)).code).toBe(code);
  expect(await phone.all(urlOf(unitId))).toEqual([]);
});

test('what was signed stays signed, whoever asks the database', async () => {
  const { unitId } = await truck();
  const { walkRoundId } = (await walk(unitId, [horn])).body;
  await certify(unitId, walkRoundId);
  await review(unitId, walkRoundId);
  const { owner } = app.db;
  const unsign = (table: string, set: string) =>
    owner.query(`update liftwright.${table} set ${set} where walk_round_id = $1`, [walkRoundId]);
  await expect(unsign('walk_defect', "certified_words = 'x'")).rejects.toThrow('stays certified');
  await expect(unsign('walk_round', 'reviewed_at = reviewed_at')).rejects.toThrow('stays reviewed');
});

test('names and words stay out of the chain', async () => {
  const { unitId } = await truck();
  const { walkRoundId } = (await walk(unitId, [{ ...horn, words: 'Kim sat on it' }])).body;
  await certify(unitId, walkRoundId, { words: 'Lee fixed it' });
  await review(unitId, walkRoundId);
  await app.settle();
  const events = await fleet.events({ subject: `unit/${unitId}` });
  const types = events.map(({ type }) => type);
  for (const type of ['defects_told', 'certified', 'reviewed']) {
    expect(types).toContain(`walk_round.${type}`);
  }
  const chained = JSON.stringify(events.map(({ data }) => data));
  for (const word of ['Kim', 'Lee']) expect(chained).not.toContain(word);
});

test('nothing of it is another fleet’s', async () => {
  const { unitId } = await truck();
  const { walkRoundId, defects } = (await walk(unitId, [horn])).body;
  const other = await app.otherFleet();
  const builder = new FleetBuilder(app, other);
  const theirs = await builder.truck({});
  const { signature } = await builder.person(['lead', 'driving']);
  const mine = await other.made(urlOf(theirs.unitId), {
    ...{ shift: 'after', defects: [horn], signature },
  });
  const certifying = { how: 'repaired', words: 'x', signature };
  for (const unit of [unitId, theirs.unitId]) {
    const one = `${urlOf(unit)}/${walkRoundId}`;
    expect(told(await other.get(one))).toEqual([404, 'not_found']);
    expect(told(await other.post(`${one}/review`, { signature }))).toEqual([404, 'not_found']);
    expect(told(await other.post(`${one}/certify`, certifying))).toEqual([404, 'not_found']);
  }
  const foreign = { ...certifying, defectIds: [defects[0].defectId] };
  const tried = await other.post(`${urlOf(theirs.unitId)}/${mine.walkRoundId}/certify`, foreign);
  expect(told(tried)).toEqual([422, 'reference_unknown']);
  expect(told(await other.post(urlOf(unitId), { shift: 'after', signature }))).toEqual([
    404,
    'not_found',
  ]);
  const signed = { shift: 'after', signature: driver.signature };
  expect(told(await other.post(urlOf(theirs.unitId), signed))).toEqual([403, 'pin_wrong']);
  for (const url of [urlOf(unitId), `/v1/units/${unitId}/walk-items`]) {
    expect(told(await other.get(url))).toEqual([404, 'not_found']);
  }
  const all = await other.all('/v1/walk-rounds');
  expect(all.map((row) => row.walkRoundId)).toEqual([mine.walkRoundId]);
});
