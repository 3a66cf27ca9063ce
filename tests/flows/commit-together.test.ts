import fc from 'fast-check';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { PostCommitter } from '../../src/flows/commit-together.ts';
import { withFleet } from '../../src/store/pool.ts';
import type * as groups from '../../src/store/post-group.ts';
import { type DeclaredStream, declaredStreams, type StreamRun } from '../../src/store/reading.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, liftCounter, ptoCounter, startMs } from '../helpers/fleet.ts';

const app = useApp();
let fleets: FleetBuilder[];

beforeAll(async () => {
  fleets = [new FleetBuilder(app), new FleetBuilder(app, await app.otherFleet())];
});

interface Device {
  fleetId: number;
  gatewayId: string;
  streams: DeclaredStream[];
}

async function device(fleetId: number, ...counters: object[]): Promise<Device> {
  const { id } = await fleets[fleetId - 1]!.gateway(...counters);
  const { batcher } = app.db.pools;
  const streams = await withFleet(batcher, fleetId, (tx) => declaredStreams(tx, fleetId, id));
  return {
    fleetId,
    gatewayId: id,
    streams: streams.sort((a, b) => a.streamId - b.streamId),
  };
}

const runOf = (stream: DeclaredStream, firstSeq: number, length: number): StreamRun => ({
  stream,
  firstSeq,
  at: Array.from({ length }, (_, i) => startMs - 86_400_000 + (firstSeq + i) * 1_000),
  raw: Array.from({ length }, (_, i) => 5 + firstSeq + i),
  offsetMs: firstSeq % 3,
});

const postOf = (of: Device, ...runs: StreamRun[]): groups.PlainPost => ({
  contact: {
    fleetId: of.fleetId,
    gatewayId: of.gatewayId,
    receivedAtMs: startMs,
    deviceOffsetMs: of.fleetId === 1 ? 17 : null,
  },
  runs,
});

/** Everything that posts of a device left behind, whatever ids it has. */
async function leftBy({ fleetId, gatewayId, streams }: Device): Promise<unknown[]> {
  const ids = streams.map(({ streamId }) => streamId);
  const lines = streams.map(({ lineId }) => lineId);
  const { rows } = await app.db.owner
    .query(`
    begin; set local liftwright.fleets = '{${fleetId}}';
    select jsonb_build_array(
      (select jsonb_agg(jsonb_build_array(s.seen, s.lost) order by s.stream_id)
        from liftwright.stream s where s.stream_id = any ('{${ids}}')),
      (select jsonb_agg(to_jsonb(r) - 'stream_id' - 'fleet_id' order by r.stream_id, r.first_seq)
        from liftwright.reading_run r where r.stream_id = any ('{${ids}}')),
      (select jsonb_agg(to_jsonb(m) - 'mark_id' - 'line_id' - 'fleet_id' - 'shard'
          order by m.line_id, m.from_seq)
        from liftwright.line_mark m where m.line_id = any ('{${lines}}')),
      (select jsonb_agg(to_jsonb(c) - 'gateway_id' - 'fleet_id')
        from liftwright.gateway_contact c where c.gateway_id = '${gatewayId}')) as left;
    commit`)
    .then((results) => (results as unknown as { rows: { left: unknown }[] }[])[2]!);
  return rows.map((row) => (row as { left: unknown }).left);
}

describe('a group of posts', () => {
  test('leaves what its members would have left singly', async () => {
    const spans = fc.array(
      fc.record({
        device: fc.nat(3),
        runs: fc.uniqueArray(
          fc.record({
            stream: fc.nat(1),
            first: fc.nat(12),
            length: fc.integer({ min: 1, max: 6 }),
          }),
          { selector: (run) => run.stream, minLength: 1, maxLength: 2 },
        ),
      }),
      { minLength: 1, maxLength: 12 },
    );
    await fc.assert(
      fc.asyncProperty(spans, async (posts) => {
        const make = () =>
          Promise.all([1, 1, 2, 2].map((fleetId) => device(fleetId, ptoCounter, liftCounter)));
        const [one, other] = [await make(), await make()];
        const { batcher } = app.db.pools;
        const singly = new PostCommitter(batcher, { postsMost: 1 });
        const together = new PostCommitter(batcher, { lanes: 1 });
        const of = (devices: Device[], post: (typeof posts)[number]) => {
          const from = devices[post.device]!;
          const runs = post.runs
            .sort((a, b) => a.stream - b.stream)
            .map(({ stream, first, length }) => runOf(from.streams[stream]!, first, length));
          return postOf(from, ...runs);
        };
        const outcomes: (boolean | null)[] = [];
        for (const post of posts) outcomes.push((await singly.commit(of(one, post))) !== null);
        const answers = await Promise.all(posts.map((post) => together.commit(of(other, post))));
        expect(answers.map((answer) => answer !== null)).toEqual(outcomes);
        for (const [i, device] of one.entries()) {
          expect(await leftBy(other[i]!)).toEqual(await leftBy(device));
        }
      }),
      { numRuns: 8 },
    );
  });

  test('is one statement for many', async () => {
    const devices = await Promise.all(Array.from({ length: 20 }, () => device(1, ptoCounter)));
    const spy = vi.spyOn(app.db.pools.batcher, 'query');
    const committer = new PostCommitter(app.db.pools.batcher);
    const answers = await Promise.all(
      devices.map((each) => committer.commit(postOf(each, runOf(each.streams[0]!, 0, 1)))),
    );
    expect(spy).toHaveBeenCalledTimes(1);
    spy.mockRestore();
    expect(answers.every((answer) => [...answer!.values()].join() === '{[0,1)}')).toBe(true);
  });

  test('posts of one gateway follow one another, and none is lost', async () => {
    const own = await device(1, ptoCounter);
    const committer = new PostCommitter(app.db.pools.batcher);
    const answers = await Promise.all(
      Array.from({ length: 30 }, (_, i) =>
        committer.commit(postOf(own, runOf(own.streams[0]!, i * 2, 2))),
      ),
    );
    expect([...answers.at(-1)!.values()]).toEqual(['{[0,60)}']);
  });
});

describe('a bad post never fails its neighbours', () => {
  /** `then`: what becomes of the bad one when it goes alone; `null` is the long way. */
  async function among(bad: groups.PlainPost, then: 'rejected' | null = 'rejected') {
    const good = await Promise.all([1, 2, 1].map((fleetId) => device(fleetId, ptoCounter)));
    const posts = good.map((each) => postOf(each, runOf(each.streams[0]!, 0, 3)));
    const spy = vi.spyOn(app.db.pools.batcher, 'query');
    const committer = new PostCommitter(app.db.pools.batcher);
    const settled = await Promise.allSettled(
      [posts[0]!, bad, posts[1]!, posts[2]!].map((post) => committer.commit(post)),
    );
    // It was a group indeed, before its members went singly.
    expect(spy.mock.calls.length).toBeGreaterThan(1);
    spy.mockRestore();
    const became = settled.map((each) =>
      each.status === 'rejected' ? 'rejected' : each.value === null ? null : 'stored',
    );
    expect(became).toEqual(['stored', then, 'stored', 'stored']);
    for (const each of good) {
      const [left] = (await leftBy(each)) as [[unknown, unknown[]]];
      expect(left[1]).toHaveLength(1);
    }
  }

  test('of a gateway that is no more', async () => {
    const of = await device(1, ptoCounter);
    await among({
      ...postOf(of, runOf(of.streams[0]!, 0, 1)),
      contact: { ...postOf(of).contact, gatewayId: '00000000-0000-4000-8000-000000000000' },
    });
  });

  test('whose stream is of another fleet: nothing of it is written anywhere', async () => {
    const theirs = await device(2, ptoCounter);
    const ours = await device(1, ptoCounter);
    await among(postOf(ours, runOf(theirs.streams[0]!, 0, 1)), null);
    const [left] = (await leftBy(theirs)) as [[unknown, unknown]];
    expect(left[1]).toBeNull();
  });

  test('with times that no partition takes', async () => {
    const of = await device(1, ptoCounter);
    const post = postOf(of, runOf(of.streams[0]!, 0, 1));
    await among({ ...post, contact: { ...post.contact, receivedAtMs: 0 } });
    const [left] = (await leftBy(of)) as [[unknown, unknown]];
    expect(left[1]).toBeNull();
  });
});

describe('a post that must wait for a lock', () => {
  /** Holds a row of a device until `open` is called. */
  async function hold(sql: string): Promise<() => Promise<void>> {
    const holder = await app.db.pools.batcher.connect();
    await holder.query(`begin; set local liftwright.fleets = '{1,2}'; ${sql}`);
    return async () => {
      await holder.query('commit');
      holder.release();
    };
  }

  const first = (of: Device) => postOf(of, runOf(of.streams[0]!, 0, 1));
  const held: [what: string, sql: (of: Device) => string][] = [
    [
      'of a stream',
      (of) => `select from liftwright.stream where stream_id = ${of.streams[0]!.streamId}
        for update`,
    ],
    [
      'of a contact',
      (of) => `select from liftwright.gateway_contact where gateway_id = '${of.gatewayId}'
        for update`,
    ],
    [
      'of a gateway that is being looked at',
      (of) => `select gateway_id from liftwright.gateway_health
        where gateway_id = '${of.gatewayId}' for update`,
    ],
  ];
  test.each(held)('%s holds up nobody in its group', async (_what, sql) => {
    const waits = await device(1, ptoCounter);
    const others = await Promise.all([1, 2, 2].map((fleetId) => device(fleetId, ptoCounter)));
    const open = await hold(sql(waits));
    const committer = new PostCommitter(app.db.pools.batcher, { lanes: 1 });
    let isStored = false;
    const late = committer.commit(first(waits)).then((stored) => {
      isStored = stored !== null;
    });
    const stored = await Promise.all(others.map((each) => committer.commit(first(each))));
    expect([isStored, ...stored.map((each) => each !== null)]).toEqual([false, true, true, true]);
    await open();
    await late;
    expect(isStored).toBe(true);
  });

  test('alone keeps no lane from others', async () => {
    const [waits, other] = [await device(1, ptoCounter), await device(2, ptoCounter)];
    const open = await hold(held[0]![1](waits));
    const committer = new PostCommitter(app.db.pools.batcher, { lanes: 1 });
    const late = committer.commit(first(waits));
    await new Promise((settle) => setImmediate(settle));
    expect(await committer.commit(first(other))).not.toBeNull();
    const next = committer.commit(postOf(waits, runOf(waits.streams[0]!, 1, 1)));
    await open();
    expect([...(await late)!.values(), ...(await next)!.values()]).toEqual(['{[0,1)}', '{[0,2)}']);
  });
});

describe('too much at a time', () => {
  test('is refused at once, and taken again when there is room', async () => {
    const committer = new PostCommitter(app.db.pools.batcher, { postsInside: 2 });
    let open = () => {};
    const gate = new Promise<void>((settle) => {
      open = settle;
    });
    const inside = [committer.admit(1, () => gate), committer.admit(1, () => gate)];
    await expect(committer.admit(1, async () => 1)).rejects.toMatchObject({
      code: 'overloaded',
      retryAfterS: 5,
    });
    open();
    await Promise.all(inside);
    expect(await committer.admit(1, async () => 1)).toBe(1);
  });

  test('counts readings as well, and what failed is out again', async () => {
    const committer = new PostCommitter(app.db.pools.batcher, { readingsInside: 10 });
    await expect(committer.admit(10, () => Promise.reject(new Error('x')))).rejects.toThrow('x');
    const first = committer.admit(10, () => new Promise((settle) => setImmediate(settle)));
    await expect(committer.admit(1, async () => 1)).rejects.toMatchObject({ code: 'overloaded' });
    await first;
  });
});
