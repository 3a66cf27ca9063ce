import { createHash } from 'node:crypto';
import { beforeAll, describe, expect, test } from 'vitest';
import { checkChain, firstHash, personalDigest } from '../../src/domain/events/event-chain.ts';
import { shardOf } from '../../src/domain/shard.ts';
import { sequenceShard } from '../../src/flows/sequence-events.ts';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { FleetBuilder, greaseTask, startMs, type Truck, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  truck = await fleet.truck({ patternId: await fleet.pattern(greaseTask) });
  await app.settle();
});

/** The whole history, as a reader that asks again with the last number gets it. */
async function history(client: Client = app.admin, limit = 500): Promise<Json[]> {
  const all: Json[] = [];
  for (;;) {
    const after = all.at(-1)?.number ?? 0;
    const { items } = await client.read(`/v1/events?after=${after}&limit=${limit}`);
    if (items.length === 0) return all;
    all.push(...items);
  }
}

/** An event as it is sent, as the chain hashes it. */
const chained = ({ personal, hash, ...event }: Json) => ({
  ...event,
  hash: Buffer.from(hash, 'hex'),
});
const start = { number: 0, hash: firstHash };

describe('the history', () => {
  test('is numbered without gaps, and its chain can be checked from what is sent', async () => {
    const all = await history();
    expect(all.length).toBeGreaterThan(10);
    expect(all.map((event) => event.number)).toEqual(all.map((_, i) => i + 1));
    expect(checkChain(start, all.map(chained))).toBeNull();
    expect(all[0]).toMatchObject({ number: 1, type: 'fleet.founded', subject: 'fleet/1' });
    // from the middle on, with the hash before it
    const [before, ...rest] = all.slice(4);
    const from = { number: before.number, hash: Buffer.from(before.hash, 'hex') };
    expect(checkChain(from, rest.map(chained))).toBeNull();
    // and with another tool than ours, for the first event
    const { hash, personal, ...event } = all[0];
    const canonical = JSON.stringify(event, Object.keys(event).sort().concat('name'));
    const expected = createHash('sha256').update(firstHash).update(canonical).digest('hex');
    expect(hash).toBe(expected);
  });

  test.each([1, 2, 7])('in steps of %i it is the same', async (limit) => {
    expect(await history(app.admin, limit)).toEqual(await history());
  });

  test('a line that was changed, taken out or put in shows', async () => {
    const all = (await history()).map(chained);
    const other = structuredClone(all);
    other[3].data = { ...other[3].data, number: 'other' };
    other[3].hash = all[3].hash;
    expect(
      checkChain(
        start,
        other.map((e) => ({ ...e, hash: Buffer.from(e.hash) })),
      ),
    ).toEqual({
      number: 4,
      fault: 'hash',
    });
    expect(checkChain(start, all.toSpliced(3, 1))).toEqual({ number: 5, fault: 'gap' });
    expect(checkChain(start, all.toSpliced(3, 0, all[3]))).toEqual({ number: 4, fault: 'gap' });
  });

  test('one subject, one type, and where it ends', async () => {
    const subject = `unit/${truck.unitId}`;
    const { items, last } = await app.admin.read(`/v1/events?subject=${subject}`);
    expect(new Set(items.map((event: Json) => event.subject))).toEqual(new Set([subject]));
    const added = await app.admin.read(`/v1/events?type=unit.added&subject=${subject}`);
    expect(added.items).toHaveLength(1);
    expect(last).toBe((await history()).length);
    const end = await app.admin.read(`/v1/events?after=${last}`);
    expect(end).toEqual({ items: [], last });
    const beyond = await app.admin.read(`/v1/events?after=${last + 1000}`);
    expect(beyond).toEqual({ items: [], last });
  });

  test.each(['after=-1', 'after=x', 'after=1.5', 'limit=0', 'limit=501', `type=${'x'.repeat(81)}`])(
    '%s is refused',
    async (query) => {
      const answer = await app.admin.get(`/v1/events?${query}`);
      expect([answer.status, answer.code]).toEqual([400, 'query_invalid']);
    },
  );
});

describe('what is personal', () => {
  test('is not in the chain, only a salted digest of it', async () => {
    const note = 'Ada Quill did it alone';
    await fleet.done(truck.unitId, 'grease', startMs, { note });
    await app.settle();
    const [event] = (await fleet.events({ type: 'task.done' })).slice(-1);
    expect(event.personal).toEqual({ by: 'first admin key', note });
    expect(JSON.stringify(event.data)).not.toContain('Ada');
    const { rows } = await app.db.owner.query(
      `select e.data::text, p.salt, p.personal from liftwright.event e
       join liftwright.event_personal p using (fleet_id, number) where e.number = $1`,
      [event.number],
    );
    expect(rows[0].data).not.toContain('Ada');
    const digest = personalDigest(rows[0].salt, rows[0].personal).toString('hex');
    expect(event.personalDigest).toBe(digest);
    // without its salt the digest is no hash of the payload
    const bare = createHash('sha256').update(JSON.stringify(event.personal)).digest('hex');
    expect(event.personalDigest).not.toBe(bare);
    const { rows: waiting } = await app.db.owner.query('select * from liftwright.outbox');
    expect(waiting).toEqual([]);
  });

  test('erased, the chain still holds', async () => {
    await app.db.owner.query('delete from liftwright.event_personal');
    const all = await history();
    expect(all.filter((event) => event.personal !== null)).toEqual([]);
    expect(all.filter((event) => event.personalDigest !== null).length).toBeGreaterThan(0);
    expect(checkChain(start, all.map(chained))).toBeNull();
  });
});

describe('writers and sequencers at once', () => {
  test('no reader misses a late commit, and nothing is numbered twice', async () => {
    const shard = shardOf(1, 'events');
    const before = (await history()).length;
    let writing = true;
    const seen: Json[] = [];
    const reader = (async () => {
      let after = before;
      for (let ended = false; !ended; ) {
        ended = !writing;
        const { items } = await app.admin.read(`/v1/events?after=${after}&limit=500`);
        seen.push(...items);
        after = items.at(-1)?.number ?? after;
      }
    })();
    const sequencers = [0, 1].map(async () => {
      while (writing) await sequenceShard(app.deps, shard);
    });
    const names: string[] = [];
    const writers = [0, 1, 2].map(async (writer) => {
      for (let i = 0; i < 15; i += 1) {
        const name = `at once ${writer} ${i}`;
        names.push(name);
        await app.admin.made('/v1/yards', { name, timeZone: 'UTC' });
      }
    });
    await Promise.all(writers);
    await sequenceShard(app.deps, shard);
    writing = false;
    await Promise.all([reader, ...sequencers]);
    expect(seen.map((event) => event.number)).toEqual(seen.map((_, i) => before + i + 1));
    expect(seen.map((event) => event.data.name).sort()).toEqual(names.sort());
    expect(checkChain(start, (await history()).map(chained))).toBeNull();
  });

  test('a cause that is committed late is numbered after what overtook it', async () => {
    const { owner } = app.db;
    await owner.query('begin');
    await owner.query(
      `insert into liftwright.outbox (fleet_id, type, subject, data, occurred_at, recorded_at)
       values (1, 'late.commit', 'fleet/1', '{}', 'epoch', 'epoch')`,
    );
    await app.admin.made('/v1/yards', { name: 'overtakes', timeZone: 'UTC' });
    await app.answerCalls();
    const last = (await history()).at(-1);
    expect(last).toMatchObject({ type: 'yard.added', data: { name: 'overtakes' } });
    await owner.query('commit');
    await app.settle();
    const { items } = await app.admin.read(`/v1/events?after=${last.number}`);
    expect(items).toMatchObject([{ number: last.number + 1, type: 'late.commit' }]);
    expect(items[0].occurredAt).toBe(text(0));
  });

  test('more than one statement numbers, 1,201 at a time', async () => {
    const before = (await history()).length;
    await app.db.owner.query(
      `insert into liftwright.outbox (fleet_id, type, subject, data, occurred_at, recorded_at)
       select 1, 'many', 'fleet/1', jsonb_build_object('n', n, 'ä', 0.1, 'b', null),
         'epoch', 'epoch'
       from generate_series(1, 1201) n`,
    );
    await app.settle();
    const all = await history();
    expect(all.slice(before).map((event) => event.data.n)).toEqual(
      Array.from({ length: 1_201 }, (_, i) => i + 1),
    );
    expect(checkChain(start, all.map(chained))).toBeNull();
    expect(app.queue.changes).toContain('fleet.1.events');
  });

  test('another fleet has a chain of its own', async () => {
    const other = await app.otherFleet();
    await other.made('/v1/yards', { name: 'Theirs', timeZone: 'UTC' });
    await app.settle();
    const theirs = await history(other);
    expect(theirs.map((event) => [event.number, event.type])).toEqual([[1, 'yard.added']]);
    expect(checkChain(start, theirs.map(chained))).toBeNull();
  });
});
