import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  FleetBuilder,
  greaseTask,
  hourMs,
  patternOf,
  point,
  run,
  type Signing,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
let lead: Signing;
let otherLead: Signing;
let dispatcher: Signing;
let worker: Signing;
let patternId: string;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  lead = await fleet.person(['lead', 'lift_work']);
  otherLead = await fleet.person(['lead']);
  dispatcher = await fleet.person(['dispatch']);
  worker = await fleet.person(['lift_work']);
  const document = {
    ...patternOf({ ...greaseTask, overrunEffect: 'warn' }),
    servicePoints: [point, { ...point, key: 'fold_pin', kind: 'pin', serves: ['wheel_lift'] }],
    functionNeeds: [
      { function: 'road', points: ['fold_pin'], words: 'The lift must lock folded for the road.' },
    ],
  };
  patternId = (await fleet.client.made('/v1/patterns', { document })).patternId;
});

const newTruck = async () => {
  truck = await fleet.truck({ patternId });
  await app.settle();
};
const url = (rest = '') => `/v1/units/${truck.unitId}${rest}`;
const set = (body: object) => fleet.client.made(url('/stops'), { reason: 'bent', ...body });
const act = (stopId: string, what: string, body: object) =>
  fleet.client.post(url(`/stops/${stopId}/${what}`), { words: 'so it is', ...body });
const code = async (answer: Promise<{ status: number; code: string | undefined }>) => {
  const { status, code } = await answer;
  return code ?? status;
};
/** 'wheel_lift no, road yes' */
const ready = async () => {
  const { functions } = await fleet.client.read(url('/readiness'));
  return functions
    .filter((each: Json) => each.answer !== 'not_fitted')
    .map((each: Json) => `${each.function} ${each.answer}`)
    .join(', ');
};

describe('a defect', () => {
  test('counts at once, and a lead clears it', async () => {
    await newTruck();
    expect(await ready()).toBe('wheel_lift yes, road yes');
    const stop = await set({ kind: 'defect', functions: ['wheel_lift'], assetId: truck.liftId });
    expect(stop).toMatchObject({
      state: 'standing',
      effect: 'no',
      placedBy: { personId: null, name: 'first admin key' },
      whoCanClear: 'a lead, when it is mended and checked',
    });
    expect(await ready()).toBe('wheel_lift no, road yes');
    const { stopId } = stop;
    for (const { signature } of [dispatcher, worker]) {
      expect(await code(act(stopId, 'clear', { signature }))).toBe('stop_not_yours');
    }
    expect(await ready()).toBe('wheel_lift no, road yes');
    expect(await code(act(stopId, 'clear', { signature: lead.signature }))).toBe(200);
    expect(await ready()).toBe('wheel_lift yes, road yes');
    expect(await code(act(stopId, 'clear', { signature: lead.signature }))).toBe('stop_cleared');
    const acts = await fleet.client.all(`/v1/stops/${stopId}/acts`);
    expect(acts.map((each) => [each.act, each.by.personId])).toEqual([
      ['set', null],
      ['clear', lead.personId],
    ]);
  });

  test('is not cleared with a wrong PIN, nor with a sign-in', async () => {
    await newTruck();
    const { stopId } = await set({ kind: 'defect' });
    const signature = { ...lead.signature, pin: '0000' };
    expect(await code(act(stopId, 'clear', { signature }))).toBe('pin_wrong');
    const { token } = await fleet.client.made(`/v1/people/${lead.personId}/sign-ins`, {
      pin: lead.signature.pin,
    });
    expect(await code(act(stopId, 'clear', { signature: { signIn: token } }))).toBe('pin_needed');
    expect(await ready()).toBe('wheel_lift no, road no');
  });

  test('with a car on the lift waits for the drop, and takes no new call', async () => {
    await newTruck();
    const { stopId } = await set({
      kind: 'defect',
      functions: ['wheel_lift'],
      effective: 'after_drop',
    });
    const { functions } = await fleet.client.read(url('/readiness'));
    expect(functions[0]).toMatchObject({
      answer: 'limited',
      limitsText: 'finish the drop, take no new call',
      reasons: [{ text: 'Finish the drop, take no new call. The shop stopped it: bent.' }],
    });
    expect(await code(act(stopId, 'dropped', {}))).toBe(200);
    expect(await ready()).toBe('wheel_lift no, road yes');
    expect(await code(act(stopId, 'dropped', {}))).toBe('stop_not_waiting');
    const again = await set({ kind: 'defect', effective: 'after_drop' });
    expect(await code(act(again.stopId, 'hasten', { signature: worker.signature }))).toBe(200);
    expect(await ready()).toBe('wheel_lift no, road no');
  });

  test('goes with its asset to another unit', async () => {
    await newTruck();
    await set({ kind: 'defect', functions: ['wheel_lift'], assetId: truck.liftId });
    const before = truck;
    await newTruck();
    const spare = await fleet.unit(await fleet.yard());
    await fleet.install(spare, { assetId: before.liftId }, startMs, { move: true });
    truck = { ...before, unitId: spare };
    expect(await ready()).toBe('wheel_lift no, road yes');
    expect(await fleet.client.all(url('/stops?open=true'))).toHaveLength(1);
    const { stopId } = (await fleet.client.all(url('/stops')))[0];
    expect(await code(act(stopId, 'clear', { signature: lead.signature }))).toBe(200);
  });
});

describe('a work lock', () => {
  test('takes everything, and only the person who is in it lifts it', async () => {
    await newTruck();
    expect(await code(fleet.client.post(url('/stops'), { kind: 'work_lock', reason: 'x' }))).toBe(
      'signature_missing',
    );
    const { stopId, functions } = await set({
      kind: 'work_lock',
      functions: ['winch'],
      signature: worker.signature,
    });
    expect(functions).toHaveLength(5);
    expect(await ready()).toBe('wheel_lift no, road no');
    for (const { signature } of [lead, dispatcher]) {
      expect(await code(act(stopId, 'clear', { signature }))).toBe('stop_not_yours');
      const until = text(startMs + hourMs);
      expect(await code(act(stopId, 'extend', { signature, until }))).toBe('stop_not_yours');
    }
    const { reasons } = (await fleet.client.read(url('/readiness'))).functions[0];
    expect(reasons[0].whoCanClear).toMatch(/who placed it; once gone, a lead by the written/);
    expect(await code(act(stopId, 'clear', { signature: worker.signature }))).toBe(200);
    expect(await ready()).toBe('wheel_lift yes, road yes');
  });

  test('of one who has gone is lifted by another lead, by the written procedure', async () => {
    await newTruck();
    const { stopId } = await set({ kind: 'work_lock', signature: lead.signature });
    const procedure = 'Walked round it, called A. Penn, who is at home.';
    const by = (who: Signing) => act(stopId, 'clear', { signature: who.signature, procedure });
    expect(await code(by(worker))).toBe('stop_not_yours');
    expect(await code(by(otherLead))).toBe(200);
    const acts = await fleet.client.all(`/v1/stops/${stopId}/acts`);
    expect(acts.at(-1)).toMatchObject({
      act: 'clear_by_procedure',
      words: `so it is\nProcedure: ${procedure}`,
      by: { personId: otherLead.personId },
    });
  });
});

describe("an inspector's order", () => {
  test('is cleared with the repairs certified, by a lead', async () => {
    await newTruck();
    const { stopId } = await set({ kind: 'officer', functions: ['road'] });
    expect(await ready()).toBe('wheel_lift no, road no');
    const certification = { report: 'No. 7', repairs: 'both brake lamps' };
    const clear = (who: Signing, more: object = { certification }) =>
      code(act(stopId, 'clear', { signature: who.signature, ...more }));
    expect(await clear(dispatcher)).toBe('stop_not_yours');
    expect(await clear(lead, {})).toBe('stop_impossible');
    expect(await ready()).toBe('wheel_lift no, road no');
    expect(await clear(lead)).toBe(200);
    const acts = await fleet.client.all(`/v1/stops/${stopId}/acts`);
    expect(acts.at(-1)).toMatchObject({
      act: 'clear_by_repair',
      words: 'so it is\nReport: No. 7\nRepairs: both brake lamps',
    });
  });
});

describe('a restriction', () => {
  const restrict = (signature: object, more: object = {}) =>
    fleet.client.post(url('/stops'), {
      kind: 'restriction',
      reason: 'kept for the night',
      functions: ['wheel_lift'],
      signature,
      ...more,
    });

  test('is dispatch’s to set, extend and clear', async () => {
    await newTruck();
    expect(await code(restrict(lead.signature))).toBe('competence_missing');
    const { body } = await restrict(dispatcher.signature, { until: text(startMs + hourMs) });
    const { signature } = lead;
    expect(await code(act(body.stopId, 'clear', { signature }))).toBe('stop_not_yours');
    const later = { until: text(startMs + 2 * hourMs), signature: dispatcher.signature };
    expect(await code(act(body.stopId, 'extend', { ...later, until: text(startMs) }))).toBe(
      'time_invalid',
    );
    expect((await act(body.stopId, 'extend', later)).body.until).toBe(later.until);
    expect(await code(act(body.stopId, 'clear', { signature: dispatcher.signature }))).toBe(200);
  });

  test('ends with its time', async () => {
    await newTruck();
    await restrict(dispatcher.signature, { until: text(startMs + hourMs) });
    expect(await ready()).toBe('wheel_lift no, road yes');
    await app.settleAt(startMs + hourMs);
    expect(await ready()).toBe('wheel_lift yes, road yes');
    expect((await fleet.client.all(url('/stops')))[0].state).toBe('run_out');
    await app.goTo(startMs);
  });

  test('that limits says what is still allowed', async () => {
    await newTruck();
    const limited = (limits: object) =>
      restrict(dispatcher.signature, { effect: 'limited', limits });
    expect(await code(limited({}))).toBe('stop_impossible');
    expect(await code(limited({ loadKg: -1 }))).toBe('body_invalid');
    await limited({ loadKg: 1_500, secondPerson: true });
    await limited({ loadKg: 1_200 });
    const { functions } = await fleet.client.read(url('/readiness'));
    expect(functions[0]).toMatchObject({
      answer: 'limited',
      limits: { loadKg: 1_200, secondPerson: true },
      limitsText: 'at most 1200 kg on the lift; only with a second person',
    });
  });
});

describe('a finding', () => {
  test('unfit stops what the place serves and what rests on it, until it is closed', async () => {
    await newTruck();
    const body = { assetId: truck.liftId, point: 'fold_pin', grade: 'unfit', words: 'cracked' };
    const { finding, stop } = await fleet.client.made(url('/findings'), body);
    expect(stop).toMatchObject({ kind: 'defect', functions: ['wheel_lift'] });
    expect(await ready()).toBe('wheel_lift no, road no');
    const again = await fleet.client.made(url('/findings'), { ...body, words: 'still cracked' });
    expect([again.joined, again.finding.reports, again.stop]).toEqual([true, 2, null]);
    expect(await fleet.client.all(`/v1/findings/${finding.findingId}/reports`)).toHaveLength(2);
    const { signature } = lead;
    expect(await code(act(stop.stopId, 'clear', { signature }))).toBe('finding_open');
    const close = (who: Signing) =>
      fleet.client.post(url(`/findings/${finding.findingId}/close`), {
        how: 'mended',
        words: 'new pin',
        signature: who.signature,
      });
    expect(await code(close(worker))).toBe('competence_missing');
    expect((await close(lead)).body.closed).toMatchObject({
      how: 'mended',
      by: { personId: lead.personId },
    });
    expect(await ready()).toBe('wheel_lift yes, road yes');
    expect(await code(close(lead))).toBe('finding_closed');
    expect(await fleet.client.all(url('/findings?open=true'))).toEqual([]);
  });

  test('to be mended by a day takes the place away from the day after', async () => {
    await newTruck();
    const body = { assetId: truck.liftId, point: 'crossbar_pivot', words: 'play' };
    const dated = { ...body, grade: 'mend_by', mendByDay: '2026-03-03' };
    await fleet.client.made(url('/findings'), dated);
    // the last minute of that day in the yard
    await app.goTo(Date.UTC(2026, 2, 4, 5, 59));
    expect(await ready()).toBe('wheel_lift yes, road yes');
    await app.goTo(Date.UTC(2026, 2, 4, 6));
    expect(await ready()).toBe('wheel_lift no, road yes');
    await app.goTo(startMs);
  });
});

test('to be mended after so much use counts from then on, and is unknown in silence', async () => {
  await newTruck();
  const { gateway } = truck;
  // two hours of the same day before it is found do not count
  await gateway.one(run(0, [startMs - 2 * hourMs, 0], [startMs, 40]));
  await app.settle();
  const body = { assetId: truck.liftId, point: 'crossbar_pivot', grade: 'mend_by', words: 'play' };
  const { finding } = await fleet.client.made(url('/findings'), {
    ...body,
    mendByUse: { pto_hours: 1 },
  });
  expect(finding.mendByUse).toEqual({ pto_hours: 1 });
  expect(await ready()).toBe('wheel_lift yes, road yes');
  await app.goTo(startMs + hourMs);
  await gateway.one(run(2, [startMs + hourMs, 60]));
  await app.settle();
  expect(await ready()).toBe('wheel_lift yes, road yes');
  await app.goTo(startMs + 20 * 24 * hourMs);
  expect(await ready()).toBe('wheel_lift unknown, road yes');
  await gateway.one(run(3, [startMs + 2 * hourMs, 61]));
  await app.settle();
  expect(await ready()).toBe('wheel_lift no, road yes');
  const wrong = { ...body, mendByUse: { airtime: 1 } };
  expect((await fleet.client.post(url('/findings'), wrong)).code).toBe('meter_unknown');
  await app.goTo(startMs);
});

describe('another fleet', () => {
  test('sees and touches nothing of it', async () => {
    await newTruck();
    const stop = await set({ kind: 'defect', assetId: truck.liftId });
    const found = await fleet.client.made(url('/findings'), {
      assetId: truck.liftId,
      grade: 'unfit',
      words: 'bent',
    });
    const there = await app.otherFleet();
    const strangers = new FleetBuilder(app, there);
    const chief = await strangers.person(['lead', 'dispatch']);
    const own = await strangers.truck({});
    const signature = chief.signature;
    const words = 'mine now';
    const stops = `/stops/${stop.stopId}`;
    const closing = { how: 'mended', words, signature };
    for (const unitId of [truck.unitId, own.unitId]) {
      const at = (rest: string) => `/v1/units/${unitId}${rest}`;
      const tried = [
        await there.post(at(`${stops}/clear`), { words, signature }),
        await there.post(at(`${stops}/extend`), { words, signature, until: null }),
        await there.post(at(`${stops}/dropped`), {}),
        await there.post(at(`${stops}/hasten`), {}),
        await there.post(at(`/findings/${found.finding.findingId}/close`), closing),
      ];
      expect(tried.map((answer) => answer.code)).toEqual(Array(5).fill('not_found'));
    }
    const bent = { reason: 'bent', words: 'bent', kind: 'defect', grade: 'unfit' };
    const { kind, reason, grade } = bent;
    const more = [
      await there.get(`/v1/units/${truck.unitId}/readiness`),
      await there.get(`/v1/units/${truck.unitId}/stops`),
      await there.get(`/v1/units/${truck.unitId}/findings`),
      await there.post(`/v1/units/${truck.unitId}/stops`, { kind, reason }),
      await there.post(`/v1/units/${truck.unitId}/findings`, { grade, words }),
    ];
    expect(more.map((answer) => answer.code)).toEqual(Array(5).fill('not_found'));
    const foreign = [
      await there.post(`/v1/units/${own.unitId}/stops`, { kind, reason, assetId: truck.liftId }),
      await there.post(`/v1/units/${own.unitId}/findings`, {
        grade,
        words,
        assetId: truck.liftId,
      }),
    ];
    expect(foreign.map((answer) => answer.code)).toEqual(Array(2).fill('reference_unknown'));
    expect(await there.all(`/v1/stops/${stop.stopId}/acts`)).toEqual([]);
    expect(await there.all(`/v1/findings/${found.finding.findingId}/reports`)).toEqual([]);
    const units = (await there.read('/v1/readiness')).items.map((unit: Json) => unit.unitId);
    expect(units).toEqual([own.unitId]);
    // a person of another fleet signs nothing here
    const theirs = act(stop.stopId, 'clear', { signature });
    expect((await theirs).status).toBe(403);
    expect(await ready()).toBe('wheel_lift no, road no');
  });
});
