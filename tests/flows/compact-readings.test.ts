import { beforeAll, describe, expect, test } from 'vitest';
import { compactReadings } from '../../src/flows/compact-readings.ts';
import { compactRuns, streamsToCompact } from '../../src/store/compaction.ts';
import { useApp } from '../helpers/app.ts';
import { dayMs, FleetBuilder, hourMs, run, startMs, type Truck } from '../helpers/fleet.ts';
import { compactingChangesNothing } from './compact-scenario.ts';
import { everyReading, foldAnew, projection, stored } from './posting-history.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});
const minuteMs = 60_000;

/** A truck whose readings came one by one, once in so many minutes, from number 0 on. */
async function singles(count: number, everyMs: number): Promise<Truck> {
  const truck = await fleet.truck({});
  for (let seq = 0; seq < count; seq += 1) {
    const atMs = app.clock.nowMs() + everyMs;
    await app.goTo(atMs);
    await truck.gateway.one(run(seq, [atMs - 1_000 - (seq % 7), Math.floor(seq / 3)]));
  }
  return truck;
}

const midnight = (ms: number) => Math.floor(ms / dayMs) * dayMs;

describe('small runs are joined', () => {
  let truck: Truck;

  test('to one a day of arrival, with every reading as it came', async () => {
    truck = await singles(60, hourMs);
    await app.settle();
    const before = await everyReading(app, truck.gateway);
    expect(await stored(app, truck.gateway)).toEqual({ rows: 60, readings: 60 });
    expect(await compactReadings(app.deps)).toBeLessThan(57);
    await app.goTo(app.clock.nowMs() + 3 * dayMs);
    await compactReadings(app.deps);
    // Sixty hours from 18:00 UTC on touch four days.
    expect(await stored(app, truck.gateway)).toEqual({ rows: 4, readings: 60 });
    expect(await everyReading(app, truck.gateway)).toEqual(before);
    expect(await compactReadings(app.deps)).toBe(0);
  });

  test('and fold to the same', async () => {
    const pto = await fleet.days(truck.liftId);
    expect(Object.keys(pto).length).toBeGreaterThan(2);
    await foldAnew(app);
    expect(await fleet.days(truck.liftId)).toEqual(pto);
  });

  test('a resend is a duplicate, another value a conflict, a late number new', async () => {
    const { rows } = await app.db.owner.query(
      `select first_at_ms + at_steps[1] as at, first_raw + raw_steps[1] as raw, first_seq + 1 as seq
       from liftwright.reading_run r join liftwright.stream s using (fleet_id, stream_id)
       join liftwright.counter c using (fleet_id, counter_id)
       where c.gateway_id = $1 and received_steps is not null order by first_seq limit 1`,
      [truck.gateway.id],
    );
    const { at, raw, seq } = rows[0];
    const again = await truck.gateway.one(run(Number(seq), [Number(at), Number(raw)]));
    expect(again).toMatchObject({ accepted: 0, duplicate: 1, conflict: 0 });
    const other = await truck.gateway.one(run(Number(seq), [Number(at), Number(raw) + 5]));
    expect(other).toMatchObject({ accepted: 0, duplicate: 0, conflict: 1 });
    const late = await truck.gateway.one(run(60, [app.clock.nowMs(), 60]));
    expect(late).toMatchObject({ accepted: 1, duplicate: 0, conflict: 0, contiguous: 60 });
    await app.settle();
  });

  test('today and yesterday stay as they came', async () => {
    const fresh = await singles(10, 5 * minuteMs);
    await compactReadings(app.deps);
    expect(await stored(app, fresh.gateway)).toEqual({ rows: 10, readings: 10 });
  });

  test('numbers that do not follow, and other offsets, are not joined', async () => {
    const odd = await fleet.truck({});
    const atMs = app.clock.nowMs();
    await odd.gateway.one(run(0, [atMs, 1]));
    await odd.gateway.one(run(2, [atMs + 1, 1]));
    const fast = { 'device-time': String(atMs + 400_000) };
    await odd.gateway.one(run(3, [atMs + 400_000, 2]), fast);
    await odd.gateway.one(run(4, [atMs + 3, 2]));
    await odd.gateway.one(run(5, [atMs + 4, 2]));
    await app.settle();
    const before = await projection(app, fleet, odd);
    await app.goTo(atMs + 4 * dayMs);
    await compactReadings(app.deps);
    expect(await stored(app, odd.gateway)).toEqual({ rows: 4, readings: 5 });
    await foldAnew(app);
    expect((await projection(app, fleet, odd)).segments).toEqual(before.segments);
  });

  test('a page between two runs goes on where it was', async () => {
    const paged = await singles(25, 10 * minuteMs);
    const before = await everyReading(app, paged.gateway);
    const toMs = midnight(app.clock.nowMs()) + dayMs;
    const { scheduler } = app.db.pools;
    const streams = await streamsToCompact(scheduler, 1, toMs, 0, 500);
    const streamId = streams.at(-1) as number;
    const first = await compactRuns(scheduler, 1, streamId, toMs, -1, 10);
    expect(first).toEqual({ gone: 9, goOnAfter: 9 });
    expect(await compactRuns(scheduler, 1, streamId, toMs, 9, 10)).toEqual({
      gone: 9,
      goOnAfter: 19,
    });
    expect(await compactRuns(scheduler, 1, streamId, toMs, 19, 10)).toEqual({
      gone: 4,
      goOnAfter: null,
    });
    expect(await streamsToCompact(scheduler, 1, toMs, 0, 500)).not.toContain(streamId);
    expect(await everyReading(app, paged.gateway)).toEqual(before);
  });
});

describe('beside others', () => {
  test('who holds the fleet for its deletion is not disturbed', async () => {
    const truck = await singles(5, minuteMs);
    await app.goTo(app.clock.nowMs() + 4 * dayMs);
    await app.db.owner.query('begin');
    await app.db.owner.query(
      `select pg_advisory_xact_lock(hashtext('liftwright.delete_fleet_batch'), 1)`,
    );
    expect(await compactReadings(app.deps)).toBe(0);
    await app.db.owner.query('rollback');
    expect(await stored(app, truck.gateway)).toMatchObject({ rows: 5 });
    await compactReadings(app.deps);
    expect(await stored(app, truck.gateway)).toMatchObject({ rows: 1 });
  });

  test('posts, resends and folds at the same time find every reading once', async () => {
    const truck = await singles(80, minuteMs);
    await app.settle();
    const old = await everyReading(app, truck.gateway);
    await app.goTo(app.clock.nowMs() + 4 * dayMs);
    const nowMs = app.clock.nowMs();
    const posting = (async () => {
      for (let seq = 80; seq < 110; seq += 1) {
        await truck.gateway.one(run(seq, [nowMs - 200 + seq, 40]));
        const [, at, raw] = (old[seq - 80] as string).split(' ').map(Number) as [0, number, number];
        const again = await truck.gateway.one(run(seq - 80, [at, raw]));
        expect(again).toMatchObject({ duplicate: 1, conflict: 0, accepted: 0 });
      }
    })();
    const folding = (async () => {
      for (let i = 0; i < 10; i += 1) await foldAnew(app);
    })();
    const { scheduler } = app.db.pools;
    const toMs = midnight(nowMs) - dayMs;
    const { rows } = await app.db.owner.query(
      `select max(stream_id)::float8 as id from liftwright.stream`,
    );
    let after: number | null = -1;
    while (after !== null) {
      after = (await compactRuns(scheduler, 1, rows[0].id, toMs, after, 3)).goOnAfter;
    }
    await Promise.all([posting, folding]);
    await app.settle();
    expect((await everyReading(app, truck.gateway)).slice(0, 80)).toEqual(old);
    const before = await projection(app, fleet, truck);
    await foldAnew(app);
    expect(await projection(app, fleet, truck)).toEqual(before);
  });

  test('bounds and whole days only', async () => {
    const { scheduler } = app.db.pools;
    await expect(compactRuns(scheduler, 1, 1, midnight(startMs), -1, 1)).rejects.toThrow(/2 to/);
    await expect(compactRuns(scheduler, 1, 1, startMs, -1, 10)).rejects.toThrow(/whole UTC days/);
    await expect(
      app.db.pools.app.query(`select liftwright.compact_runs(1, 1, '2026-01-01Z', -1, 10)`),
    ).rejects.toThrow(/permission denied/);
  });
});

describe('whatever is posted, and whenever runs are joined', () => {
  test.each([1, 2])('nothing else changes (seed %i)', async (seed) => {
    await compactingChangesNothing(app, fleet, seed, 70);
  });
});
