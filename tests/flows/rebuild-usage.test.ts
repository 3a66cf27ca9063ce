import { beforeAll, describe, expect, test } from 'vitest';
import { rebuildUsage } from '../../src/flows/rebuild-usage.ts';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  hourMs,
  liftCounter,
  ptoCounter,
  run,
  type Stream,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  await app.goTo(startMs + 12 * dayMs);
});

/** A small generator of our own: the same numbers in every run. */
function dice(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** Ten days of a lift counter with what goes wrong with counters: one reading each, in order. */
function history(): Stream[] {
  const roll = dice(7);
  const streams: Stream[] = [];
  let raw = 65_500;
  let atMs = startMs;
  for (let seq = 0; seq < 120; seq += 1) {
    atMs += 600_000 + roll(3 * hourMs);
    raw = (raw + roll(6)) % 65_536;
    let value = raw;
    if (seq % 37 === 20) value = (raw + 9_000) % 65_536;
    if (seq % 41 === 30) value = 0;
    if (seq % 29 === 10) value = Math.max(0, raw - 1);
    if (seq === 90) raw = 0;
    const shown = seq % 23 === 15 ? atMs - 5 * dayMs : atMs;
    streams.push({ counter: 'lifts', ...run(seq, [shown, value]) });
  }
  return streams;
}

async function project(): Promise<string[]> {
  const { rows } = await app.db.owner.query(
    `select line_id || ' ' || asset_id || ' ' || meter || ' ' || day || ' ' || grains as row
     from liftwright.usage_day order by 1`,
  );
  return rows.map(({ row }) => row);
}
const count = async (table: string) => {
  const { rows } = await app.db.owner.query(`select count(*)::int as n from liftwright.${table}`);
  return rows[0].n as number;
};
const narrow = { ...liftCounter, widthBits: 16 };

async function deliver(gateway: Gateway, posts: Stream[][]): Promise<void> {
  for (const post of posts) {
    await gateway.post(post);
    await app.answerCalls();
  }
}

/** In order and at once; one by one; shuffled, doubled and in odd groups. */
const deliveries: [string, (all: Stream[]) => Stream[][]][] = [
  ['in two posts', (all) => [all.slice(0, 60), all.slice(60)]],
  ['one by one', (all) => all.map((each) => [each])],
  [
    'shuffled, doubled and in odd groups',
    (all) => {
      const roll = dice(11);
      const rest = [...all.slice(1), ...all.filter(() => roll(3) === 0)];
      for (let i = rest.length - 1; i > 0; i -= 1) {
        const j = roll(i + 1);
        [rest[i], rest[j]] = [rest[j] as Stream, rest[i] as Stream];
      }
      // the lowest number first: it starts the stream
      const posts: Stream[][] = [[all[0] as Stream]];
      while (rest.length > 0) posts.push(rest.splice(0, 1 + roll(9)));
      return posts;
    },
  ],
];

describe('the projection', () => {
  const trucks: Truck[] = [];

  test('does not depend on how the readings came', async () => {
    const all = history();
    const seen: unknown[] = [];
    for (const [, posts] of deliveries) {
      const truck = await fleet.truck({ counters: [narrow] });
      trucks.push(truck);
      await deliver(truck.gateway, posts(all));
      await app.settle();
      const days = await fleet.days(truck.liftId, 'lift_cycles');
      expect(Object.keys(days).length).toBeGreaterThan(8);
      seen.push([days, await truck.gateway.verdicts()]);
    }
    expect(seen[1]).toEqual(seen[0]);
    expect(seen[2]).toEqual(seen[0]);
    const verdicts = new Set((await trucks[0]!.gateway.verdicts()).map((v) => v.split(' ')[1]));
    for (const verdict of ['jitter', 'rollover', 'spike', 'clock_suspect']) {
      expect([...verdicts]).toContain(verdict);
    }
  });

  test('folded anew from its first reading it is what it was, and nothing is told', async () => {
    const controller = { ...ptoCounter, scope: 'controller', controller: 'C-1' };
    const moved = await fleet.truck({ counters: [controller, liftCounter] });
    await moved.gateway.one(run(0, [startMs, 0], [startMs + 30 * hourMs, 90]));
    await moved.gateway.one(run(1, [startMs + 30 * hourMs, 91]));
    const epoch = await moved.gateway.epoch('counter_reset');
    await moved.gateway.one({ epoch, ...run(0, [startMs + 50 * hourMs, 4]) });
    const next = await fleet.gateway();
    await fleet.install(moved.unitId, { gatewayId: next.id }, startMs + 51 * hourMs);
    await next.declare(controller);
    await next.one(run(0, [startMs + 60 * hourMs, 9]));
    const other = await fleet.unit(await fleet.yard('Pacific/Auckland'));
    const at = startMs + 20 * hourMs;
    await fleet.install(other, { assetId: moved.liftId }, at, { move: true });
    await app.settle();

    const before = await project();
    expect(before.length).toBeGreaterThan(25);
    const told = await count('event');
    const entries = await count('usage_entry');
    const rebuilt = await rebuildUsage(app.deps, 1);
    expect(rebuilt).toMatchObject({ lines: 5, daysChanged: 0, left: 0 });
    expect(rebuilt.segments).toBeGreaterThan(25);
    await app.settle();
    expect(await project()).toEqual(before);
    expect(await count('event')).toBe(told);
    expect(await count('usage_entry')).toBe(entries);
  });

  test('mends days that were tampered with, and says so', async () => {
    const before = await project();
    const [truck] = trucks as [Truck];
    await app.db.owner.query(
      `update liftwright.usage_day set grains = grains + 100
       where asset_id = $1
         and day = (select min(day) from liftwright.usage_day where asset_id = $1)`,
      [truck.liftId],
    );
    expect(await project()).not.toEqual(before);
    expect(await rebuildUsage(app.deps, 1)).toMatchObject({ daysChanged: 1 });
    await app.settle();
    expect(await project()).toEqual(before);
    const subject = `asset/${truck.liftId}`;
    const events = await fleet.events({ type: 'usage.closed_days_changed', subject });
    expect(events.at(-1)?.data).toMatchObject({
      days: 1,
      grains: -100,
      reason: 'the line was folded anew',
    });
  });

  test('is made again from the readings alone', async () => {
    const before = await project();
    await app.db.owner.query('delete from liftwright.fold_segment');
    await app.db.owner.query('delete from liftwright.usage_day');
    await app.db.owner.query('delete from liftwright.line_progress');
    await rebuildUsage(app.deps, 1);
    await app.settle();
    expect(await project()).toEqual(before);
  });

  test('a line that a worker is at is left to it', async () => {
    const before = await project();
    await app.db.owner.query('begin');
    await app.db.owner.query('select 1 from liftwright.fold_line limit 1 for update');
    expect(await rebuildUsage(app.deps, 1)).toMatchObject({ lines: 5, left: 1 });
    await app.db.owner.query('rollback');
    await app.answerCalls();
    expect(await count('line_mark')).toBe(0);
    expect(await project()).toEqual(before);
  });
});
