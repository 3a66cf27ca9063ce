import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { refusals } from '../../src/domain/usage/reading-intake.ts';
import { putAwayReadings } from '../../src/flows/put-away-readings.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  liftCounter,
  ptoCounter,
  run,
  type Settled,
  type Stream,
  startMs,
  tickMs,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const at = (tick: number) => startMs - 3_600_000 + tick * tickMs;
const good = (firstSeq: number, n = 1) =>
  run(
    firstSeq,
    ...Array.from({ length: n }, (_, i): [number, number] => [
      at(firstSeq + i),
      100 + firstSeq + i,
    ]),
  );
const newGateway = () => fleet.gateway(ptoCounter, liftCounter);

/** Posts bodies as they are, without the helper's defaults. */
const raw = async (gateway: Gateway, ...streams: unknown[]): Promise<Settled[]> =>
  (await gateway.client.made('/v1/readings', { streams })).streams;

const seenVerdicts = new Set<string>();
const verdictsOf = (settled: Settled | undefined) => {
  for (const { verdict } of settled?.refused ?? []) seenVerdicts.add(verdict);
  return settled?.refused.map(({ from, to, verdict }) => [from, to, verdict]);
};

describe('refused readings are settled', () => {
  test.each<[string, unknown, unknown, string]>([
    ['a value that is no number', at(1), '101', 'malformed'],
    ['half a tick', at(1), 101.5, 'malformed'],
    ['no value', at(1), null, 'malformed'],
    ['a value beyond whole numbers', at(1), 2 ** 53, 'malformed'],
    ['a time in words', '2026-03-02', 101, 'malformed'],
    ['a time before 1970', -1, 101, 'time_out_of_range'],
    ['a time after the year 9999', 253_402_300_800_000, 101, 'time_out_of_range'],
    ['a value below zero', at(1), -1, 'value_out_of_width'],
    ['a value wider than declared', at(1), 2 ** 32, 'value_out_of_width'],
  ])('%s', async (_, badAt, badRaw, verdict) => {
    const { gateway, liftId } = await fleet.truck({});
    const post = { firstSeq: 0, at: [at(0), badAt, at(2)], raw: [100, badRaw, 102] };
    const first = await gateway.one(post);
    expect(verdictsOf(first)).toEqual([[1, 1, verdict]]);
    expect(first).toMatchObject({ contiguous: 2, highest: 2, accepted: 2, missing: [] });
    // sent again, the sender hears the same and nothing is stored twice
    const again = await gateway.one(post);
    expect(again).toMatchObject({ contiguous: 2, accepted: 0, duplicate: 2 });
    expect(again.refused).toEqual(first.refused);
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 2 * 180 });
    const { rows } = await app.db.owner.query(
      `select r.seq::int, r.verdict, r.raw_text from liftwright.reading_refusal r
       join liftwright.stream s using (fleet_id, stream_id)
       join liftwright.counter c using (fleet_id, counter_id) where c.gateway_id = $1`,
      [gateway.id],
    );
    expect(rows).toEqual([{ seq: 1, verdict, raw_text: JSON.stringify(badRaw) }]);
  });

  test('consecutive ones with one verdict are one range', async () => {
    const gateway = await newGateway();
    const answer = await gateway.one({
      firstSeq: 10,
      at: [at(0), -1, -2, at(3), at(4)],
      raw: [1, 2, 3, -4, null],
    });
    expect(verdictsOf(answer)).toEqual([
      [11, 12, 'time_out_of_range'],
      [13, 13, 'value_out_of_width'],
      [14, 14, 'malformed'],
    ]);
    expect(answer).toMatchObject({ contiguous: 14, highest: 14, accepted: 1 });
  });

  test('a number stored before stays as it is', async () => {
    const gateway = await newGateway();
    await gateway.one(good(0, 2));
    const answer = await gateway.one({ firstSeq: 1, at: [at(1)], raw: [-5] });
    expect(verdictsOf(answer)).toEqual([[1, 1, 'value_out_of_width']]);
    expect(await gateway.one(good(0, 2))).toMatchObject({ duplicate: 2, conflict: 0 });
  });

  test('the width that was declared counts: 8 and 64 bits', async () => {
    const gateway = await fleet.gateway(
      { ...ptoCounter, counter: 'narrow', widthBits: 8 },
      { ...ptoCounter, counter: 'wide', widthBits: 64 },
    );
    const [narrow, wide] = await gateway.post([
      { counter: 'narrow', firstSeq: 0, at: [at(0), at(1)], raw: [255, 256] },
      { counter: 'wide', firstSeq: 0, at: [at(0)], raw: [Number.MAX_SAFE_INTEGER] },
    ]);
    expect(verdictsOf(narrow)).toEqual([[1, 1, 'value_out_of_width']]);
    expect(wide).toMatchObject({ accepted: 1, refused: [] });
  });
});

/** Streams that are refused as a whole, and what of them is told. */
const frames: [string, Json, string, { counter?: unknown; epoch?: unknown }][] = [
  ['no object', 7, 'malformed', { counter: null, epoch: null }],
  ['null', null, 'malformed', { counter: null }],
  ['a list', [], 'malformed', { counter: null }],
  ['no counter', { epoch: 0, firstSeq: 0, at: [], raw: [] }, 'malformed', { counter: null }],
  ['no epoch', { counter: 'pto_hours', firstSeq: 0, at: [1], raw: [1] }, 'malformed', {}],
  ['an epoch below zero', { ...good(0), counter: 'pto_hours', epoch: -1 }, 'malformed', {}],
  ['no number', { counter: 'pto_hours', epoch: 0, at: [1], raw: [1] }, 'malformed', { epoch: 0 }],
  [
    'numbers that end beyond whole ones',
    { counter: 'pto_hours', epoch: 0, firstSeq: Number.MAX_SAFE_INTEGER, at: [1], raw: [1] },
    'malformed',
    {},
  ],
  [
    'more times than values',
    { counter: 'pto_hours', epoch: 0, firstSeq: 0, at: [1, 2], raw: [1] },
    'malformed',
    {},
  ],
  [
    'times that are no list',
    { counter: 'pto_hours', epoch: 0, firstSeq: 0, at: 'x', raw: [1] },
    'malformed',
    {},
  ],
  [
    'lost numbers the wrong way round',
    { ...good(0), counter: 'pto_hours', epoch: 0, lost: [[5, 4]] },
    'malformed',
    {},
  ],
  [
    'more lost ranges than allowed',
    {
      ...good(0),
      counter: 'pto_hours',
      epoch: 0,
      lost: Array.from({ length: 101 }, (_, i) => [2 * i, 2 * i]),
    },
    'malformed',
    {},
  ],
  [
    'a counter that nobody declared',
    { ...good(0), counter: 'tea', epoch: 0 },
    'unknown_counter',
    {},
  ],
  [
    'an epoch that was not issued',
    { ...good(0), counter: 'pto_hours', epoch: 1 },
    'unknown_epoch',
    {},
  ],
  [
    'more readings than a stream may bring',
    { ...good(0, 5_001), counter: 'pto_hours', epoch: 0 },
    'too_many_readings',
    { counter: 'pto_hours', epoch: 0 },
  ],
];

describe('a stream refused as a whole harms no neighbour', () => {
  test.each(frames)('%s', async (_, stream, verdict, shown) => {
    const gateway = await newGateway();
    const neighbour = { ...good(0, 2), counter: 'lifts', epoch: 0, raw: [1, 2] };
    const [before, bad, after] = await raw(
      gateway,
      { ...good(0), counter: 'pto_hours', epoch: 0 },
      stream,
      neighbour,
    );
    expect(verdictsOf(bad)).toEqual([[null, null, verdict]]);
    expect(bad).toMatchObject({ contiguous: null, accepted: 0, ...shown });
    expect(bad?.refused[0]?.detail).toMatch(/\w/);
    expect(before).toMatchObject({ accepted: 1, contiguous: 0 });
    expect(after).toMatchObject({ accepted: 2, contiguous: 1 });
    expect(await gateway.one(good(0))).toMatchObject({ duplicate: 1 });
  });
});

describe('bounds', () => {
  test('5,000 readings of a stream are taken', async () => {
    const gateway = await newGateway();
    const answer = await gateway.one(good(0, 5_000));
    expect(answer).toMatchObject({ accepted: 5_000, contiguous: 4_999 });
    expect(await gateway.one(good(0, 5_000))).toMatchObject({ duplicate: 5_000 });
  });

  test.each<[string, Stream[]]>([
    ['65 streams', Array.from({ length: 65 }, () => good(0))],
    ['20,001 readings', [...Array.from({ length: 4 }, () => good(0, 5_000)), good(0)]],
  ])('a post with %s is refused whole', async (_, streams) => {
    const gateway = await newGateway();
    const body = { streams: streams.map((s) => ({ counter: 'pto_hours', epoch: 0, ...s })) };
    const answer = await gateway.client.post('/v1/readings', body);
    expect([answer.status, answer.code]).toEqual([413, 'body_too_large']);
    expect(await gateway.one(good(0))).toMatchObject({ accepted: 1 });
  });

  test('a body over a megabyte is refused', async () => {
    const gateway = await newGateway();
    const body = `{"streams": [], "pad": "${'x'.repeat(1024 * 1024)}"}`;
    const answer = await gateway.client.post('/v1/readings', body);
    expect([answer.status, answer.code]).toEqual([413, 'body_too_large']);
  });

  test.each<[string, unknown]>([
    ['a list', []],
    ['null', null],
    ['no streams', {}],
    ['streams that are no list', { streams: {} }],
  ])('a body that is %s is refused', async (_, body) => {
    const gateway = await newGateway();
    const answer = await gateway.client.post('/v1/readings', body);
    expect([answer.status, answer.code]).toEqual([400, 'body_invalid']);
  });

  test('a stream of 1,000 ranges takes what opens no further one', async () => {
    const gateway = await newGateway();
    const single = (seq: number) => good(seq);
    const lostRanges = (from: number) =>
      Array.from({ length: 100 }, (_, i) => [from + 2 * i, from + 2 * i]);
    expect(await gateway.one(single(1_998))).toMatchObject({ accepted: 1, highest: 1_998 });
    await gateway.post(
      Array.from({ length: 10 }, (_, i) => ({
        firstSeq: 0,
        at: [],
        raw: [],
        lost: lostRanges(200 * i),
      })),
    );
    // 0, 2, … 1998: a thousand ranges
    const full = await gateway.one({ firstSeq: 0, at: [], raw: [] });
    expect(full).toMatchObject({ highest: 1_998, contiguous: 0 });
    const refused = await gateway.one(good(2_000, 3));
    expect(verdictsOf(refused)).toEqual([[2_000, 2_002, 'too_many_gaps']]);
    // not settled: the sender keeps them
    expect(refused).toMatchObject({ accepted: 0, highest: 1_998 });
    const bad = await gateway.one({ firstSeq: 3_000, at: [at(0)], raw: [-1] });
    expect(bad).toMatchObject({ highest: 1_998 });
    const lost = await gateway.one({ firstSeq: 0, at: [], raw: [], lost: [[5_000, 5_001]] });
    expect(lost).toMatchObject({ highest: 1_998, refused: [{ from: 5_000, to: 5_001 }] });
    // what closes a gap is welcome, and makes room
    expect(await gateway.one(single(1))).toMatchObject({ accepted: 1, contiguous: 2 });
    expect(await gateway.one(good(2_000, 3))).toMatchObject({ accepted: 3, highest: 2_002 });
    expect(await gateway.one(good(2_500))).toMatchObject({ accepted: 0 });
  });
});

test('what had not come when later readings were put away is too late', async () => {
  const { gateway } = await fleet.truck({});
  await gateway.one(good(2, 2));
  await gateway.one(good(6));
  await app.settle();
  await app.goTo(startMs + 70 * dayMs);
  expect((await putAwayReadings(app.deps, 1)).waiting).toBeNull();
  const late = await gateway.one(good(0, 9));
  expect(verdictsOf(late)).toEqual([
    [0, 1, 'too_late'],
    [4, 5, 'too_late'],
  ]);
  expect(late).toMatchObject({ accepted: 2, duplicate: 3, contiguous: 8, missing: [] });
});

test('every verdict of the list was met', () => {
  expect([...seenVerdicts].sort()).toEqual([...refusals].sort());
});

describe('a packed body that is too large when unpacked, and cut short as well', () => {
  // What the unpacking finds after the answer is nobody's any more; it once ended the process.
  test.each(['application/json', 'application/x-ndjson'])(
    'as %s is refused, no more',
    async (type) => {
      const faults: string[] = [];
      const note = (error: Error) => faults.push(error.message);
      process.on('uncaughtExceptionMonitor', note);
      const body = gzipSync(Buffer.alloc(3 * 1024 * 1024)).subarray(0, -8);
      const headers = { 'content-type': type, 'content-encoding': 'gzip' };
      const { client } = await fleet.gateway(ptoCounter);
      for (let i = 0; i < 3; i += 1) {
        const answer = await client.post('/v1/readings', body, headers);
        expect([answer.status, answer.code]).toEqual([413, 'body_too_large']);
        expect((await client.post('/v1/readings', { streams: [] })).status).toBe(200);
      }
      process.off('uncaughtExceptionMonitor', note);
      expect(faults).toEqual([]);
    },
  );
});
