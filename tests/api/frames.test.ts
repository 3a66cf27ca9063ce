import { gzipSync } from 'node:zlib';
import { beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { frameBounds } from '../../src/domain/usage/candump.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  FleetBuilder,
  type Gateway,
  greaseTask,
  hourMs,
  ptoCounter,
  startMs,
  tickMs,
} from '../helpers/fleet.ts';
import {
  candump,
  notAvailable,
  postFrames,
  postText,
  vehicleHours,
  type WrittenFrame,
} from '../helpers/frame.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});
beforeEach(() => app.goTo(startMs));

const busCounter = { ...ptoCounter, counter: 'bus_pto', basis: 'j1939_248' };
const beginMs = startMs - 4 * hourMs;
const truckOnBus = () => fleet.truck({ counters: [busCounter] });

/** One frame a second for a while, the counter rising as the clock goes. */
function running(fromMs: number, seconds: number, fromTicks: number): WrittenFrame[] {
  return Array.from({ length: seconds }, (_, i) =>
    vehicleHours(fromMs + i * 1000, fromTicks + Math.floor((i * 1000) / tickMs)),
  );
}
/** The same, the counter standing still. */
const standing = (fromMs: number, seconds: number, ticks: number) =>
  Array.from({ length: seconds }, (_, i) => vehicleHours(fromMs + i * 1000, ticks));

/** Readings stored of a counter, by number. */
async function stored(gateway: Gateway): Promise<{ seq: number; at: number; raw: number }[]> {
  const { rows } = await app.db.owner.query(
    `select r.first_seq, r.first_at_ms, r.first_raw, r.at_steps, r.raw_steps
     from liftwright.reading_run r
     join liftwright.stream s on s.fleet_id = r.fleet_id and s.stream_id = r.stream_id
     join liftwright.counter c on c.fleet_id = s.fleet_id and c.counter_id = s.counter_id
     where c.gateway_id = $1 order by s.ordinal, r.first_seq`,
    [gateway.id],
  );
  return rows.flatMap((row) => {
    let at = Number(row.first_at_ms);
    let raw = Number(row.first_raw);
    const first = { seq: Number(row.first_seq), at, raw };
    const rest = row.at_steps.map((step: number, i: number) => {
      at += step;
      raw += row.raw_steps[i];
      return { seq: first.seq + i + 1, at, raw };
    });
    return [first, ...rest];
  });
}

const counterOf = ({ counters }: Json, name = 'bus_pto'): Json =>
  counters.find((each: Json) => each.counter === name);

async function useOf(assetId: string): Promise<number> {
  await app.settle();
  const days = await fleet.days(assetId);
  return Object.values(days).reduce((sum, grains) => sum + grains, 0);
}

describe('frames become readings of the declared counter', () => {
  test('an hour of one frame a second is twenty ticks of use and one reading each', async () => {
    const { gateway, liftId } = await truckOnBus();
    const answer = await postFrames(gateway.client, running(beginMs, 3601, 29_665));
    expect(answer).toMatchObject({ frames: 3601, heard: true, undeclared: [] });
    expect(counterOf(answer)).toMatchObject({
      epoch: 0,
      spn: 248,
      source: 0,
      accepted: 21,
      unchanged: 3580,
      duplicate: 0,
      raw: 29_685,
      knownUntil: new Date(beginMs + hourMs).toISOString(),
    });
    const readings = await stored(gateway);
    expect(readings.map(({ raw }) => raw)).toEqual(
      Array.from({ length: 21 }, (_, i) => 29_665 + i),
    );
    expect(readings[0]).toEqual({ seq: beginMs, at: beginMs, raw: 29_665 });
    expect(await useOf(liftId)).toBe(3600);
  });

  test('the same text again, in parts, as JSON or packed, changes nothing', async () => {
    const { gateway, liftId } = await truckOnBus();
    const frames = running(beginMs, 1000, 100);
    await postFrames(gateway.client, frames);
    const before = await stored(gateway);
    const again = [
      await postFrames(gateway.client, frames),
      await postFrames(gateway.client, frames.slice(200, 700)),
      await gateway.client.made('/v1/frames', {
        frames: frames.map(({ atMs, id, data }) => ({ at: atMs, id, data })),
      }),
    ];
    for (const answer of again) {
      expect(counterOf(answer)).toMatchObject({ accepted: 0, unchanged: 0, raw: 105 });
      expect(counterOf(answer).duplicate).toBe(answer.frames);
      expect(answer.heard).toBe(false);
    }
    const packed = await gateway.client.call({
      method: 'POST',
      url: '/v1/frames',
      body: gzipSync(candump(frames)),
      headers: { 'content-type': 'text/plain', 'content-encoding': 'gzip' },
    });
    expect(packed.body).toMatchObject({ frames: 1000, heard: false });
    expect(await stored(gateway)).toEqual(before);
    expect(await useOf(liftId)).toBe(5 * 180);
  });

  test('what overlaps is taken from where it goes on', async () => {
    const { gateway, liftId } = await truckOnBus();
    const frames = running(beginMs, 2001, 100);
    await postFrames(gateway.client, frames.slice(0, 1100));
    const answer = counterOf(await postFrames(gateway.client, frames.slice(900)));
    expect(answer.duplicate).toBe(200);
    expect(answer.accepted + answer.unchanged).toBe(901);
    expect(await useOf(liftId)).toBe(11 * 180);
  });

  test('a batch that comes late is put in its place: the days come out as in order', async () => {
    const parts = [0, 1, 2].map((hour) =>
      running(startMs - (30 - 10 * hour) * hourMs, 1801, 100 + 10 * hour),
    );
    const inOrder = await truckOnBus();
    for (const part of parts) await postFrames(inOrder.gateway.client, part);
    const late = await truckOnBus();
    for (const i of [0, 2, 1, 1, 0]) await postFrames(late.gateway.client, parts[i] ?? []);
    await app.settle();
    const days = await fleet.days(inOrder.liftId);
    expect(Object.keys(days).length).toBeGreaterThan(1);
    expect(await fleet.days(late.liftId)).toEqual(days);
    const readings = await stored(late.gateway);
    expect(readings.map(({ at }) => at)).toEqual(readings.map(({ at }) => at).sort());
  });

  test('a counter that stood for days: use after it is not spread over them', async () => {
    const { gateway, liftId } = await truckOnBus();
    const firstDay = startMs - 72 * hourMs;
    await postFrames(gateway.client, running(firstDay, 181, 100));
    for (let hour = 1; hour <= 71; hour += 10) {
      await postFrames(gateway.client, standing(firstDay + hour * hourMs, 60, 101));
    }
    expect(await stored(gateway)).toHaveLength(2);
    // then an hour without a frame, and twenty ticks more
    const lastMs = firstDay + 71 * hourMs + 59_000;
    await postFrames(gateway.client, standing(lastMs, 1, 101));
    await postFrames(gateway.client, standing(startMs, 10, 120));
    await app.settle();
    const days = await fleet.days(liftId);
    expect(days).toEqual({ '2026-02-27': 180, '2026-03-02': 19 * 180 });
  });

  test('two posts at the same time store nothing twice', async () => {
    const { gateway, liftId } = await truckOnBus();
    const frames = running(beginMs, 1801, 100);
    await Promise.all([0, 1, 2, 3].map(() => postFrames(gateway.client, frames)));
    const seqs = (await stored(gateway)).map(({ seq }) => seq);
    expect(new Set(seqs).size).toBe(seqs.length);
    expect(await useOf(liftId)).toBe(10 * 180);
  });
});

describe('what is not a reading', () => {
  test('not available, error, reserved: no reading, never zero, and no sign of life', async () => {
    const { gateway, liftId } = await truckOnBus();
    await postFrames(gateway.client, running(beginMs, 181, 100));
    const { items } = await fleet.client.read('/v1/gateways?limit=200');
    const before = items.find((each: Json) => each.gatewayId === gateway.id).lastPostAt;
    await app.goTo(startMs + hourMs);
    const special = [notAvailable, 0xfe00_0000, 0xfb00_0000, 0xfc56_3412, 0xfe00_0001];
    const frames = special.map((raw, i) => vehicleHours(beginMs + hourMs + i * 1000, raw));
    const answer = await postFrames(gateway.client, frames);
    expect(answer.heard).toBe(false);
    expect(counterOf(answer)).toMatchObject({
      accepted: 0,
      raw: 101,
      skipped: { not_available: 1, error: 2, parameter_specific: 1, reserved: 1 },
    });
    const after = (await fleet.client.read('/v1/gateways?limit=200')).items;
    expect(after.find((each: Json) => each.gatewayId === gateway.id).lastPostAt).toBe(before);
    expect(await useOf(liftId)).toBe(180);
  });

  test('other groups, other units, lines that are none: counted, named, harmless', async () => {
    const { gateway, liftId } = await truckOnBus();
    const text = [
      candump(running(beginMs, 181, 100)),
      candump(running(beginMs, 20, 999_999).map((each) => ({ ...each, id: '18FEE721' }))),
      candump([{ atMs: beginMs, id: '18FEE500', data: '9A030300FFFFFFFF' }]),
      candump([{ atMs: beginMs, id: '0CF00400', data: '0000000000000000' }]),
      candump([{ atMs: beginMs, id: '18FEE700', data: '81C403' }]),
      '(1700000000.000000) can0 123#00\n(17000',
    ].join('');
    const answer = await postText(gateway.client, text);
    expect(counterOf(answer)).toMatchObject({ source: 0, raw: 101, skipped: { other_source: 20 } });
    expect(answer.undeclared).toEqual([{ spn: 247, source: 0, samples: 1 }]);
    expect(answer.skipped).toMatchObject({ standard: 1, other_group: 1, wrong_length: 1 });
    expect(answer.unreadable).toMatchObject({ count: 1, first: [{ line: 206 }] });
    // it keeps to the unit that it heard first
    const later = running(beginMs + hourMs, 10, 999_999).map((f) => ({ ...f, id: '18FEE721' }));
    expect(counterOf(await postFrames(gateway.client, later))).toMatchObject({
      raw: 101,
      skipped: { other_source: 10 },
    });
    expect(await useOf(liftId)).toBe(180);
  });

  test('a text without any frame is refused with its lines', async () => {
    const { gateway } = await truckOnBus();
    const answer = await gateway.client.call({
      method: 'POST',
      url: '/v1/frames',
      body: 'date,hours\n2026-03-01,12\n',
      headers: { 'content-type': 'text/plain' },
    });
    expect([answer.status, answer.code]).toEqual([400, 'frames_unreadable']);
    expect(answer.body.errors.map((each: Json) => each.path)).toEqual(['line 1', 'line 2']);
  });

  test('too many frames, or no list of them, are refused before anything is stored', async () => {
    const { gateway } = await truckOnBus();
    const line = candump(running(beginMs, 1, 100));
    const many = line.repeat(frameBounds.framesMost + 1);
    const headers = { 'content-type': 'text/plain' };
    const call = { method: 'POST', url: '/v1/frames', headers } as const;
    expect((await gateway.client.call({ ...call, body: many })).code).toBe('body_too_large');
    const wrong = await gateway.client.call({ method: 'POST', url: '/v1/frames', body: { a: 1 } });
    expect(wrong.code).toBe('body_invalid');
    expect(await stored(gateway)).toEqual([]);
  });

  test('an empty post is a heartbeat', async () => {
    const { gateway } = await truckOnBus();
    // as long as the counter was never heard, nothing is known of its use
    const first = await postText(gateway.client, '');
    expect(first).toMatchObject({ frames: 0, heard: false, unheard: ['bus_pto'] });
    await postFrames(gateway.client, running(beginMs, 10, 100));
    expect(await postText(gateway.client, '')).toMatchObject({ frames: 0, heard: true });
    expect(await gateway.client.made('/v1/frames', { frames: [] })).toMatchObject({ heard: true });
  });
});

describe('clocks and epochs', () => {
  test('times ahead of us are not believed, unless the post proves the clock fast', async () => {
    const { gateway, liftId } = await truckOnBus();
    const ahead = running(startMs + 2 * hourMs, 361, 100);
    const refused = await postFrames(gateway.client, ahead);
    expect(counterOf(refused)).toMatchObject({ raw: null, skipped: { ahead: 361 } });
    // its clock is three hours fast: it says so at transmission
    const proof = { 'device-time': String(startMs + 3 * hourMs) };
    expect(counterOf(await postFrames(gateway.client, ahead, proof))).toMatchObject({
      accepted: 3,
      knownUntil: new Date(startMs - hourMs + 360_000).toISOString(),
    });
    expect(await stored(gateway)).toMatchObject([
      { seq: startMs - hourMs, at: startMs + 2 * hourMs },
      {},
      {},
    ]);
    expect(await useOf(liftId)).toBe(2 * 180);
    const ancient = await postFrames(gateway.client, running(1000, 5, 100));
    expect(counterOf(ancient).skipped.too_early).toBe(5);
  });

  test('a sample belongs to the epoch that was open at its time', async () => {
    const { gateway, liftId } = await truckOnBus();
    await postFrames(gateway.client, running(beginMs, 361, 5000));
    await gateway.epoch('controller_replaced', 'bus_pto');
    await app.goTo(startMs + hourMs);
    const late = running(beginMs + 360_000, 361, 5002);
    const fresh = running(startMs + 60_000, 541, 7);
    const answer = await postFrames(gateway.client, [...late, ...fresh]);
    expect(answer.counters).toMatchObject([
      { epoch: 0, raw: 5004, accepted: 2 },
      { epoch: 1, raw: 10, accepted: 4 },
    ]);
    expect(await useOf(liftId)).toBe((4 + 3) * 180);
  });
});

describe('declaring', () => {
  const declare = async (more: object) => {
    const gateway = await fleet.gateway();
    const counters = [{ ...busCounter, ...more }];
    return gateway.client.call({
      method: 'POST',
      url: '/v1/gateways/me/counters',
      body: { counters },
    });
  };
  test.each([
    [{ basis: 'j1939_249' }],
    [{ basis: 'j1939_248_sa1' }],
    [{ meter: 'engine_hours' }],
    [{ resolution: 0.1 }],
    [{ widthBits: 16 }],
    [{ basis: 'derived_j1939_3948', scope: 'controller', controller: 'C-1' }],
  ])('%j does not fit', async (more) => {
    expect((await declare(more)).code).toBe('basis_invalid');
  });
  test('a basis may name the control unit', async () => {
    expect((await declare({ basis: 'j1939_247_sa21', meter: 'engine_hours' })).status).toBe(200);
    const { gateway } = await fleet.truck({
      counters: [{ ...busCounter, basis: 'j1939_248_sa21' }],
    });
    const answer = await postFrames(gateway.client, [
      vehicleHours(beginMs, 5, 0x00),
      vehicleHours(beginMs, 9, 0x21),
    ]);
    expect(counterOf(answer)).toMatchObject({ source: 0x21, raw: 9, skipped: { other_source: 1 } });
  });

  test('readings with numbers of their own are not taken for it', async () => {
    const { gateway } = await truckOnBus();
    const [settled] = await gateway.post([
      { counter: 'bus_pto', firstSeq: 0, at: [beginMs], raw: [1] },
    ]);
    expect(settled?.refused).toMatchObject([{ verdict: 'unknown_counter' }]);
  });
});

test('frames bring a task due; silence of the counter makes it unknown', async () => {
  const patternId = await fleet.pattern(greaseTask);
  const { unitId, gateway } = await fleet.truck({ counters: [busCounter], patternId });
  await fleet.done(unitId, 'grease', startMs - 20 * hourMs);
  for (let hour = 0; hour < 11; hour++) {
    await postFrames(gateway.client, running(startMs - (12 - hour) * hourMs, 3601, hour * 20));
  }
  await app.settleAt(startMs + 1000);
  expect(await fleet.task(unitId)).toMatchObject({ status: 'in_window' });
  // the bus goes on talking for days, but says nothing of the counter any more
  for (let day = 1; day <= 4; day++) {
    await app.settleAt(startMs + 24 * day * hourMs);
    const frames = [vehicleHours(app.clock.nowMs(), notAvailable)];
    expect(await postFrames(gateway.client, frames)).toMatchObject({ heard: false });
  }
  await app.settle();
  expect(await fleet.task(unitId)).toMatchObject({ status: 'unknown' });
});
