import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let technician: Client;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  technician = await app.as('technician');
  yardId = await fleet.yard();
  await app.goTo(startMs + 20 * dayMs);
});

/** A unit with a lift and no gateway. */
async function plainUnit(pattern?: string) {
  const unitId = await fleet.unit(yardId);
  const liftId = await fleet.asset('lift', pattern);
  await fleet.install(unitId, { assetId: liftId });
  return { unitId, liftId };
}

const url = (assetId: string) => `/v1/assets/${assetId}/hand-readings`;
const reading = (atMs: number, value: number, more: object = {}) => ({
  ...{ meter: 'pto_hours', value, at: text(atMs), readBy: 'A. Penn' },
  ...more,
});
const give = (assetId: string, atMs: number, value: number, more: object = {}): Promise<Json> =>
  technician.made(url(assetId), reading(atMs, value, more));
const refused = ({ status, code }: Answer) => [status, code];
const total = async (assetId: string) =>
  Object.values(await fleet.days(assetId)).reduce((sum, grains) => sum + grains, 0) / 3600;
const hours = (days: Record<string, number>) =>
  Object.fromEntries(Object.entries(days).map(([day, grains]) => [day, grains / 3600]));
const wrong = { name: 'B. Quill', reason: 'typed for another unit' };

describe('a unit without a gateway', () => {
  test('lives on readings by hand: days of use, tasks, the list', async () => {
    const { unitId, liftId } = await plainUnit(await fleet.pattern(greaseTask));
    const given = await give(liftId, startMs, 100);
    expect(given).toMatchObject({ value: 100, resolution: 0.1, unit: 'hours', counts: true });
    await fleet.done(unitId, 'grease', startMs + hourMs);
    await app.settleAt(startMs + 2 * dayMs);
    expect(await fleet.task(unitId)).toMatchObject({ status: 'ahead' });
    // Four hours over two days from noon to noon in Chicago
    await give(liftId, startMs + 2 * dayMs, 104);
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({
      '2026-03-02': 1,
      '2026-03-03': 2,
      '2026-03-04': 1,
    });
    await app.settleAt(startMs + 6 * dayMs);
    await give(liftId, startMs + 6 * dayMs, 112);
    await app.settle();
    const task = await fleet.task(unitId);
    // 12 h since the reading, of which one hour's share lies before the work was done
    expect(task).toMatchObject({ status: 'overrun', driver: 'pto_hours' });
    expect(task.measures[1].used).toBeCloseTo(12 - 4 / 48, 3);
    const { items } = await fleet.client.read('/v1/bring-in?status=overrun');
    expect(items.map((each: Json) => each.unitId)).toContain(unitId);
  });

  test('a meter that nobody read for long is not known', async () => {
    const { unitId, liftId } = await plainUnit(await fleet.pattern(greaseTask));
    await app.goTo(startMs + 20 * dayMs);
    await give(liftId, startMs + 19 * dayMs, 100);
    await fleet.done(unitId, 'grease', startMs + 19 * dayMs + hourMs);
    await app.settle();
    expect((await fleet.task(unitId)).status).toBe('ahead');
    await app.settleAt(startMs + 28 * dayMs);
    const task = await fleet.task(unitId);
    expect(task.status).toBe('unknown');
    expect(task.reasons.join()).toContain('nobody read it');
    await give(liftId, startMs + 28 * dayMs, 101);
    await app.settle();
    expect((await fleet.task(unitId)).status).toBe('ahead');
  });

  test('readings told late and in any order come to the same', async () => {
    const told = [0, 3, 1, 4, 2].map((i) => [startMs + i * dayMs, 100 + [0, 1, 5, 6, 20][i]!]);
    const late = await plainUnit();
    for (const [atMs, value] of told) {
      await give(late.liftId, atMs as number, value as number);
      await app.settle();
    }
    const inOrder = await plainUnit();
    for (const [atMs, value] of told.toSorted((a, b) => a[0]! - b[0]!)) {
      await give(inOrder.liftId, atMs as number, value as number);
    }
    await app.settle();
    expect(await total(late.liftId)).toBe(20);
    expect(await fleet.days(late.liftId)).toEqual(await fleet.days(inOrder.liftId));
  });

  test('one told while another is just being folded is not passed over', async () => {
    const { liftId } = await plainUnit();
    await give(liftId, startMs, 100);
    await give(liftId, startMs + 2 * dayMs, 108);
    await give(liftId, startMs + dayMs, 108);
    // As if its mark had come while a worker folded the two others
    const { rows } = await app.db.owner.query(
      `delete from liftwright.line_mark where mark_id = (select max(mark_id)
        from liftwright.line_mark) returning *`,
    );
    await app.db.owner.query('alter table liftwright.hand_reading disable trigger all');
    const late =
      'set voided_at = $2, void_reason = $3, voided_by = $3 where asset_id = $1 and at = $4';
    const hide = (at: string | null) =>
      app.db.owner.query(`update liftwright.hand_reading ${late}`, [
        ...[liftId, at, at && 'hidden', text(startMs + dayMs)],
      ]);
    await hide(text(startMs));
    await app.settle();
    expect(hours(await fleet.days(liftId))).toMatchObject({ '2026-03-03': 4 });
    await hide(null);
    await app.db.owner.query('alter table liftwright.hand_reading enable trigger all');
    await app.db.owner.query(
      `insert into liftwright.line_mark overriding system value
       select * from json_populate_record(null::liftwright.line_mark, $1)`,
      [JSON.stringify(rows[0])],
    );
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({ '2026-03-02': 4, '2026-03-03': 4 });
  });

  test('one that comes before the first, before the lift was put anywhere', async () => {
    const { liftId } = await plainUnit();
    await give(liftId, startMs, 100);
    await give(liftId, startMs - 40 * dayMs, 40);
    await app.settle();
    expect(await total(liftId)).toBe(60);
  });

  test('use of a lift that is on no unit is its own all the same', async () => {
    const liftId = await fleet.asset('lift');
    await give(liftId, startMs, 100);
    await give(liftId, startMs + dayMs, 110);
    await give(liftId, startMs + 2 * dayMs, 110);
    await give(liftId, startMs + 3 * dayMs, 110);
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({ '2026-03-02': 2.5, '2026-03-03': 7.5 });
    // Its days are those of the yard that it then comes to
    await fleet.install(await fleet.unit(yardId), { assetId: liftId }, startMs + 3 * dayMs);
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({ '2026-03-02': 5, '2026-03-03': 5 });
  });

  test('the starting value of an import is where it begins', async () => {
    const { liftId } = await plainUnit();
    const { items } = await fleet.client.read('/v1/assets?limit=200');
    const { serial } = items.find((each: Json) => each.assetId === liftId);
    const start = (value: number, at: string, insteadOf = '') =>
      fleet.client.made('/v1/imports', {
        dryRun: false,
        startingValues:
          'asset kind,asset serial,meter,value,at,instead of\n' +
          `lift,${serial},pto_hours,${value},${at},${insteadOf}`,
      });
    await start(90, '2026-02-20 12:00');
    await give(liftId, startMs, 100);
    await app.settle();
    expect(await total(liftId)).toBe(10);
    expect(refused(await technician.post(url(liftId), reading(startMs - 11 * dayMs, 91)))).toEqual([
      422,
      'dial_falls',
    ]);
    await start(96, '2026-02-25 12:00', '90');
    await app.settle();
    expect(await total(liftId)).toBe(4);
  });
});

describe('what cannot be', () => {
  test('a fall, a rise beyond the clock, another value for a moment; the same again', async () => {
    const { liftId } = await plainUnit();
    const first = await give(liftId, startMs, 100);
    const post = async (atMs: number, value: number, more: object = {}) =>
      refused(await technician.post(url(liftId), reading(atMs, value, more)));
    expect(await post(startMs + hourMs, 99)).toEqual([422, 'dial_falls']);
    expect(await post(startMs + hourMs, 103)).toEqual([422, 'dial_too_fast']);
    expect(await post(startMs, 101)).toEqual([409, 'dial_differs']);
    expect(await post(startMs, 100, { meter: 'engine_hours' })).toEqual([422, 'meter_not_counted']);
    expect(await post(startMs, 100, { meter: 'teacups' })).toEqual([422, 'meter_unknown']);
    expect(await post(startMs + 40 * dayMs, 101)).toEqual([422, 'time_invalid']);
    const again = await give(liftId, startMs, 100, { readBy: 'C. Reed' });
    expect(again).toMatchObject({ readingId: first.readingId, duplicate: true, readBy: 'A. Penn' });
    expect(await fleet.client.all(url(liftId))).toHaveLength(1);
  });

  test('a replaced meter begins anew', async () => {
    const { liftId } = await plainUnit();
    await give(liftId, startMs, 100);
    await give(liftId, startMs + dayMs, 105);
    await give(liftId, startMs + dayMs + hourMs, 3, { meterReplaced: true });
    await give(liftId, startMs + 2 * dayMs, 10);
    await app.settle();
    expect(await total(liftId)).toBe(12);
    // told late, between readings of the old dial
    await give(liftId, startMs + 12 * hourMs, 104);
    await app.settle();
    expect(await total(liftId)).toBe(12);
    const { items } = await fleet.client.read(`/v1/assets/${liftId}/usage-entries`);
    expect(items.map((each: Json) => [each.kind, each.day, each.amount, each.reason])).toEqual([
      ['closed_day_changed', '2026-03-02', 1.5, 'a reading by hand was told late'],
      ['closed_day_changed', '2026-03-03', -1.5, 'a reading by hand was told late'],
    ]);
  });
});

describe('a wrong entry', () => {
  test('is voided with name and reason, kept, and counts no more', async () => {
    const { liftId } = await plainUnit();
    await give(liftId, startMs, 100);
    const slip = await give(liftId, startMs + dayMs, 119);
    await app.settle();
    expect(await total(liftId)).toBe(19);
    const voided = await technician.made(`${url(liftId)}/${slip.readingId}/void`, wrong);
    expect(voided).toMatchObject({ counts: false, voided: { by: wrong.name } });
    await app.settle();
    expect(await total(liftId)).toBe(0);
    await give(liftId, startMs + dayMs, 109);
    await app.settle();
    expect(await total(liftId)).toBe(9);
    const twice = await technician.post(`${url(liftId)}/${slip.readingId}/void`, wrong);
    expect(refused(twice)).toEqual([409, 'already_voided']);
    const other = await plainUnit();
    const elsewhere = await technician.post(`${url(other.liftId)}/${slip.readingId}/void`, wrong);
    expect(refused(elsewhere)).toEqual([404, 'not_found']);
    const kept = await fleet.client.all(url(liftId), 1);
    expect(kept.map((each) => [each.value, each.voided === null])).toEqual([
      [100, true],
      [119, false],
      [109, true],
    ]);
    const events = await fleet.events({ subject: `asset/${liftId}` });
    expect(events.map(({ type }) => type)).toEqual(
      expect.arrayContaining(['meter.read_by_hand', 'meter.reading_voided']),
    );
  });

  test('what was announced because of it is taken back', async () => {
    await app.goTo(startMs + 40 * dayMs);
    const { unitId, liftId } = await plainUnit(await fleet.pattern(greaseTask));
    const nowMs = startMs + 40 * dayMs;
    await give(liftId, nowMs - 3 * dayMs, 100);
    await fleet.done(unitId, 'grease', nowMs - 3 * dayMs);
    const slip = await give(liftId, nowMs - dayMs, 130);
    await app.settle();
    expect((await fleet.task(unitId)).status).toBe('overrun');
    await app.settleAt(nowMs + hourMs);
    await technician.made(`${url(liftId)}/${slip.readingId}/void`, wrong);
    await app.settle();
    expect((await fleet.task(unitId)).status).toBe('ahead');
    const undone = await fleet.events({ type: 'task.status_undone', subject: `unit/${unitId}` });
    expect(undone.map(({ data }) => [data.undone, data.causes[0].what])).toEqual([
      ['overrun', 'hand_reading_voided'],
    ]);
    await app.goTo(startMs + 40 * dayMs);
  });
});

test('while a device counts a reading by hand only cross-checks', async () => {
  const { unitId, liftId, gateway } = await fleet.truck({
    yardId,
    counters: [{ ...ptoCounter, resolution: 1 }],
    fromMs: startMs + dayMs,
  });
  await give(liftId, startMs, 100);
  // told before the gateway came, so it counts until then: half of the 10 hours
  await give(liftId, startMs + 2 * dayMs, 110);
  await gateway.one(run(0, [startMs + dayMs, 7], [startMs + 2 * dayMs, 13]));
  await app.settle();
  expect(await total(liftId)).toBe(5 + 6);
  const counts = async () => (await fleet.client.all(url(liftId))).map((each) => each.counts);
  expect(await counts()).toEqual([true, false]);
  // the gateway goes, and the dial counts on
  const { items } = await fleet.client.read(`/v1/installs?unitId=${unitId}`);
  const { installId } = items.find((each: Json) => each.gatewayId === gateway.id);
  await fleet.client.made(`/v1/installs/${installId}/end`, { at: text(startMs + 2 * dayMs) });
  await give(liftId, startMs + 3 * dayMs, 114);
  await app.settle();
  expect(await total(liftId)).toBe(5 + 6 + 4);
  expect(await counts()).toEqual([true, true, true]);
});

test('the same reading five times at once is one', async () => {
  const { liftId } = await plainUnit();
  const all = await Promise.all([1, 2, 3, 4, 5].map(() => give(liftId, startMs, 100)));
  expect(new Set(all.map((each) => each.readingId)).size).toBe(1);
  expect(all.filter((each) => !each.duplicate)).toHaveLength(1);
  // and two that cannot both be: one of them is refused
  const pair = await Promise.all(
    [101, 119].map((value) => technician.post(url(liftId), reading(startMs + dayMs, value))),
  );
  expect(pair.map(refused).toSorted()).toEqual([
    [201, undefined],
    [409, 'dial_differs'],
  ]);
});

test('who may: technician, lead, dispatcher', async () => {
  const { liftId } = await plainUnit();
  for (const [i, role] of (['technician', 'lead', 'dispatcher'] as const).entries()) {
    const client = await app.as(role);
    await client.made(url(liftId), reading(startMs + i * dayMs, 100 + i));
  }
  const auditor = await app.as('auditor');
  expect(refused(await auditor.post(url(liftId), reading(startMs, 100)))).toEqual([
    403,
    'role_not_allowed',
  ]);
  expect(await auditor.all(url(liftId))).toHaveLength(3);
});
