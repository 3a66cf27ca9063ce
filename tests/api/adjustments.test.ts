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
let lead: Client;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  lead = await app.as('lead');
  yardId = await fleet.yard();
  await app.goTo(startMs + 5 * dayMs);
});

const hourly = { ...ptoCounter, resolution: 1 };
const read = (assetId: string, atMs: number, value: number, more: object = {}): Promise<Json> =>
  fleet.client.made(`/v1/assets/${assetId}/hand-readings`, {
    ...{ meter: 'pto_hours', value, at: text(atMs), readBy: 'A. Penn' },
    ...more,
  });
const readings = (assetId: string) => fleet.client.all(`/v1/assets/${assetId}/hand-readings`);
const said = { name: 'B. Quill', reason: 'the dial says so' };
const adjustment = (amount: number, atMs: number, more: object = {}) => ({
  ...{ meter: 'pto_hours', amount, at: text(atMs), ...said },
  ...more,
});
const adjust = (assetId: string, amount: number, atMs: number, more: object = {}): Promise<Json> =>
  lead.made(`/v1/assets/${assetId}/adjustments`, adjustment(amount, atMs, more));
const entries = (assetId: string) => fleet.client.all(`/v1/assets/${assetId}/usage-entries`, 1);
const usage = async (assetId: string) => {
  const url = `/v1/assets/${assetId}/usage?meter=pto_hours&from=2026-02-15&to=2026-06-15`;
  return (await fleet.client.read(url)).meters[0];
};
const refused = ({ status, code }: Answer) => [status, code];

/** A gateway that counted 10 hours of the 12 that a dial shows, over two days. */
async function short(patternId?: string) {
  const more = patternId ? { patternId } : {};
  const truck = await fleet.truck({ yardId, counters: [hourly], ...more });
  await read(truck.liftId, startMs, 500);
  await truck.gateway.one(run(0, [startMs, 7], [startMs + 2 * dayMs, 17]));
  await app.settle();
  return truck;
}

describe('a reading by hand while a device counts', () => {
  test('is compared with the ledger since the first reading of the dial', async () => {
    const { liftId } = await short();
    const given = await read(liftId, startMs + 2 * dayMs, 512);
    const check = {
      since: text(startMs),
      ledgerValue: 510,
      difference: 2,
      knownUntil: null,
    };
    expect(given).toMatchObject({ counts: false, check });
    expect((await readings(liftId)).map((each) => each.check)).toEqual([null, check]);
    // halfway, told late
    const half = await read(liftId, startMs + dayMs, 506);
    expect(half.check).toMatchObject({ ledgerValue: 505, difference: 1 });
    // after the last of the device: what it has not sent is in the difference
    const later = await read(liftId, startMs + 3 * dayMs, 515);
    const knownUntil = text(startMs + 2 * dayMs);
    expect(later.check).toMatchObject({ ledgerValue: 510, difference: 5, knownUntil });
  });

  test('a new dial is compared from its own first reading', async () => {
    const { liftId } = await short();
    await read(liftId, startMs + dayMs, 0, { meterReplaced: true });
    const given = await read(liftId, startMs + 2 * dayMs, 4);
    expect(given.check).toMatchObject({ since: text(startMs + dayMs), ledgerValue: 5 });
    expect(given.check.difference).toBe(-1);
  });

  test('where dials alone count there is nothing to compare', async () => {
    const liftId = await fleet.asset('lift');
    await read(liftId, startMs, 100);
    expect((await read(liftId, startMs + dayMs, 104)).check).toBeNull();
  });
});

describe('an adjustment', () => {
  test('moves the use, clears the difference, and is taken back by an opposite one', async () => {
    const { liftId } = await short();
    const { readingId } = await read(liftId, startMs + 2 * dayMs, 512);
    const entry = await adjust(liftId, 2, startMs + 2 * dayMs, { handReadingId: readingId });
    expect(entry).toMatchObject({
      ...{ kind: 'adjustment', amount: 2, grains: 7200, unit: 'hours', day: '2026-03-04' },
      ...{ name: said.name, handReadingId: readingId, withdraws: null, withdrawnBy: null },
    });
    const after = await usage(liftId);
    expect([after.total, after.adjusted]).toEqual([12, 2]);
    expect(after.days.at(-1)).toMatchObject({ day: '2026-03-04', use: 4.5, adjusted: 2 });
    const [, checked] = await readings(liftId);
    expect(checked.check).toMatchObject({ ledgerValue: 512, difference: 0 });

    const url = `/v1/assets/${liftId}/adjustments/${entry.entryId}/withdraw`;
    const back = await lead.made(url, { name: 'C. Reed', reason: 'the dial was another one' });
    expect(back).toMatchObject({ amount: -2, withdraws: entry.entryId, name: 'C. Reed' });
    expect(await usage(liftId)).toMatchObject({ total: 10, adjusted: 0 });
    expect((await entries(liftId)).map((e) => [e.amount, e.withdraws, e.withdrawnBy])).toEqual([
      [2, null, back.entryId],
      [-2, entry.entryId, null],
    ]);
    expect(refused(await lead.post(url, said))).toEqual([409, 'already_voided']);
    const again = `/v1/assets/${liftId}/adjustments/${back.entryId}/withdraw`;
    expect(refused(await lead.post(again, said))).toEqual([404, 'not_found']);
    await app.settle();
    const events = await fleet.events({ subject: `asset/${liftId}` });
    expect(events.map(({ type }) => type)).toEqual(
      expect.arrayContaining(['usage.adjusted', 'usage.adjustment_withdrawn']),
    );
  });

  test('recomputes tasks, from its time on, and says what was wrong before', async () => {
    const { unitId, liftId } = await short(await fleet.pattern(greaseTask));
    const doneMs = startMs + dayMs;
    await fleet.done(unitId, 'grease', doneMs);
    await app.settle();
    expect(await fleet.measure(unitId)).toMatchObject({ used: 5 });
    await app.settleAt(startMs + 5 * dayMs + hourMs);
    await adjust(liftId, 6.5, doneMs + hourMs);
    await app.settle();
    expect(await fleet.measure(unitId)).toMatchObject({ used: 11.5 });
    expect(await fleet.task(unitId)).toMatchObject({ status: 'overrun' });
    const undone = await fleet.events({ type: 'task.status_undone', subject: `unit/${unitId}` });
    expect(undone.at(-1)?.data.causes[0]).toMatchObject({ what: 'usage_adjusted' });
    // one before the work was done, on the same day, is no use since
    await adjust(liftId, 3, doneMs - hourMs);
    await app.settle();
    expect(await fleet.measure(unitId)).toMatchObject({ used: 11.5 });
    await adjust(liftId, -9, doneMs + 2 * hourMs);
    await app.settle();
    expect(await fleet.measure(unitId)).toMatchObject({ used: 2.5 });
    await app.goTo(startMs + 5 * dayMs);
  });

  test('that cannot be', async () => {
    const { liftId } = await short();
    const other = await short();
    const foreign = await read(other.liftId, startMs + dayMs, 505);
    const post = async (amount: number, atMs: number, more: object = {}) =>
      refused(await lead.post(`/v1/assets/${liftId}/adjustments`, adjustment(amount, atMs, more)));
    const impossible = [422, 'adjustment_impossible'];
    expect(await post(0, startMs)).toEqual(impossible);
    expect(await post(-11, startMs + 2 * dayMs)).toEqual(impossible);
    // ten hours in all, but only five by then
    expect(await post(-9, startMs + 12 * hourMs)).toEqual(impossible);
    expect(await post(2_000_000, startMs)).toEqual(impossible);
    expect(await post(1, startMs + 9 * dayMs)).toEqual([422, 'time_invalid']);
    expect(await post(1, startMs, { meter: 'engine_hours' })).toEqual([422, 'meter_not_counted']);
    const handReadingId = foreign.readingId;
    expect(await post(1, startMs, { handReadingId })).toEqual([422, 'reference_unknown']);
    expect(await post(-10, startMs + 2 * dayMs)).toEqual([201, undefined]);
    // what would leave less than nothing cannot be taken back
    const given = await adjust(liftId, 5, startMs + 2 * dayMs);
    expect(await post(-5, startMs + 2 * dayMs)).toEqual([201, undefined]);
    const url = `/v1/assets/${liftId}/adjustments/${given.entryId}/withdraw`;
    expect(refused(await lead.post(url, said))).toEqual(impossible);
    const technician = await app.as('technician');
    const tried = await technician.post(`/v1/assets/${liftId}/adjustments`, adjustment(1, startMs));
    expect(refused(tried)).toEqual([403, 'role_not_allowed']);
  });

  test('the same twice with a key is one', async () => {
    const { liftId } = await short();
    const headers = { 'idempotency-key': 'adjust-once' };
    const url = `/v1/assets/${liftId}/adjustments`;
    for (const _ of [1, 2]) await lead.made(url, adjustment(1, startMs), headers);
    expect(await entries(liftId)).toHaveLength(1);
  });
});
