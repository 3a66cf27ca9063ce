import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, startMs } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
let warnOnly: string;
let north: string;
let south: string;

const monthly = { ...greaseTask, every: { days: 30 } };

/** A unit last greased so many days ago; null: nobody knows. */
async function unitDone(
  number: string,
  daysAgo: number | null,
  more: object = {},
): Promise<string> {
  const input = { yardId: north, patternId, number, counters: [], ...more };
  const { unitId } = await fleet.truck(input);
  if (daysAgo !== null) await fleet.done(unitId, 'grease', startMs - daysAgo * dayMs);
  return unitId;
}

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(monthly);
  warnOnly = await fleet.pattern({ ...monthly, overrunEffect: 'warn', functions: [] });
  north = await fleet.yard();
  south = await fleet.yard();
  await unitDone('ahead-late', 1);
  await unitDone('ahead-soon', 20);
  await unitDone('overrun-old', 60);
  await unitDone('overrun-new', 40);
  await unitDone('overrun-warn', 90, { patternId: warnOnly });
  await unitDone('window', 29, { yardId: south });
  await unitDone('unknown', null, { yardId: south });
  await fleet.unit(north, 'bare');
  await app.settle();
});

const numbers = (rows: Json[]) => rows.map((row) => row.number);
const list = (query = '', limit?: number) => fleet.client.all(`/v1/bring-in${query}`, limit);
const order = [
  'overrun-old',
  'overrun-new',
  'overrun-warn',
  'window',
  'unknown',
  'bare',
  'ahead-soon',
  'ahead-late',
];

describe('the bring-in list', () => {
  test('the most pressing first, by rank, then by day', async () => {
    const rows = await list();
    expect(numbers(rows)).toEqual(order);
    expect(rows.map((row) => [row.rank, row.status, row.pressOn])).toEqual([
      [1, 'overrun', '2026-02-04'],
      [1, 'overrun', '2026-02-24'],
      [3, 'overrun', '2026-01-05'],
      [4, 'in_window', '2026-03-06'],
      [5, 'unknown', null],
      [5, 'unknown', null],
      [6, 'ahead', '2026-03-09'],
      [6, 'ahead', '2026-03-28'],
    ]);
    expect(rows[0]).toMatchObject({
      yardId: north,
      moreReasons: 0,
      reasons: [{ task: 'grease', status: 'overrun', rank: 1 }],
    });
    expect(rows[0].reasons[0].text).toBe('Past its limit since 2026-02-04: 60 of 30 days.');
    expect(rows[4].reasons[0].text).toBe('Nothing says when it was last done.');
  });

  test('filters by yard, status and day, also together', async () => {
    expect(numbers(await list(`?yardId=${south}`))).toEqual(['window', 'unknown']);
    expect(numbers(await list('?status=overrun'))).toEqual(order.slice(0, 3));
    expect(numbers(await list('?status=unknown,in_window'))).toEqual(['window', 'unknown', 'bare']);
    // what is not known may be due today
    expect(numbers(await list('?withinDays=0'))).toEqual([...order.slice(0, 3), 'unknown', 'bare']);
    expect(numbers(await list('?withinDays=7'))).toEqual([
      ...order.slice(0, 4),
      'unknown',
      'bare',
      'ahead-soon',
    ]);
    expect(numbers(await list(`?yardId=${south}&withinDays=7&status=in_window,overrun`))).toEqual([
      'window',
    ]);
    const other = '01900000-0000-7000-8000-000000000000';
    expect(await list(`?yardId=${other}`)).toEqual([]);
  });

  test.each([
    'status=late',
    'status=',
    'status=ahead,ahead,ahead,ahead,ahead',
    'yardId=north',
    'withinDays=-1',
    'withinDays=1.5',
    'withinDays=4000',
    'limit=0',
    'limit=201',
    'limit=many',
    'limit=1&limit=2',
  ])('%s is refused', async (query) => {
    const answer = await fleet.client.get(`/v1/bring-in?${query}`);
    expect([answer.status, answer.code]).toEqual([400, 'query_invalid']);
  });
});

describe('pages', () => {
  const equal = Array.from({ length: 12 }, (_, i) => `same-${i}`);

  test('over equal keys each unit comes exactly once, whatever the size of the page', async () => {
    for (const number of equal) await unitDone(number, 20);
    for (const number of ['none-1', 'none-2', 'none-3']) await unitDone(number, null);
    await app.settle();
    const whole = numbers(await list());
    expect(whole).toHaveLength(order.length + equal.length + 3);
    expect(whole.filter((number) => number.startsWith('same'))).toHaveLength(equal.length);
    for (const limit of [1, 2, 3, 7]) expect(numbers(await list('', limit))).toEqual(whole);
    const some = whole.filter((number) => /same|ahead/.test(number));
    expect(numbers(await list('?status=ahead', 1))).toEqual(some);
  });

  test('the last page has no next one, also when it is full', async () => {
    const page = await fleet.client.read(`/v1/bring-in?yardId=${south}&limit=2`);
    expect(page.items.length).toBe(2);
    const rest = (await list(`?yardId=${south}`)).length;
    const full = await fleet.client.read(`/v1/bring-in?yardId=${south}&limit=${rest}`);
    expect(full.next).toBeUndefined();
  });
});

describe('ETag', () => {
  const url = '/v1/bring-in?status=in_window';
  test('304 while nothing changed; another tag when it did, and for another question', async () => {
    const first = await fleet.client.get(url);
    const { etag } = first.headers as { etag: string };
    expect(etag).toMatch(/^"[\w-]+"$/);
    expect(first.headers['cache-control']).toBe('private, no-cache');
    for (const known of [etag, `W/${etag}`, `"x", ${etag}`, '*']) {
      const answer = await fleet.client.get(url, { 'if-none-match': known });
      expect([known, answer.status, answer.body]).toEqual([known, 304, null]);
      expect(answer.headers.etag).toBe(etag);
    }
    const others = await fleet.client.get(url, { 'if-none-match': '"x"' });
    expect([others.status, others.body]).toEqual([200, first.body]);
    const asked = await fleet.client.get('/v1/bring-in', { 'if-none-match': etag });
    expect(asked.status).toBe(200);

    const row = first.body.items[0];
    await fleet.done(row.unitId, 'grease', startMs);
    await app.settle();
    const after = await fleet.client.get(url, { 'if-none-match': etag });
    expect(after.status).toBe(200);
    expect(after.headers.etag).not.toBe(etag);
    expect(numbers(after.body.items)).not.toContain(row.number);
  });
});

test('every change of the list is told to other processes', async () => {
  const unitId = await unitDone('told', 40);
  await app.settle();
  app.queue.changes.length = 0;
  await fleet.done(unitId, 'grease', startMs);
  await app.settle();
  expect(app.queue.changes).toContain('fleet.1.bring-in');
  app.queue.changes.length = 0;
  await fleet.done(unitId, 'grease', startMs - 50 * dayMs);
  await app.settle();
  // an older record changes nothing
  expect(app.queue.changes).not.toContain('fleet.1.bring-in');
});
