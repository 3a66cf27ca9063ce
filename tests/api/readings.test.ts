import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { withFleet } from '../../src/store/pool.ts';
import { declaredStreams, runsWithin } from '../../src/store/reading.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, type Gateway, ptoCounter, run, startMs, tickMs } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const beginMs = startMs - 3_600_000;
const at = (tick: number) => beginMs + tick * tickMs;
/** Readings from..to, one tick each. */
const ticks = (from: number, to: number) =>
  run(
    from,
    ...Array.from({ length: to - from + 1 }, (_, i): [number, number] => [
      at(from + i),
      100 + from + i,
    ]),
  );
const newGateway = () => fleet.gateway(ptoCounter);
const plain = { missing: [], accepted: 0, duplicate: 0, conflict: 0, refused: [] };
const settled = (contiguous: number, highest: number, more: object) => ({
  counter: 'pto_hours',
  epoch: 0,
  contiguous,
  highest,
  ...plain,
  ...more,
});

/** The numbers stored and their values, whatever runs they came in. */
async function stored(gateway: Gateway): Promise<[seq: number, raw: number][]> {
  const runs = await withFleet(app.db.pools.app, 1, async (tx) => {
    const [stream] = await declaredStreams(tx, 1, gateway.id);
    return runsWithin(tx, 1, stream?.streamId ?? 0, 0, 10_000, 1_000);
  });
  return runs.flatMap((each) =>
    Array.from(each.raw, (raw, i): [number, number] => [each.firstSeq + i, raw]),
  );
}

describe('the protocol of the readings', () => {
  test('the first number seen starts the stream; sent again it is a duplicate', async () => {
    const gateway = await newGateway();
    const post = { firstSeq: 4101, at: [at(1), at(2)], raw: [29664, 29665] };
    expect(await gateway.one(post)).toEqual(settled(4102, 4102, { accepted: 2 }));
    expect(await gateway.one(post)).toEqual(settled(4102, 4102, { duplicate: 2 }));
    const longer = { firstSeq: 4102, at: [at(2), at(3)], raw: [29665, 29666] };
    expect(await gateway.one(longer)).toEqual(settled(4103, 4103, { accepted: 1, duplicate: 1 }));
    expect(await stored(gateway)).toEqual([
      [4101, 29664],
      [4102, 29665],
      [4103, 29666],
    ]);
  });

  test('a gap holds the contiguous number back until it is filled', async () => {
    const gateway = await newGateway();
    await gateway.one(ticks(0, 1));
    expect(await gateway.one(ticks(5, 6))).toEqual(
      settled(1, 6, { accepted: 2, missing: [[2, 4]] }),
    );
    expect(await gateway.one(ticks(3, 3))).toEqual(
      settled(1, 6, {
        accepted: 1,
        missing: [
          [2, 2],
          [4, 4],
        ],
      }),
    );
    // one post over stored and missing numbers stores exactly the missing ones
    expect(await gateway.one(ticks(0, 7))).toEqual(settled(7, 7, { accepted: 3, duplicate: 5 }));
    expect(await stored(gateway)).toEqual(Array.from({ length: 8 }, (_, seq) => [seq, 100 + seq]));
  });

  test('another value for a number is a conflict: both are kept, neither counts', async () => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(ticks(0, 3));
    const other = { firstSeq: 2, at: [at(2)], raw: [999] };
    expect(await gateway.one(other)).toEqual(settled(3, 3, { conflict: 1 }));
    // another time for the same value is one too
    const later = { firstSeq: 1, at: [at(1) + 1], raw: [101] };
    expect(await gateway.one(later)).toEqual(settled(3, 3, { conflict: 1 }));
    await app.settle();
    const { conflicts } = await gateway.client.read('/v1/gateways/me/verdicts');
    expect(conflicts.map((c: { seq: number; raw: number }) => [c.seq, c.raw]).sort()).toEqual([
      [1, 101],
      [2, 999],
    ]);
    expect((await stored(gateway))[2]).toEqual([2, 102]);
    // a cumulative counter loses nothing by it: 100 to 103 are three ticks
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 3 * 180 });
    expect(await gateway.verdicts()).toEqual([]);
    const subject = `gateway/${gateway.id}`;
    expect(await fleet.events({ type: 'reading.conflict', subject })).toHaveLength(2);
    // the same conflict again says nothing new
    expect(await gateway.one(other)).toEqual(settled(3, 3, { conflict: 1 }));
    await app.settle();
    expect(await fleet.events({ type: 'reading.conflict', subject })).toHaveLength(2);
  });

  test('a conflict at the head takes its number out of the count', async () => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(ticks(0, 3));
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 3 * 180 });
    await gateway.one({ firstSeq: 3, at: [at(3)], raw: [50] });
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 2 * 180 });
    await gateway.one(ticks(4, 4));
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 4 * 180 });
  });

  test('lost numbers are settled, and still welcome when they turn up', async () => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(ticks(0, 1));
    const lost = { ...ticks(6, 6), lost: [[2, 5]] };
    expect(await gateway.one(lost)).toEqual(settled(6, 6, { accepted: 1 }));
    await app.settle();
    const subject = `gateway/${gateway.id}`;
    const events = await fleet.events({ type: 'reading.lost', subject });
    expect(events.map((event) => event.data)).toEqual([
      { counter: 'pto_hours', epoch: 0, from: 2, to: 5 },
    ]);
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 6 * 180 });
    // declared again: nothing new; stored numbers cannot be lost
    expect(await gateway.one({ firstSeq: 0, at: [], raw: [], lost: [[0, 6]] })).toEqual(
      settled(6, 6, {}),
    );
    expect(await gateway.one(ticks(3, 4))).toEqual(settled(6, 6, { accepted: 2 }));
    expect(await gateway.one(ticks(3, 4))).toEqual(settled(6, 6, { duplicate: 2 }));
    expect((await stored(gateway)).map(([seq]) => seq)).toEqual([0, 1, 3, 4, 6]);
    await app.settle();
    expect(await fleet.events({ type: 'reading.lost', subject })).toHaveLength(1);
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 6 * 180 });
  });

  test('the same stream twice in a post is judged in order', async () => {
    const gateway = await newGateway();
    const posted = [ticks(0, 2), ticks(2, 3), { firstSeq: 0, at: [at(0)], raw: [7] }];
    expect(await gateway.post(posted)).toEqual([
      settled(2, 2, { accepted: 3 }),
      settled(3, 3, { accepted: 1, duplicate: 1 }),
      settled(3, 3, { conflict: 1 }),
    ]);
  });

  test('answers come in the order of the post, whatever was declared first', async () => {
    const gateway = await newGateway();
    await gateway.declare({ counter: 'second', meter: 'lift_cycles', resolution: 1 });
    const second = { counter: 'second', firstSeq: 9, at: [at(0)], raw: [1] };
    const answers = await gateway.post([second, ticks(0, 0)]);
    expect(answers.map((answer) => [answer.counter, answer.contiguous])).toEqual([
      ['second', 9],
      ['pto_hours', 0],
    ]);
    // the long way too
    const again = await gateway.post([second, ticks(0, 0)]);
    expect(again.map((answer) => [answer.counter, answer.duplicate])).toEqual([
      ['second', 1],
      ['pto_hours', 1],
    ]);
  });

  test('an empty post is a heartbeat, and an empty stream asks where it stands', async () => {
    const gateway = await newGateway();
    const lastPost = async () => {
      const all = await fleet.client.all('/v1/gateways');
      return all.find((each) => each.gatewayId === gateway.id).lastPostAt;
    };
    expect(await lastPost()).toBeNull();
    expect(await gateway.heartbeat()).toEqual([]);
    expect(await lastPost()).toBe('2026-03-02T18:00:00.000Z');
    await gateway.one(ticks(0, 1));
    await gateway.one(ticks(4, 4));
    const asked = await gateway.post([{ firstSeq: 0, at: [], raw: [] }]);
    expect(asked).toEqual([settled(1, 4, { missing: [[2, 3]] })]);
    const { counters } = await gateway.client.read('/v1/gateways/me/counters');
    expect(counters[0].epochs).toEqual([{ epoch: 0, cause: 'first', contiguous: 1, highest: 4 }]);
  });

  test('missing is bounded; what is not shown is still missing', async () => {
    const gateway = await newGateway();
    const posted = Array.from({ length: 60 }, (_, i) => ticks(i * 2, i * 2));
    await gateway.post(posted);
    const more = await gateway.post(
      posted.map((each) => ({ ...each, firstSeq: each.firstSeq + 200 })),
    );
    expect(more.at(-1)?.missing).toHaveLength(100);
    expect(more.at(-1)?.missing[0]).toEqual([1, 1]);
    expect(more.at(-1)?.highest).toBe(318);
  });
});

describe('a gzipped body', () => {
  const post = (gateway: Gateway, packed: Buffer) =>
    gateway.client.call({
      method: 'POST',
      url: '/v1/readings',
      body: packed,
      headers: { 'content-encoding': 'gzip' },
    });
  const bodyOf = (...streams: object[]) =>
    JSON.stringify({ streams: streams.map((s) => ({ counter: 'pto_hours', epoch: 0, ...s })) });

  test('is taken like a plain one', async () => {
    const gateway = await newGateway();
    const answer = await post(gateway, gzipSync(bodyOf(ticks(0, 4_999))));
    expect(answer.body.streams[0]).toMatchObject({ accepted: 5_000, contiguous: 4_999 });
    expect(await gateway.one(ticks(0, 4_999))).toMatchObject({ duplicate: 5_000 });
  });

  test.each<[string, Buffer, number, string]>([
    ['cut short', gzipSync(bodyOf(ticks(0, 99))).subarray(0, 60), 400, 'body_unreadable'],
    ['not gzip at all', Buffer.from(bodyOf(ticks(0, 1))), 400, 'body_unreadable'],
    ['that unpacks to more than is taken', gzipSync('x'.repeat(4 << 20)), 413, 'body_too_large'],
  ])('%s is refused', async (_, packed, status, code) => {
    const gateway = await newGateway();
    const answer = await post(gateway, packed);
    expect([answer.status, answer.code]).toEqual([status, code]);
    expect(await gateway.one(ticks(0, 1))).toMatchObject({ accepted: 2 });
  });
});
