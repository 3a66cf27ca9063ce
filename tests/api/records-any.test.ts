import fc from 'fast-check';
import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { dayMs, FleetBuilder, hourMs, startMs, type Truck, text } from '../helpers/fleet.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let admin: Client;
let truck: Truck;
let other: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  await app.goTo(startMs + 20 * dayMs);
  const yardId = await fleet.yard();
  truck = await fleet.truck({ yardId, patternId: await wearPatternId(fleet) });
  other = await fleet.unit(yardId);
});

const sections = [
  ...['upkeep', 'cards', 'findings', 'stops', 'reports', 'dispatch', 'measurements', 'parts'],
  ...['meters', 'unit'],
];

/** A record whole, as it is told for an event. */
async function told(event?: number): Promise<{ event: number; whole: string }> {
  const url = `/v1/units/${truck.unitId}/record`;
  const asked = event === undefined ? '' : `?asKnownAt=${event}`;
  const head = await admin.read(`${url}${asked}`);
  const at = head.asKnown.event;
  const pages = [head];
  for (const section of sections) {
    pages.push(await admin.read(`${url}/sections/${section}?limit=200&asKnownAt=${at}`));
  }
  return { event: at, whole: JSON.stringify(pages) };
}

let n = 0;
/** What people do to a unit; what cannot be done just now is refused, and that is fine. */
const acts: readonly ((pick: number) => Promise<unknown>)[] = [
  (pick) =>
    admin.post(`/v1/assets/${truck.liftId}/measurements`, {
      ...{ point: 'left_pad', part: 'pad', value: 5 + pick / 20, unit: 'mm' },
      ...{ at: text(startMs + pick * hourMs), measuredBy: 'A. Penn' },
    }),
  (pick) =>
    admin.post(`/v1/units/${truck.unitId}/tasks/grease/done`, {
      at: text(startMs + pick * hourMs),
    }),
  async (pick) => {
    const dones = await admin.all(`/v1/assets/${truck.liftId}/dones`);
    const one = dones[pick % Math.max(1, dones.length)];
    if (!one) return;
    await admin.post(`/v1/units/${truck.unitId}/dones/${one.doneId}/void`, { reason: 'wrong' });
  },
  (pick) =>
    admin.post(`/v1/assets/${truck.liftId}/part-lives`, {
      ...{ part: 'pad', points: [pick % 2 ? 'left_pad' : 'right_pad'], fittedBy: 'A. Penn' },
      fittedAt: text(startMs + pick * hourMs),
    }),
  async (pick) => {
    const lives = await admin.all(`/v1/assets/${truck.liftId}/part-lives?fitted=true`);
    const one = lives[pick % Math.max(1, lives.length)];
    if (!one) return;
    const removal = { at: text(startMs + 90 * hourMs), why: 'worn', removedBy: 'A. Penn' };
    await admin.post(`/v1/assets/${truck.liftId}/part-lives/${one.lifeId}/remove`, removal);
  },
  async () => {
    const url = `/v1/units/${truck.unitId}`;
    const { headers } = await admin.get(url);
    n += 1;
    const body = { number: `12-${n}` };
    await admin.call({ method: 'PATCH', url, body, headers: { 'if-match': `${headers.etag}` } });
  },
  (pick) =>
    admin.post('/v1/installs', {
      ...{ unitId: pick % 2 ? other : truck.unitId, assetId: truck.liftId, move: true },
      from: text(startMs + (100 + pick) * hourMs),
    }),
  (pick) =>
    admin.post(`/v1/units/${truck.unitId}/symptoms`, {
      ...{ symptom: pick % 2 ? 'slow' : 'leak', loadOnHook: false },
    }),
  () => app.settle(),
];
const one = fc.tuple(fc.nat({ max: acts.length - 1 }), fc.nat({ max: 99 }));
const drawn = (count: number, seed: number) =>
  fc.sample(fc.array(one, { minLength: count, maxLength: count }), { numRuns: 1, seed })[0] ?? [];
const seed = 20_261_128;

test('whatever people do next, what was told for an event is told for it again', async () => {
  const kept: { event: number; whole: string }[] = [await told()];
  for (const [i, [act, pick]] of drawn(60, seed).entries()) {
    await acts[act]?.(pick);
    if (i % 6 === 5) {
      await app.goTo(app.clock.nowMs() + hourMs);
      kept.push(await told());
    }
  }
  await app.settle();
  expect(new Set(kept.map(({ whole }) => whole)).size).toBeGreaterThan(6);
  for (const { event, whole } of kept) expect((await told(event)).whole).toBe(whole);
}, 120_000);

test('also what was told while others were writing', async () => {
  const kept: { event: number; whole: string }[] = [];
  for (const round of [1, 2, 3]) {
    const writing = drawn(16, seed + round).map(([act, pick]) => acts[act]?.(pick));
    for (let i = 0; i < 3; i += 1) kept.push(await told());
    await Promise.all(writing);
  }
  await app.settle();
  for (const { event, whole } of kept) expect((await told(event)).whole).toBe(whole);
}, 120_000);
