import { beforeAll, describe, expect, test } from 'vitest';
import { putAwayReadings } from '../../src/flows/put-away-readings.ts';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, run, type Signing, startMs, text } from '../helpers/fleet.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let admin: Client;
let lead: Signing;
let yardId: string;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  lead = await fleet.person(['lead']);
  yardId = await fleet.yard();
  patternId = await wearPatternId(fleet);
  await app.goTo(startMs + 200 * dayMs);
});

const retention = async (unitId: string): Promise<Json> =>
  (await admin.read(`/v1/retention?unitId=${unitId}`)).items[0];
const kind = async (unitId: string, name: string): Promise<Json> =>
  (await retention(unitId)).kinds.find((each: Json) => each.kind === name);
const periods = (unitId: string) => `/v1/units/${unitId}/control-periods`;
const sign = (body: object) => ({ ...body, signature: lead.signature });

describe('what must be kept until when', () => {
  test('upkeep: a year while the unit is controlled, six months after it left', async () => {
    const { unitId } = await fleet.truck({ yardId, patternId });
    await fleet.done(unitId, 'grease', Date.UTC(2026, 1, 28, 18));
    expect(await kind(unitId, 'upkeep')).toMatchObject({
      ...{ rows: 1, newestDay: '2026-02-28', keepThrough: '2027-02-28', mayBeLonger: true },
      ...{ source: '49 CFR 396.3(c)', preserved: false },
    });
    const { periodId } = await admin.made(periods(unitId), { fromDay: '2025-01-01' });
    const ending = { day: '2026-08-31', reason: 'sold' };
    await admin.made(`${periods(unitId)}/${periodId}/end`, ending);
    expect(await kind(unitId, 'upkeep')).toMatchObject({
      ...{ keepThrough: '2027-02-28', mayBeLonger: false },
    });
    expect(await retention(unitId)).toMatchObject({ controlEnded: '2026-08-31' });
    const head = await admin.read(`/v1/units/${unitId}/record`);
    expect(head.control).toEqual([
      { fromDay: '2025-01-01', endedDay: '2026-08-31', forThirtyDays: true },
    ]);
  });

  test('the yearly inspection: fourteen months, by the task that is required by law', async () => {
    const yearly = {
      ...{ key: 'yearly', name: 'Yearly inspection', points: ['crossbar_pivot'], statutory: true },
      ...{ every: { months: 12 }, overrunEffect: 'no', functions: ['road'], mayExtend: 'nobody' },
    };
    const { unitId } = await fleet.truck({ yardId, patternId: await fleet.pattern(yearly) });
    await fleet.done(unitId, 'yearly', Date.UTC(2026, 2, 15, 18));
    expect(await kind(unitId, 'yearly_inspection')).toMatchObject({
      ...{ newestDay: '2026-03-15', keepThrough: '2027-05-15', source: '49 CFR 396.21(b)' },
    });
    expect(await kind(unitId, 'upkeep')).toBeUndefined();
  });

  test('wear: no rule asks for it, and it is kept all the same', async () => {
    const { unitId, liftId } = await fleet.truck({ yardId, patternId });
    await admin.made(`/v1/assets/${liftId}/measurements`, {
      ...{ point: 'left_pad', part: 'pad', value: 9, unit: 'mm', at: text(startMs) },
      measuredBy: 'A. Penn',
    });
    expect(await kind(unitId, 'wear')).toMatchObject({ rows: 1, keepThrough: null });
  });

  test('every unit is in the list', async () => {
    const units = await admin.all('/v1/units');
    const told = await admin.all('/v1/retention');
    expect(told.map((each: Json) => each.unitId)).toEqual(units.map((each: Json) => each.unitId));
  });
});

describe('periods of control', () => {
  test('do not overlap; one that was wrong is voided and told anew', async () => {
    const unitId = await fleet.unit(yardId);
    const { periodId } = await admin.made(periods(unitId), { fromDay: '2026-01-01' });
    const begin = (fromDay: string) => admin.post(periods(unitId), { fromDay });
    const end = (day: string) =>
      admin.post(`${periods(unitId)}/${periodId}/end`, { day, reason: 'given back' });
    expect((await begin('2026-02-01')).code).toBe('control_overlaps');
    expect((await end('2025-12-31')).code).toBe('time_invalid');
    expect((await end('2027-12-31')).code).toBe('time_invalid');
    expect((await end('2026-03-31')).status).toBe(200);
    expect((await end('2026-04-30')).code).toBe('control_ended');
    expect((await begin('2026-03-31')).code).toBe('control_overlaps');
    expect((await begin('2026-04-01')).status).toBe(201);
    const voiding = { name: 'B. Quill', reason: 'another unit' };
    const url = `${periods(unitId)}/${periodId}/void`;
    expect((await admin.made(url, voiding)).voided).toMatchObject({ by: 'B. Quill' });
    expect((await admin.post(url, voiding)).code).toBe('already_voided');
    expect((await end('2026-04-30')).code).toBe('already_voided');
  });

  test('of two that begin at once one is refused', async () => {
    const unitId = await fleet.unit(yardId);
    const begin = () => admin.post(periods(unitId), { fromDay: '2026-01-01' });
    const answers = await Promise.all([begin(), begin(), begin()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409]);
  });
});

describe('an order to preserve records', () => {
  test('holds its unit until a lead lifts it', async () => {
    const { unitId } = await fleet.truck({ yardId, patternId });
    await fleet.done(unitId, 'grease', startMs);
    const body = { unitId, reason: 'a claim', reference: 'C-7' };
    const placed = await admin.made('/v1/preservation-orders', sign(body));
    expect(placed).toMatchObject({ ...body, lifted: null });
    expect(await kind(unitId, 'upkeep')).toMatchObject({ preserved: true, mayBeLonger: true });
    const head = await admin.read(`/v1/units/${unitId}/record`);
    expect(head.preservation).toMatchObject([{ orderId: placed.orderId, reference: 'C-7' }]);

    // Nobody purges meanwhile.
    expect((await admin.post('/v1/fleet/deletion', {})).code).toBe('records_preserved');
    const url = `/v1/preservation-orders/${placed.orderId}/lift`;
    expect((await admin.post(url, { reason: 'settled' })).status).toBe(400);
    const other = await fleet.person(['lift_work']);
    const weak = { reason: 'settled', signature: other.signature };
    expect((await admin.post(url, weak)).code).toBe('competence_missing');
    const lifted = await admin.made(url, sign({ reason: 'settled' }));
    expect(lifted.lifted).toMatchObject({ reason: 'settled' });
    expect((await admin.post(url, sign({ reason: 'again' }))).code).toBe('order_lifted');
    expect(await kind(unitId, 'upkeep')).toMatchObject({ preserved: false });
    expect((await admin.post('/v1/fleet/deletion', {})).status).toBe(201);
  });

  test('that comes between the question and its confirmation stops the deletion', async () => {
    const { token, name } = await admin.made('/v1/fleet/deletion', {});
    const { orderId } = await admin.made('/v1/preservation-orders', sign({ reason: 'all of it' }));
    const confirm = { token, name };
    const { code } = await admin.post('/v1/fleet/deletion/confirm', confirm);
    expect(code).toBe('records_preserved');
    await admin.made(`/v1/preservation-orders/${orderId}/lift`, sign({ reason: 'settled' }));
  });

  test('without a unit holds all of them', async () => {
    const { unitId } = await fleet.truck({ yardId, patternId });
    await fleet.done(unitId, 'grease', startMs);
    const { orderId } = await admin.made('/v1/preservation-orders', sign({ reason: 'all of it' }));
    expect(await retention(unitId)).toMatchObject({ preserved: true });
    const standing = await admin.read(`/v1/preservation-orders?standing=true&unitId=${unitId}`);
    expect(standing.items).toMatchObject([{ orderId, unitId: null }]);
    await admin.made(`/v1/preservation-orders/${orderId}/lift`, sign({ reason: 'settled' }));
    expect((await admin.read('/v1/preservation-orders?standing=true')).items).toEqual([]);
  });

  test('keeps readings from being put away', async () => {
    const { gateway } = await fleet.truck({ yardId, patternId });
    await app.goTo(startMs + 210 * dayMs);
    const at = app.clock.nowMs();
    await gateway.one(run(0, [at, 5], [at + 1, 5]));
    await app.settle();
    await app.goTo(at + 100 * dayMs);
    const { orderId } = await admin.made('/v1/preservation-orders', sign({ reason: 'a claim' }));
    expect(await putAwayReadings(app.deps, 1)).toEqual({ months: [], waiting: null });
    await admin.made(`/v1/preservation-orders/${orderId}/lift`, sign({ reason: 'settled' }));
    expect((await putAwayReadings(app.deps, 1)).months.length).toBeGreaterThan(0);
  });
});

test('another fleet neither sees nor lifts nor ends any of it', async () => {
  const other = await app.otherFleet();
  const theirs = new FleetBuilder(app, other);
  const boss = await theirs.person(['lead']);
  const unitId = await fleet.unit(yardId);
  const { periodId } = await admin.made(periods(unitId), { fromDay: '2026-01-01' });
  const { orderId } = await admin.made('/v1/preservation-orders', sign({ unitId, reason: 'x' }));
  const word = { reason: 'settled', signature: boss.signature };
  const tried = [
    await other.get(periods(unitId)),
    await other.post(periods(unitId), { fromDay: '2026-01-01' }),
    await other.post(`${periods(unitId)}/${periodId}/end`, { day: '2026-02-01', reason: 'x' }),
    await other.post(`${periods(unitId)}/${periodId}/void`, { name: 'x', reason: 'x' }),
    await other.post('/v1/preservation-orders', { ...word, unitId }),
    await other.post(`/v1/preservation-orders/${orderId}/lift`, word),
  ];
  expect(tried.map(({ code }) => code)).toEqual(tried.map(() => 'not_found'));
  expect((await other.read('/v1/preservation-orders')).items).toEqual([]);
  const stolen = { reason: 'settled', signature: lead.signature };
  const { code } = await other.post(`/v1/preservation-orders/${orderId}/lift`, stolen);
  expect(code).toBe('pin_wrong');
});
