import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  patternOf,
  point,
  type Signing,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
let patternId: string;
let lead: Signing;
let dispatcher: Signing;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  lead = await fleet.person(['lead']);
  dispatcher = await fleet.person(['dispatch']);
  const task = { ...greaseTask, every: { days: 30 }, functions: ['wheel_lift'] };
  const document = { ...patternOf(task), servicePoints: [{ ...point, serves: ['wheel_lift'] }] };
  patternId = (await fleet.client.made('/v1/patterns', { document })).patternId;
});

const url = (rest = '') => `/v1/units/${truck.unitId}${rest}`;
const readiness = () => fleet.client.read(url('/readiness'));
const lift = async (): Promise<Json> => (await readiness()).functions[0];
const stop = (body: object) =>
  fleet.client.made(url('/stops'), { kind: 'defect', reason: 'the hook is bent', ...body });
const assign = (reliedOn: number, more: object = {}) =>
  fleet.client.post(url('/assignments'), { functions: ['wheel_lift'], reliedOn, ...more });

/** A unit whose lift was greased so many days ago. */
async function newTruck(daysAgo = 1): Promise<void> {
  truck = await fleet.truck({ patternId });
  await fleet.done(truck.unitId, 'grease', startMs - daysAgo * dayMs);
  await app.settle();
}

describe('an assignment', () => {
  test('says what dispatch relied on, and that nothing has changed since', async () => {
    await newTruck();
    const { event } = await readiness();
    const { body } = await assign(event, { reference: 'call 7', note: 'two cars' });
    expect(body).toMatchObject({
      functions: ['wheel_lift'],
      reliedOn: event,
      lastEvent: event,
      answers: { wheel_lift: 'yes' },
      changed: false,
      reference: 'call 7',
      since: [],
      now: [{ function: 'wheel_lift', answer: 'yes' }],
      at: text(startMs),
    });
    const { since, now, ...logged } = body;
    expect([since, now.length]).toEqual([[], 1]);
    expect(await fleet.client.all(url('/assignments'))).toEqual([logged]);
    await app.settle();
    const [told] = await fleet.events({ type: 'unit.assigned', subject: `unit/${truck.unitId}` });
    expect(told).toMatchObject({
      data: { reliedOn: event, changed: false },
      personal: { reference: 'call 7' },
    });
  });

  test('of a unit that was stopped meanwhile is logged, and says so at once', async () => {
    await newTruck();
    const { event } = await readiness();
    await stop({ functions: ['wheel_lift'] });
    const early = (await assign(event)).body;
    expect(early).toMatchObject({
      changed: true,
      since: [{ event: null, type: 'stop.set' }],
      answers: { wheel_lift: 'no' },
      now: [{ answer: 'no', reasons: [{ text: 'The shop stopped it: the hook is bent.' }] }],
    });
    await app.settle();
    const later = (await assign(event)).body;
    expect(later.since).toMatchObject([{ event: expect.any(Number), type: 'stop.set' }]);
    // whoever reads again and sends it all the same is refused
    const again = await assign((await readiness()).event);
    expect([again.status, again.code]).toEqual([409, 'unit_not_ready']);
    expect(again.body.detail).toContain('The shop stopped it: the hook is bent.');
    expect(again.body.detail).toContain('a lead, when it is mended and checked');
  });

  test('of another unit, or of what does not concern it, changes nothing', async () => {
    await newTruck();
    const here = truck;
    const { event } = await readiness();
    await newTruck();
    await stop({});
    await app.settle();
    truck = here;
    expect((await assign(event)).body).toMatchObject({ changed: false, since: [] });
  });

  test('is refused where the function is not fitted, or only the drop is left', async () => {
    await newTruck();
    const { event } = await readiness();
    const winch = await assign(event, { functions: ['winch'] });
    expect([winch.code, winch.body.detail]).toEqual(['unit_not_ready', 'winch: It is not fitted.']);
    await stop({ functions: ['wheel_lift'], effective: 'after_drop' });
    await app.settle();
    const now = (await readiness()).event;
    const waiting = await assign(now);
    expect(waiting.code).toBe('unit_not_ready');
    expect(waiting.body.detail).toContain('Finish the drop, take no new call.');
    expect((await assign(now, { functions: ['road'] })).status).toBe(201);
  });

  test('goes over a restriction of dispatch itself, and over nothing else', async () => {
    await newTruck();
    const held = { kind: 'restriction', functions: ['wheel_lift'], reason: 'kept for the night' };
    await stop({ ...held, signature: dispatcher.signature });
    await app.settle();
    const { event } = await readiness();
    const override = 'nobody else is near';
    const signed = (who: Signing) => ({ override, signature: who.signature });
    expect((await assign(event)).code).toBe('unit_not_ready');
    expect((await assign(event, { override })).code).toBe('signature_missing');
    expect((await assign(event, signed(lead))).code).toBe('competence_missing');
    const sent = await assign(event, signed(dispatcher));
    expect(sent.body).toMatchObject({ override, by: { personId: dispatcher.personId } });
    await stop({ functions: ['wheel_lift'] });
    await app.settle();
    const both = await assign((await readiness()).event, signed(dispatcher));
    expect([both.status, both.code]).toEqual([409, 'unit_not_ready']);
    expect(both.body.detail).toContain('The shop stopped it');
  });

  test.each([
    ['an event to come', { reliedOn: 9_999_999 }, 'reference_unknown'],
    ['a time to come', { at: text(startMs + hourMs) }, 'time_invalid'],
    ['a time long gone', { at: '1969-01-01T00:00:00Z' }, 'time_invalid'],
    ['no function', { functions: [] }, 'body_invalid'],
    ['a function that there is not', { functions: ['crane'] }, 'body_invalid'],
  ])('with %s is refused', async (_, more, code) => {
    await newTruck();
    expect((await assign(0, more)).code).toBe(code);
  });

  test('is nothing that another fleet sees or makes', async () => {
    await newTruck();
    await assign(0);
    const there = await app.otherFleet();
    const body = { functions: ['road'], reliedOn: 0 };
    const tried = [
      await there.get(url('/assignments')),
      await there.post(url('/assignments'), body),
      await there.post(url('/tasks/grease/deferrals'), {
        untilDay: '2026-03-09',
        reason: 'x',
        signature: (await new FleetBuilder(app, there).person(['lead'])).signature,
      }),
    ];
    expect(tried.map((answer) => answer.code)).toEqual(Array(3).fill('not_found'));
    expect(await there.all('/v1/deferrals')).toEqual([]);
  });
});

describe('upkeep that is overdue', () => {
  const defer = (more: object = {}) =>
    fleet.client.post(url('/tasks/grease/deferrals'), {
      untilDay: '2026-03-05',
      reason: 'no bay',
      signature: lead.signature,
      ...more,
    });

  test('takes the lift away, and a lead may put it off with a restriction', async () => {
    await newTruck(40);
    expect(await lift()).toMatchObject({
      answer: 'no',
      reasons: [
        {
          what: 'task',
          text: expect.stringMatching(/^Grease all fittings: Past its limit since/),
          whoCanClear: 'the shop, by doing it; a lead may put it off',
        },
      ],
    });
    const { body } = await defer({ restriction: 'light cars only', limits: { loadKg: 900 } });
    expect(body).toMatchObject({
      approverId: lead.personId,
      effect: 'limited',
      functions: ['wheel_lift'],
    });
    await app.settle();
    expect(await lift()).toMatchObject({
      answer: 'limited',
      limits: { loadKg: 900 },
      reasons: [{ what: 'deferral', id: body.deferralId }],
    });
    const [listed] = await fleet.client.all(`/v1/deferrals?unitId=${truck.unitId}&open=true`);
    expect(listed).toEqual({ ...body, unitId: truck.unitId, runs: true });
    // its day is over in the yard
    await app.settleAt(Date.UTC(2026, 2, 6, 6));
    expect(await lift()).toMatchObject({ answer: 'no', reasons: [{ what: 'task' }] });
    expect((await fleet.client.all('/v1/deferrals')).map((each) => each.runs)).toEqual([false]);
    await app.goTo(startMs);
  });

  test('put off without a restriction is free, and a done ends a restriction', async () => {
    await newTruck(40);
    await defer();
    await app.settle();
    expect(await lift()).toMatchObject({ answer: 'yes', notes: [{ what: 'deferral' }] });
    await defer({ effect: 'no', functions: ['wheel_lift'] });
    expect((await lift()).answer).toBe('no');
    await app.settle();
    expect((await lift()).answer).toBe('no');
    await app.goTo(startMs + hourMs);
    await fleet.done(truck.unitId, 'grease', startMs + hourMs);
    await app.settle();
    expect(await lift()).toMatchObject({ answer: 'yes', notes: [] });
    await app.goTo(startMs);
  });

  test('is not put off by one who may not, nor where the place is unfit', async () => {
    await newTruck(40);
    expect((await defer({ signature: dispatcher.signature })).code).toBe('competence_missing');
    expect((await defer({ signature: undefined })).code).toBe('body_invalid');
    expect((await defer({ effect: 'limited' })).code).toBe('deferral_refused');
    const unfit = { assetId: truck.liftId, point: 'crossbar_pivot', grade: 'unfit', words: 'dry' };
    await fleet.client.made(url('/findings'), unfit);
    const refused = await defer();
    expect([refused.code, refused.body.detail]).toEqual([
      'deferral_refused',
      'A place that it serves was found unfit: mend that.',
    ]);
  });

  test('of which nobody knows is unknown', async () => {
    truck = await fleet.truck({ patternId });
    expect((await lift()).answer).toBe('unknown');
    await app.settle();
    expect(await lift()).toMatchObject({
      answer: 'unknown',
      reasons: [{ whoCanClear: 'the shop, by saying when it was last done, or by doing it' }],
    });
  });
});

describe('the list for a call', () => {
  test('is of the units that may take it, of one yard, page by page', async () => {
    const yardId = await fleet.yard();
    const numbers: string[] = [];
    for (const n of [1, 2, 3, 4, 5]) {
      truck = await fleet.truck({ patternId, yardId, number: `call-${n}` });
      await fleet.done(truck.unitId, 'grease', startMs - dayMs);
      numbers.push(`call-${n}`);
      if (n === 2) await stop({ functions: ['wheel_lift'] });
      if (n === 4) await stop({ functions: ['road'], effective: 'after_drop' });
    }
    await app.settle();
    const list = async (query: string) =>
      (await fleet.client.all(`/v1/readiness?yardId=${yardId}&${query}`, 2)).map(
        (unit) => unit.number,
      );
    expect(await list('function=wheel_lift')).toEqual(numbers);
    expect(await list('function=wheel_lift&answer=yes')).toEqual(['call-1', 'call-3', 'call-5']);
    expect(await list('function=wheel_lift&answer=no')).toEqual(['call-2']);
    expect(await list('function=wheel_lift&answer=no,limited')).toEqual(['call-2', 'call-4']);
    expect(await list('function=dollies&answer=yes')).toEqual([]);
    expect(await list('answer=limited')).toEqual(['call-4']);
    const { items } = await fleet.client.read(`/v1/readiness?yardId=${yardId}&function=road`);
    expect(items.map((unit: Json) => unit.functions.length)).toEqual([1, 1, 1, 1, 1]);
    for (const wrong of ['answer=maybe', 'function=crane', 'yardId=x', 'answer=']) {
      expect((await fleet.client.get(`/v1/readiness?${wrong}`)).code).toBe('query_invalid');
    }
  });
});
