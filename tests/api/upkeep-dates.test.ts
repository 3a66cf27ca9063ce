import { beforeAll, describe, expect, test } from 'vitest';
import { sweep } from '../../src/flows/sweep.ts';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  run,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

/** Midnight in Chicago at the start of a day of 2026. */
const midnight = (month: number, date: number) => {
  const summer = month > 3 || (month === 3 && date > 8);
  return Date.UTC(2026, month - 1, date, summer ? 5 : 6);
};
const monthly = { ...greaseTask, every: { days: 30 } };

async function truckWith(task: object): Promise<Truck> {
  await app.settleAt(startMs);
  const patternId = await fleet.pattern(task);
  return fleet.truck({ patternId });
}
const status = async (truck: Truck) => (await fleet.task(truck.unitId)).status;

describe('the calendar alone', () => {
  test('an idle unit is found when its day comes, and costs nothing before', async () => {
    const truck = await truckWith(monthly);
    await fleet.done(truck.unitId, 'grease', startMs);
    await app.settle();
    const assessed = (await fleet.task(truck.unitId)).assessedAt;
    // opens at 27 days, ends at 33; edges belong inside
    const steps: [number, string][] = [
      [midnight(3, 29) - 1, 'ahead'],
      [midnight(3, 29), 'in_window'],
      [midnight(4, 5) - 1, 'in_window'],
      [midnight(4, 5), 'overrun'],
    ];
    for (const [ms, expected] of steps) {
      await app.goTo(ms - 60_000);
      await app.settle();
      expect(await sweep(app.deps)).toBe(0);
      await app.settleAt(ms);
      expect([text(ms), await status(truck)]).toEqual([text(ms), expected]);
      if (expected === 'ahead') {
        expect((await fleet.task(truck.unitId)).assessedAt).toBe(assessed);
      }
    }
    const list = await fleet.client.all('/v1/bring-in');
    const row = list.find((each) => each.unitId === truck.unitId);
    expect(row).toMatchObject({ status: 'overrun', rank: 1, pressOn: '2026-04-05' });
    expect(row.reasons[0].text).toContain('2026-04-05');
  });

  test('a statutory task has no plus, and nobody may defer it', async () => {
    const truck = await truckWith({
      ...greaseTask,
      key: 'inspection',
      every: { months: 12 },
      statutory: true,
    });
    await fleet.done(truck.unitId, 'inspection', Date.UTC(2025, 2, 20, 18));
    await app.settleAt(midnight(3, 21) - 1);
    expect((await fleet.task(truck.unitId, 'inspection')).status).toBe('in_window');
    const url = `/v1/units/${truck.unitId}/tasks/inspection/deferrals`;
    const { signature } = await fleet.person(['lead']);
    const body = { untilDay: '2026-03-30', reason: 'no bay', signature };
    const refused = await fleet.client.post(url, body);
    expect([refused.status, refused.code]).toEqual([422, 'deferral_refused']);
    await app.settleAt(midnight(3, 21));
    const task = await fleet.task(truck.unitId, 'inspection');
    expect(task).toMatchObject({ status: 'overrun', overrunSince: '2026-03-21', deferral: null });
  });

  test('an install that begins or ends on a day to come is seen when it comes', async () => {
    const truck = await truckWith(monthly);
    await fleet.done(truck.unitId, 'grease', startMs - 40 * dayMs);
    await app.settle();
    expect(await status(truck)).toBe('overrun');
    const other = await fleet.unit(await fleet.yard());
    const moveMs = startMs + 5 * dayMs;
    await fleet.install(other, { assetId: truck.liftId }, moveMs, { move: true });
    await app.settle();
    expect(await status(truck)).toBe('overrun');
    await app.settleAt(moveMs);
    expect(await fleet.task(truck.unitId)).toBeUndefined();
    expect((await fleet.task(other)).status).toBe('overrun');
    const list = await fleet.client.all('/v1/bring-in');
    const rank = (unitId: string) => list.find((each) => each.unitId === unitId)?.status;
    expect([rank(truck.unitId), rank(other)]).toEqual(['unknown', 'overrun']);
  });
});

describe('severity', () => {
  test('counts from its date forward, for the units of its yard', async () => {
    await app.settleAt(startMs);
    const patternId = await fleet.pattern({ ...monthly, severity: { salt: 2 } });
    const yardId = await fleet.yard();
    const salted = await fleet.truck({ yardId, patternId });
    const plain = await fleet.truck({ patternId });
    for (const { unitId } of [salted, plain]) await fleet.done(unitId, 'grease', startMs);
    await app.settle();
    const days = async (truck: Truck) => {
      const task = await fleet.task(truck.unitId);
      return [task.opens.day, task.full.day, task.limit.day];
    };
    const before = ['2026-03-29', '2026-04-01', '2026-04-04'];
    expect(await days(salted)).toEqual(before);
    const made = await fleet.client.made('/v1/severities', {
      kind: 'salt',
      yardId,
      fromDay: '2026-03-12',
    });
    await app.settle();
    // nine plain days to the 11th, then two for one
    expect(await days(salted)).toEqual(['2026-03-20', '2026-03-22', '2026-03-23']);
    expect(await days(plain)).toEqual(before);
    const listed = await fleet.client.all('/v1/severities', 1);
    expect(listed.filter((each) => each.severityId === made.severityId)).toEqual([
      { ...made, unitId: null, toDay: null, season: null },
    ]);
    await app.settleAt(midnight(3, 20));
    expect([await status(salted), await status(plain)]).toEqual(['in_window', 'ahead']);
    expect((await fleet.measure(salted.unitId, 'calendar')).used).toBe(9 + 2 * 9);
  });

  test.each([
    ['neither yard nor unit', {}, 400, 'body_invalid'],
    [
      'a yard that there is not',
      { yardId: '01900000-0000-7000-8000-000000000000' },
      422,
      'reference_unknown',
    ],
    ['days the wrong way round', { toDay: '2026-03-11' }, 400, 'body_invalid'],
    ['a season of no month', { season: { from: '13-01', to: '02-01' } }, 400, 'body_invalid'],
    [
      'a day that there is not in any year',
      { season: { from: '02-30', to: '03-01' } },
      400,
      'body_invalid',
    ],
  ])('%s is refused', async (_, changes, code, problem) => {
    const yardId = await fleet.yard();
    const both = 'toDay' in changes || 'season' in changes ? { yardId } : {};
    const body = { kind: 'salt', fromDay: '2026-03-12', ...both, ...changes };
    const answer = await fleet.client.post('/v1/severities', body);
    expect([answer.status, answer.code]).toEqual([code, problem]);
  });
});

describe('deferrals', () => {
  let signature: object;
  beforeAll(async () => {
    signature = (await fleet.person(['lead'])).signature;
  });
  const deferral = {
    untilDay: '2026-03-09',
    untilUse: { pto_hours: 2 },
    restriction: 'light cars only',
    reason: 'no bay before Friday',
  };
  const url = (truck: Truck, key = 'grease') => `/v1/units/${truck.unitId}/tasks/${key}/deferrals`;

  async function overrun(): Promise<Truck> {
    const truck = await truckWith(greaseTask);
    await fleet.done(truck.unitId, 'grease', startMs - 20 * hourMs);
    await truck.gateway.one(run(0, [startMs - 12 * hourMs, 0], [startMs - hourMs, 221]));
    // it was silent since, which is known use of nothing
    await app.settle();
    return truck;
  }

  test('it goes past its limit until so much was used', async () => {
    const truck = await truckWith(greaseTask);
    await fleet.done(truck.unitId, 'grease', startMs - 20 * hourMs);
    await truck.gateway.one(run(0, [startMs - 12 * hourMs, 0], [startMs, 223]));
    await app.settle();
    expect(await status(truck)).toBe('overrun');
    const made = await fleet.client.made(url(truck), { ...deferral, signature });
    expect(made).toMatchObject({ task: 'grease', ...deferral });
    await app.settle();
    const task = await fleet.task(truck.unitId);
    expect(task).toMatchObject({ status: 'in_window', deferral: { state: 'active' } });
    expect(task.reasons.join()).toContain(made.approver);
    await app.goTo(startMs + 3 * hourMs);
    await truck.gateway.one(run(2, [startMs + 3 * hourMs, 223 + 40]));
    await app.settle();
    expect(await status(truck)).toBe('in_window');
    await app.goTo(startMs + 4 * hourMs);
    await truck.gateway.one(run(3, [startMs + 4 * hourMs, 223 + 41]));
    await app.settle();
    const after = await fleet.task(truck.unitId);
    expect(after).toMatchObject({ status: 'overrun', deferral: { state: 'ended' } });
    await fleet.done(truck.unitId, 'grease', startMs + 4 * hourMs);
    await app.settle();
    expect(await fleet.task(truck.unitId)).toMatchObject({
      status: 'ahead',
      deferral: { state: 'spent' },
    });
  });

  test('or until its day is over; a new one takes its place', async () => {
    const truck = await truckWith({ ...monthly, every: { days: 30 } });
    await fleet.done(truck.unitId, 'grease', startMs - 40 * dayMs);
    const { untilUse, ...byDay } = deferral;
    await fleet.client.made(url(truck), { ...byDay, signature });
    await app.settleAt(midnight(3, 10) - 1);
    expect(await status(truck)).toBe('in_window');
    await app.settleAt(midnight(3, 10));
    expect(await status(truck)).toBe('overrun');
    await fleet.client.made(url(truck), { ...byDay, signature, untilDay: '2026-03-12' });
    await app.settle();
    expect(await status(truck)).toBe('in_window');
    await app.settleAt(midnight(3, 13));
    expect(await status(truck)).toBe('overrun');
    expect(untilUse).toBeDefined();
  });

  test.each<[string, object, number, string]>([
    ['without use for a task that counts use', { untilUse: {} }, 422, 'deferral_refused'],
    ['by a meter of another task', { untilUse: { lift_cycles: 5 } }, 422, 'deferral_refused'],
    ['by a meter that there is not', { untilUse: { airtime: 5 } }, 422, 'meter_unknown'],
    ['until last week', { untilDay: '2026-02-25' }, 422, 'time_invalid'],
    ['for more than a year', { untilDay: '2027-03-05' }, 422, 'time_invalid'],
    ['without a reason', { reason: ' ' }, 400, 'body_invalid'],
    ['with less than no use', { untilUse: { pto_hours: -1 } }, 400, 'body_invalid'],
  ])('%s it is refused', async (_, changes, code, problem) => {
    const truck = await overrun();
    const answer = await fleet.client.post(url(truck), { ...deferral, signature, ...changes });
    expect([answer.status, answer.code]).toEqual([code, problem]);
    await app.settle();
    expect(await status(truck)).toBe('overrun');
    expect((await fleet.task(truck.unitId)).deferral).toBeNull();
  });

  test('the pattern says who may extend', async () => {
    const lead = await app.as('lead');
    const technician = await app.as('technician');
    const nobody = await truckWith({ ...greaseTask, mayExtend: 'nobody' });
    const admin = await truckWith({ ...greaseTask, mayExtend: 'admin' });
    const anyLead = await truckWith(greaseTask);
    const codes: (string | number | undefined)[] = [];
    for (const truck of [nobody, admin, anyLead]) {
      for (const client of [technician, lead, fleet.client]) {
        const answer = await client.post(url(truck), { ...deferral, signature });
        codes.push(answer.code ?? answer.status);
      }
    }
    const [may, refused] = ['role_not_allowed', 'deferral_refused'];
    expect(codes).toEqual([may, refused, refused, may, refused, 201, may, 201, 201]);
  });
});
