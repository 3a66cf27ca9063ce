import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, hourMs, startMs, type Truck, text } from '../helpers/fleet.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let auditor: Client;
let truck: Truck;
let chassisId: string;
const sections = [
  ...['upkeep', 'cards', 'findings', 'stops', 'reports', 'dispatch', 'measurements', 'parts'],
  ...['meters', 'unit'],
];

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  auditor = await app.as('auditor');
  await app.goTo(startMs + 20 * dayMs);
  const patternId = await wearPatternId(fleet);
  truck = await fleet.truck({ yardId: await fleet.yard(), patternId, number: '12' });
  chassisId = await fleet.asset('chassis');
  await fleet.install(truck.unitId, { assetId: chassisId });
  await app.settle();
});

const unitUrl = () => `/v1/units/${truck.unitId}`;
const patch = async (url: string, body: object) => {
  const { headers } = await fleet.client.get(url);
  const given = { 'if-match': String(headers.etag) };
  const answer = await fleet.client.call({ method: 'PATCH', url, body, headers: given });
  expect(answer.status).toBe(200);
};
const measure = (value: number, at = text(startMs)): Promise<Json> =>
  fleet.client.made(`/v1/assets/${truck.liftId}/measurements`, {
    ...{ point: 'left_pad', part: 'pad', unit: 'mm', measuredBy: 'A. Penn', value, at },
  });

/** The whole record: its head and every page of every section, as text. */
async function bundle(asKnownAt?: string | number): Promise<{ text: string; event: number }> {
  const asked = asKnownAt === undefined ? '' : `asKnownAt=${encodeURIComponent(asKnownAt)}`;
  const head = await auditor.read(`${unitUrl()}/record?${asked}`);
  const { event } = head.asKnown;
  const pages = [head];
  for (const section of sections) {
    let cursor = '';
    for (let n = 0; n < 200; n += 1) {
      const at = cursor === '' ? `asKnownAt=${event}` : `cursor=${cursor}`;
      const page = await auditor.read(`${unitUrl()}/record/sections/${section}?limit=3&${at}`);
      pages.push({ ...page, next: undefined });
      if (page.next === undefined) break;
      cursor = page.next;
    }
  }
  return { text: JSON.stringify(pages), event };
}
const entries = async (section: string, more = ''): Promise<Json[]> =>
  (await auditor.read(`${unitUrl()}/record/sections/${section}?limit=200${more}`)).items;

describe('the record of a unit', () => {
  test('begins with what 49 CFR 396.3(b) asks for', async () => {
    await patch(unitUrl(), { furnishedBy: 'Example Leasing' });
    await patch(`/v1/assets/${chassisId}`, {
      ...{ make: 'Example', modelYear: 2021, tireSize: '225/70R19.5' },
    });
    await fleet.done(truck.unitId, 'grease', startMs);
    await app.settle();
    const head = await auditor.read(`${unitUrl()}/record`);
    expect(head.unit).toMatchObject({ number: '12', furnishedBy: 'Example Leasing' });
    expect(head.assets).toContainEqual(
      expect.objectContaining({
        ...{ kind: 'chassis', make: 'Example', modelYear: 2021, tireSize: '225/70R19.5' },
      }),
    );
    expect(head.upkeep).toEqual([
      expect.objectContaining({
        nature: 'Grease all fittings: every 10 pto hours or 30 days',
        lastDone: { at: text(startMs), estimated: false },
        dueBy: '2026-04-01',
        dueAfterUse: [{ meter: 'pto_hours', unit: 'hours', value: 10 }],
      }),
    ]);
    expect(head.sections).toContainEqual({ section: 'upkeep', entries: 1 });
    expect(await entries('upkeep')).toMatchObject([
      { kind: 'task_done', words: 'Upkeep done: grease', at: text(startMs), data: {} },
    ]);
  });

  test('has what was just written, before anything else numbers it', async () => {
    await measure(9);
    const [entry] = (await entries('measurements')).slice(-1);
    expect(entry).toMatchObject({
      words: 'Measured: left pad, pad, 9 mm, sound',
      by: 'A. Penn',
      data: { pointKey: 'left_pad', value: 9000, unit: 'mm', at: text(startMs) },
    });
    expect(entry?.knownSince).toEqual(entry?.lastChanged);
  });

  test('is told as it was known then, byte for byte, whatever came after', async () => {
    await fleet.client.made(`/v1/assets/${truck.liftId}/part-lives`, {
      ...{ part: 'pad', points: ['left_pad', 'right_pad'], fittedAt: text(startMs) },
      fittedBy: 'A. Penn',
    });
    const { findingId } = await measure(5, text(startMs + hourMs));
    const then = await bundle();
    expect(then.text).toContain(findingId);
    const thenMs = app.clock.nowMs();

    // Work goes on, and what was said is corrected.
    await app.goTo(thenMs + 3 * dayMs);
    const [done] = await fleet.client.all(`/v1/assets/${truck.liftId}/dones`);
    const voiding = { reason: 'another unit' };
    await fleet.client.made(`${unitUrl()}/dones/${done.doneId}/void`, voiding);
    await fleet.done(truck.unitId, 'grease', startMs + dayMs);
    await patch(unitUrl(), { number: '13', furnishedBy: null });
    await patch(`/v1/assets/${chassisId}`, { make: 'Another' });
    const yard = await fleet.yard('America/Denver');
    await patch(unitUrl(), { homeYardId: yard });
    const lives = await fleet.client.all(`/v1/assets/${truck.liftId}/part-lives`);
    await fleet.client.made(`/v1/assets/${truck.liftId}/part-lives/${lives[0].lifeId}/remove`, {
      at: text(thenMs),
      why: 'worn',
      removedBy: 'A. Penn',
    });
    const installs = await fleet.client.all(`/v1/installs?unitId=${truck.unitId}`);
    const lift = installs.find((each: Json) => each.assetId === truck.liftId);
    await fleet.client.made(`/v1/installs/${lift.installId}/withdraw`, { reason: 'never was' });
    await app.settle();

    const now = await bundle();
    expect(now.text).not.toBe(then.text);
    expect(now.text).toContain('"number":"13"');
    expect((await bundle(then.event)).text).toBe(then.text);
    expect((await bundle(text(thenMs))).text).toBe(then.text);
    // And again, after the clock went on and events were numbered.
    await app.goTo(thenMs + 30 * dayMs);
    await app.settle();
    expect((await bundle(then.event)).text).toBe(then.text);
    expect((await bundle(now.event)).text).toBe(now.text);
  });

  test('what was corrected later is shown as later in what is known now', async () => {
    const { items } = await auditor.read(`/v1/assets/${truck.liftId}/record/sections/upkeep`);
    const [first] = items;
    expect(first).toMatchObject({ words: 'Declared wrong. Upkeep done: grease' });
    expect(first?.lastChanged.event).toBeGreaterThan(first?.knownSince.event);
  });

  test('begins where versions began to be kept, and ends with the last event', async () => {
    const { asKnown } = await auditor.read(`${unitUrl()}/record`);
    const ask = (at: string | number) => auditor.get(`${unitUrl()}/record?asKnownAt=${at}`);
    expect((await ask(asKnown.event + 1)).code).toBe('not_known_then');
    expect((await ask('yesterday')).code).toBe('query_invalid');
    expect((await ask('1970-01-01T00:00:00Z')).code).toBe('not_found');
    await app.db.owner.query(
      `insert into liftwright.record_work (fleet_id, number, brought_in) values (1, 3, true)`,
    );
    expect((await ask(2)).code).toBe('not_known_then');
    expect((await ask(3)).code).not.toBe('not_known_then');
  });
});

test('cards come with their steps, symptoms with each time that they were told', async () => {
  const patternId = await wearPatternId(fleet);
  const { unitId, liftId } = await fleet.truck({ yardId: await fleet.yard(), patternId });
  const { cardId } = await fleet.client.made('/v1/job-cards', {
    ...{ unitId, tasks: [{ assetId: liftId, task: 'grease' }] },
  });
  const told = { symptom: 'slow', loadOnHook: false };
  for (let n = 0; n < 2; n += 1) await fleet.client.made(`/v1/units/${unitId}/symptoms`, told);
  const read = async (section: string) =>
    (await auditor.read(`/v1/units/${unitId}/record/sections/${section}`)).items;
  const [card] = await read('cards');
  expect(card).toMatchObject({ kind: 'job_card', id: cardId });
  const steps = card.parts.filter((each: Json) => each.kind === 'card_step');
  const shown = await fleet.client.read(`/v1/job-cards/${cardId}`);
  expect(steps).toHaveLength(shown.steps.length);
  expect(new Set(card.parts.map((each: Json) => each.id)).size).toBe(card.parts.length);
  expect(steps.every((each: Json) => each.parts.length === 0)).toBe(true);
  const [symptom] = await read('reports');
  expect(symptom).toMatchObject({ kind: 'symptom', words: expect.stringContaining('slow') });
  expect(symptom.parts.map((each: Json) => each.kind)).toEqual([
    'symptom_report',
    'symptom_report',
  ]);
});

describe('as CSV', () => {
  const csv = async (asKnownAt?: number) => {
    const asked = asKnownAt === undefined ? '' : `?asKnownAt=${asKnownAt}`;
    const answer = await auditor.get(`${unitUrl()}/record.csv${asked}`);
    expect(answer.status).toBe(200);
    return answer.body as string;
  };

  test('has every entry, in lines that end with CRLF and have as many fields', async () => {
    const told = await csv();
    const { parse } = await import('csv-parse/sync');
    const rows: string[][] = parse(told);
    expect(rows[0]).toContain('known_since_event');
    expect(new Set(rows.map((row) => row.length))).toEqual(new Set([12]));
    expect(told.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const head = await auditor.read(`${unitUrl()}/record`);
    const all = head.sections.reduce((sum: number, each: Json) => sum + each.entries, 0);
    const own = rows.slice(1).filter((row) => sections.includes(row[0]!) && row[3] === '');
    expect(own).toHaveLength(all);
    expect(told).toContain('identification,asset');
  });

  test('what a spreadsheet would take for a formula is only text', async () => {
    await patch(unitUrl(), { note: null, furnishedBy: '=HYPERLINK("http://x.example")' });
    await fleet.client.made('/v1/severities', {
      ...{ kind: 'salt', unitId: truck.unitId, fromDay: '2026-01-01' },
    });
    await fleet.client.made(`/v1/assets/${chassisId}/hand-readings`, {
      ...{ meter: 'engine_hours', value: 1, at: text(startMs), readBy: '@SUM(A1)' },
    });
    const told = await csv();
    expect(told).toContain(",'@SUM(A1),");
    for (const field of told.split(/,(?=[=+@])/).slice(1)) expect(field).toBe('nothing');
  });

  test('as known then is the same for ever', async () => {
    const { asKnown } = await auditor.read(`${unitUrl()}/record`);
    const then = await csv(asKnown.event);
    await measure(4, text(startMs + 2 * hourMs));
    expect(await csv()).not.toBe(then);
    expect(await csv(asKnown.event)).toBe(then);
  });
});

describe('the record of an asset', () => {
  test('goes with it from unit to unit; that of a unit has what it met there', async () => {
    const patternId = await wearPatternId(fleet);
    const yardId = await fleet.yard();
    const [a, b] = [await fleet.unit(yardId), await fleet.unit(yardId)];
    const liftId = await fleet.asset('lift', patternId);
    await fleet.install(a, { assetId: liftId }, startMs - 10 * dayMs);
    await fleet.install(b, { assetId: liftId }, startMs, { move: true });
    const told = { part: 'pad', unit: 'mm', measuredBy: 'A. Penn' };
    const at = (day: number, value: number) => ({
      ...{ ...told, point: 'left_pad', value, at: text(startMs + day * dayMs) },
    });
    for (const body of [at(-5, 9), at(0, 8.5), at(5, 8)]) {
      await fleet.client.made(`/v1/assets/${liftId}/measurements`, body);
    }
    const sizes = async (url: string) => {
      const { items } = await auditor.read(`${url}/record/sections/measurements`);
      return items.map((each: Json) => each.data.value);
    };
    expect(await sizes(`/v1/assets/${liftId}`)).toEqual([9000, 8500, 8000]);
    expect(await sizes(`/v1/units/${a}`)).toEqual([9000]);
    expect(await sizes(`/v1/units/${b}`)).toEqual([8500, 8000]);
    const head = await auditor.read(`/v1/assets/${liftId}/record`);
    expect(head).toMatchObject({ unit: null, assets: [{ assetId: liftId }] });
  });
});

test('another fleet sees none of it', async () => {
  const other = await app.otherFleet();
  const paths = ['record', 'record/sections/measurements', 'record.csv'];
  for (const path of paths) {
    expect((await other.get(`${unitUrl()}/${path}`)).code).toBe('not_found');
    expect((await other.get(`/v1/assets/${truck.liftId}/${path}`)).code).toBe('not_found');
  }
  expect((await other.read('/v1/retention')).items).toEqual([]);
  expect((await other.get(`/v1/retention?unitId=${truck.unitId}`)).code).toBe('not_found');
});
