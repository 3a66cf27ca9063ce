import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, hourMs, run, startMs, type Truck, text } from '../helpers/fleet.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let technician: Client;
let patternId: string;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  technician = await app.as('technician');
  yardId = await fleet.yard();
  patternId = await wearPatternId(fleet);
  await app.goTo(startMs + 20 * dayMs);
});

const truck = () => fleet.truck({ yardId, patternId });
const pad = { point: 'left_pad', part: 'pad', unit: 'mm', measuredBy: 'A. Penn' };
const measure = (assetId: string, day: number, body: object): Promise<Json> =>
  technician.made(`/v1/assets/${assetId}/measurements`, {
    ...pad,
    at: text(startMs + day * dayMs),
    ...body,
  });
const refused = async (assetId: string, body: object) => {
  const at = text(startMs);
  const { status, code } = await technician.post(`/v1/assets/${assetId}/measurements`, {
    ...{ ...pad, value: 9, at },
    ...body,
  });
  return `${status} ${code}`;
};
const rowsOf = async (what: string, unitId: string): Promise<Json[]> => {
  const sql = `select ${what} where unit_id = $1 order by recorded`;
  return (await app.db.owner.query(sql, [unitId])).rows;
};
const findings = (unitId: string) =>
  rowsOf(
    `* from (select unit_id, finding_id as "findingId", grade, point_key as point, part, reports,
       found_at as recorded from liftwright.finding) f`,
    unitId,
  );
const stops = (unitId: string) =>
  rowsOf(
    `* from (select unit_id, kind, functions, state, placed_at as recorded
       from liftwright.stop) s`,
    unitId,
  );

describe('a measurement', () => {
  test('keeps place, size, gauge, person, and what it was held against', async () => {
    const { liftId } = await truck();
    const given = await measure(liftId, 1, {
      value: 8.125,
      tool: 'caliper',
      wiped: true,
      temperatureC: -4.5,
      note: 'cold',
    });
    expect(given).toMatchObject({
      ...{ point: 'left_pad', part: 'pad', value: 8.125, unit: 'mm', error: 0.05, wiped: true },
      ...{ temperatureC: -4.5, tool: 'caliper', measuredBy: 'A. Penn', note: 'cold' },
      heldAgainst: { unit: 'mm', nominal: 10, near: 7, limit: 6 },
      ...{ verdict: 'sound', rule: 'before_near', state: 'counts', findingId: null },
    });
    const { items } = await technician.read(`/v1/assets/${liftId}/measurements?part=pad`);
    expect(items).toEqual([given]);
    const other = await technician.read(`/v1/assets/${liftId}/measurements?point=right_pad`);
    expect(other.items).toEqual([]);
  });

  test('looks up what the meters stood at then, also when it is told late', async () => {
    const { liftId, gateway } = await truck();
    const readings = [0, 1, 2, 3, 4].map((i): [number, number] => [startMs + i * hourMs, i * 20]);
    await gateway.post([run(0, ...readings)]);
    await app.settle();
    const at = text(startMs + 2.5 * hourMs);
    expect((await measure(liftId, 0, { value: 9, at })).useThen).toEqual([
      { meter: 'pto_hours', unit: 'hours', value: 2.5 },
    ]);
  });

  test('near its limit asks to keep watch; told again it is the same finding', async () => {
    const { liftId, unitId } = await truck();
    const first = await measure(liftId, 1, { value: 6.9 });
    expect(first).toMatchObject({ verdict: 'near_limit', rule: 'past_near' });
    const again = await measure(liftId, 2, { value: 6.8 });
    expect(again.findingId).toBe(first.findingId);
    expect(await findings(unitId)).toMatchObject([{ grade: 'keep_watch', reports: 2 }]);
  });

  test('past its limit a place that a load hangs on is unfit', async () => {
    const { liftId, unitId } = await truck();
    const given = await measure(liftId, 1, { value: 5.999 });
    expect(given).toMatchObject({ verdict: 'beyond_limit', rule: 'past_the_limit' });
    expect(await findings(unitId)).toMatchObject([
      { findingId: given.findingId, grade: 'unfit', point: 'left_pad', part: 'pad' },
    ]);
    expect(await stops(unitId)).toMatchObject([
      { kind: 'defect', functions: ['wheel_lift'], state: 'standing' },
    ]);
  });

  test('elsewhere it is to be mended within a fortnight', async () => {
    const { liftId, unitId } = await truck();
    await measure(liftId, 1, { point: 'label', part: 'plate', value: 0.5 });
    expect(await findings(unitId)).toMatchObject([{ grade: 'mend_by' }]);
  });

  test('a go/no-go gauge', async () => {
    const { liftId } = await truck();
    const gauge = { unit: undefined, gauge: 'near' };
    expect(await measure(liftId, 1, gauge)).toMatchObject({
      ...{ gauge: 'near', value: null, verdict: 'near_limit', rule: 'gauge_near' },
    });
  });

  test('without a part it is held against the limits of its place', async () => {
    const { liftId } = await truck();
    const bolt = { point: 'tension_bolt', part: undefined };
    const torque = await measure(liftId, 1, { ...bolt, unit: 'nm', value: 70 });
    expect(torque).toMatchObject({
      verdict: 'beyond_limit',
      heldAgainst: { key: 'torque', least: 80, most: 100, limit: null },
    });
    // Two limits are in millimetres: which one must be said.
    const unsaid = await measure(liftId, 1, { ...bolt, value: 0.3 });
    expect(unsaid.verdict).toBe('not_judged');
    const said = await measure(liftId, 2, { ...bolt, value: 0.3, limit: 'stretch' });
    expect(said.verdict).toBe('sound');
    expect(await refused(liftId, { ...bolt, limit: 'torque' })).toBe('422 reference_unknown');
  });

  test('of a lift on no unit is kept, but finds nothing', async () => {
    const liftId = await fleet.asset('lift', patternId);
    const given = await measure(liftId, 1, { value: 5 });
    expect(given).toMatchObject({ verdict: 'beyond_limit', findingId: null });
  });

  test('without a pattern it is kept and not judged', async () => {
    const liftId = await fleet.asset('lift');
    const given = await measure(liftId, 1, { point: 'anything', part: undefined, value: 5 });
    expect(given).toMatchObject({ verdict: 'not_judged', rule: 'no_limit_known' });
  });

  test.each([
    ['four decimals', { value: 8.1234 }, '422 measure_invalid'],
    ['a place that its pattern does not have', { point: 'nowhere' }, '422 reference_unknown'],
    ['a part that its pattern does not have', { part: 'fork' }, '422 reference_unknown'],
    ['a part that is elsewhere', { part: 'washer' }, '422 reference_unknown'],
    ['a time to come', { at: '2027-01-01T00:00:00Z' }, '422 time_invalid'],
    ['no unit', { unit: undefined }, '400 body_invalid'],
    ['both a size and a gauge', { gauge: 'go' }, '400 body_invalid'],
    ['neither', { value: undefined, unit: undefined }, '400 body_invalid'],
    ['less than nothing', { value: -1 }, '400 body_invalid'],
  ])('is refused with %s', async (_, body, expected) => {
    const { liftId } = await truck();
    expect(await refused(liftId, body)).toBe(expected);
    expect((await technician.read(`/v1/assets/${liftId}/measurements`)).items).toEqual([]);
  });
});

describe('a part that seems to have grown back', () => {
  let lift: Truck;
  beforeAll(async () => {
    lift = await truck();
  });
  const questioned = async () =>
    (await technician.read(`/v1/assets/${lift.liftId}/measurements?questioned=true`)).items;

  test('within what both can be wrong together is nothing', async () => {
    await measure(lift.liftId, 1, { value: 8 });
    expect((await measure(lift.liftId, 2, { value: 8.07 })).state).toBe('counts');
    expect(await questioned()).toEqual([]);
  });

  test('beyond it is kept and marked; the next is held against the one that counts', async () => {
    const before = await measure(lift.liftId, 3, { value: 7.9 });
    const odd = await measure(lift.liftId, 4, { value: 8.6 });
    expect(odd).toMatchObject({
      state: 'questioned',
      questionedAgainst: before.measurementId,
      verdict: 'sound',
    });
    expect((await questioned()).map((each: Json) => each.measurementId)).toEqual([
      odd.measurementId,
    ]);
    expect((await measure(lift.liftId, 5, { value: 7.8 })).state).toBe('counts');
  });

  test('told late it is held against what came after it, too', async () => {
    const late = await measure(lift.liftId, 4.5, { value: 7.5 });
    expect(late.state).toBe('questioned');
  });

  test('other places and other parts are other series', async () => {
    expect((await measure(lift.liftId, 6, { point: 'right_pad', value: 9.9 })).state).toBe(
      'counts',
    );
  });

  test('after a new part it is none', async () => {
    const { liftId } = await truck();
    const fitAt = (day: number) =>
      technician.made(`/v1/assets/${liftId}/part-lives`, {
        ...{ part: 'pad', points: ['left_pad'], fittedBy: 'A. Penn' },
        fittedAt: text(startMs + day * dayMs),
      });
    const [first] = (await fitAt(0)).lives;
    expect((await measure(liftId, 1, { value: 7.5 })).lifeId).toBe(first.lifeId);
    await technician.made(`/v1/assets/${liftId}/part-lives/${first.lifeId}/remove`, {
      ...{ at: text(startMs + 2 * dayMs), why: 'worn', removedBy: 'A. Penn' },
    });
    const [second] = (await fitAt(2)).lives;
    expect(await measure(liftId, 3, { value: 9.9 })).toMatchObject({
      state: 'counts',
      lifeId: second.lifeId,
    });
  });

  test('nor after tension was taken up between', async () => {
    const { liftId } = await truck();
    const washer = { point: 'crossbar_pivot', part: 'washer' };
    await measure(liftId, 1, { ...washer, value: 1.4 });
    await technician.made(`/v1/assets/${liftId}/take-ups`, {
      ...{ point: 'crossbar_pivot', turns: 0.25, gapBefore: 1.4, gapAfter: 0.9, unit: 'mm' },
      ...{ at: text(startMs + 2 * dayMs), doneBy: 'A. Penn' },
    });
    expect((await measure(liftId, 3, { ...washer, value: 0.9 })).state).toBe('counts');
    expect((await measure(liftId, 4, { ...washer, value: 0.5 })).state).toBe('questioned');
  });
});

describe('the word of a person', () => {
  const act = (assetId: string, id: string, what: string, signature: unknown) =>
    technician.post(`/v1/assets/${assetId}/measurements/${id}/${what}`, {
      ...{ reason: 'measured twice', signature },
    });

  test('one that is confirmed counts, and later ones are held against it', async () => {
    const { liftId } = await truck();
    const { signature } = await fleet.person(['lift_work']);
    await measure(liftId, 1, { value: 8 });
    const odd = await measure(liftId, 2, { value: 9 });
    const { body } = await act(liftId, odd.measurementId, 'confirm', signature);
    expect(body).toMatchObject({
      state: 'confirmed',
      decisions: [{ decision: 'confirmed', reason: 'measured twice' }],
    });
    expect((await measure(liftId, 3, { value: 8.9 })).state).toBe('counts');
    const again = await act(liftId, odd.measurementId, 'confirm', signature);
    expect(again.code).toBe('nothing_to_decide');
  });

  test('one that is withdrawn is kept and counts no more; its finding stays', async () => {
    const { liftId, unitId } = await truck();
    const { signature } = await fleet.person(['lift_work']);
    const wrong = await measure(liftId, 1, { value: 5 });
    const { body } = await act(liftId, wrong.measurementId, 'withdraw', signature);
    expect(body.state).toBe('withdrawn');
    expect((await measure(liftId, 2, { value: 9 })).state).toBe('counts');
    expect(await findings(unitId)).toMatchObject([{ grade: 'unfit' }]);
    const again = await act(liftId, wrong.measurementId, 'withdraw', signature);
    expect(again.code).toBe('already_voided');
    const { items } = await technician.read(`/v1/assets/${liftId}/measurements`);
    expect(items).toHaveLength(2);
  });

  test('is asked of who can do lift work, by the PIN of their own', async () => {
    const { liftId } = await truck();
    const { measurementId } = await measure(liftId, 1, { value: 8 });
    const driver = await fleet.person(['driving']);
    const tried = async (signature: unknown) =>
      (await act(liftId, measurementId, 'withdraw', signature)).code;
    expect(await tried(undefined)).toBe('body_invalid');
    expect(await tried({ ...driver.signature, pin: '0000' })).toBe('pin_wrong');
    expect(await tried(driver.signature)).toBe('competence_missing');
  });

  test('who measured signs, or is only named', async () => {
    const { liftId } = await truck();
    const { signature, personId } = await fleet.person(['lift_work']);
    const signed = { value: 8, measuredBy: undefined, signature };
    expect(await measure(liftId, 1, signed)).toMatchObject({ personId });
    expect(await measure(liftId, 1, { value: 8 })).toMatchObject({ personId: null });
    expect(await refused(liftId, { signature })).toBe('400 body_invalid');
    expect(await refused(liftId, { measuredBy: undefined })).toBe('400 body_invalid');
  });
});

describe('tension that is taken up', () => {
  const take = (assetId: string, body: object) =>
    technician.post(`/v1/assets/${assetId}/take-ups`, {
      ...{
        point: 'tension_bolt',
        part: 'washer',
        at: text(startMs),
        turns: 0.5,
        doneBy: 'A. Penn',
      },
      ...body,
    });

  test('more turns than the part bears make a finding', async () => {
    const { liftId, unitId } = await truck();
    for (const turns of [0.75, 0.75]) expect((await take(liftId, { turns })).status).toBe(201);
    expect(await findings(unitId)).toEqual([]);
    await take(liftId, { turns: 0.001 });
    expect(await findings(unitId)).toMatchObject([{ grade: 'mend_by', part: 'washer' }]);
  });

  test('a voided one counts no more', async () => {
    const { liftId, unitId } = await truck();
    const { body } = await take(liftId, { turns: 1.5 });
    const voiding = { name: 'B. Quill', reason: 'typed for another unit' };
    const url = `/v1/assets/${liftId}/take-ups/${body.takeUpId}/void`;
    expect((await technician.made(url, voiding)).voided).toMatchObject({ by: 'B. Quill' });
    expect((await technician.post(url, voiding)).code).toBe('already_voided');
    await take(liftId, { turns: 1.5 });
    expect(await findings(unitId)).toEqual([]);
  });

  test.each([
    ['no turn', { turns: 0 }, 400],
    ['a gap without its unit', { gapAfter: 1 }, 400],
    ['a unit without a gap', { unit: 'mm' }, 400],
    ['a part that is not taken up there', { part: 'pad' }, 422],
  ])('is refused with %s', async (_, body, status) => {
    expect((await take((await truck()).liftId, body)).status).toBe(status);
  });
});

describe('a rope against removal benchmarks', () => {
  const rope = { subject: 'rope', kind: 'running', nominal: 0.375, measured: 0.375 };
  const check = (assetId: string, look: object) =>
    technician.made(`/v1/assets/${assetId}/removal-checks`, {
      ...{ point: 'winch_rope', at: text(startMs), checkedBy: 'A. Penn' },
      look: { ...rope, inLay: 0, inStrand: 0, ...look },
    });

  test('a sound one is kept, and nothing is found', async () => {
    const { liftId, unitId } = await truck();
    expect(await check(liftId, {})).toMatchObject({ decision: 'keep', fired: [], findingId: null });
    expect(await findings(unitId)).toEqual([]);
  });

  test('one that a benchmark ends is unfit; every rule that spoke is shown', async () => {
    const { liftId, unitId } = await truck();
    const given = await check(liftId, { inLay: 6, measured: 0.356 });
    expect(given).toMatchObject({
      decision: 'remove',
      caution: expect.stringContaining('come first'),
      look: { nominal: 3750, measured: 3560, inLay: 6, damages: [], wrapsLeft: null },
    });
    expect(given.fired.map(({ rule }: Json) => rule)).toEqual(['wires_in_lay', 'diameter']);
    expect(await findings(unitId)).toMatchObject([{ grade: 'unfit', point: 'winch_rope' }]);
  });

  test('a voided check stays in the list', async () => {
    const { liftId } = await truck();
    const { checkId } = await check(liftId, { damages: ['kink'] });
    const voiding = { name: 'B. Quill', reason: 'another rope' };
    await technician.made(`/v1/assets/${liftId}/removal-checks/${checkId}/void`, voiding);
    const { items } = await technician.read(`/v1/assets/${liftId}/removal-checks`);
    expect(items).toMatchObject([
      {
        checkId,
        decision: 'competent_person',
        voided: {
          by: 'B. Quill',
        },
      },
    ]);
  });

  test('figures with more than four decimals are refused', async () => {
    const { liftId } = await truck();
    const { code } = await technician.post(`/v1/assets/${liftId}/removal-checks`, {
      ...{ point: 'winch_rope', at: text(startMs), checkedBy: 'A. Penn' },
      look: { ...rope, measured: 0.37501 },
    });
    expect(code).toBe('measure_invalid');
  });
});
