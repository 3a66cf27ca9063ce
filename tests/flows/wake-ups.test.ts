import { beforeAll, describe, expect, test } from 'vitest';
import { shardOf } from '../../src/domain/shard.ts';
import { foldShard } from '../../src/flows/fold-usage.ts';
import { sweep } from '../../src/flows/sweep.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  type Signing,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
let truck: Truck;
let lead: Signing;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(greaseTask);
  truck = await fleet.truck({ patternId });
  lead = await fleet.person(['lead']);
  await app.settle();
});

const waiting = async () => {
  const found: Record<string, number> = {};
  for (const table of ['line_mark', 'unit_mark', 'outbox']) {
    const { rows } = await app.db.owner.query(`select count(*)::int as n from liftwright.${table}`);
    if (rows[0].n > 0) found[table] = rows[0].n;
  }
  return found;
};

describe('every cause calls for the work that follows from it', () => {
  const causes: [string, () => Promise<unknown>][] = [
    ['new readings', () => truck.gateway.one(run(0, [startMs - hourMs, 0], [startMs, 20]))],
    ['a duplicate', () => truck.gateway.one(run(0, [startMs - hourMs, 0]))],
    ['a conflict', () => truck.gateway.one(run(1, [startMs, 10]))],
    ['a loss', () => truck.gateway.one({ firstSeq: 0, at: [], raw: [], lost: [[2, 3]] })],
    ['a heartbeat', () => truck.gateway.heartbeat()],
    ['a fast clock', () => truck.gateway.heartbeat({ 'device-time': String(startMs + dayMs) })],
    ['an epoch', () => truck.gateway.epoch('sequence_lost')],
    ['a counter', () => truck.gateway.declare({ ...ptoCounter, counter: 'second' })],
    ['a done', () => fleet.done(truck.unitId, 'grease', startMs)],
    [
      'a void',
      async () => {
        const { doneId } = await fleet.done(truck.unitId, 'grease', startMs);
        await app.answerCalls();
        const url = `/v1/units/${truck.unitId}/dones/${doneId}/void`;
        await fleet.client.made(url, { reason: 'x' });
      },
    ],
    [
      'a deferral',
      () =>
        fleet.client.made(`/v1/units/${truck.unitId}/tasks/grease/deferrals`, {
          untilDay: '2026-03-09',
          untilUse: { pto_hours: 1 },
          reason: 'x',
          signature: lead.signature,
        }),
    ],
    [
      'a severity',
      () => {
        const body = { kind: 'salt', unitId: truck.unitId, fromDay: '2026-01-01' };
        return fleet.client.made('/v1/severities', body);
      },
    ],
    ['a unit', async () => fleet.unit(await fleet.yard())],
    ['a truck', () => fleet.truck({ patternId })],
    [
      'a move',
      async () => {
        const unitId = await fleet.unit(await fleet.yard());
        await fleet.install(unitId, { assetId: truck.liftId }, startMs, { move: true });
      },
    ],
  ];
  test.each(causes)('%s', async (_, cause) => {
    await cause();
    await app.answerCalls();
    expect(await waiting()).toEqual({});
  });
});

test('a gateway that is put on a unit is looked at', async () => {
  const moved = await fleet.truck({ patternId });
  await app.answerCalls();
  const { rows } = await app.db.owner.query(
    'select check_at, checked_at from liftwright.gateway_health where gateway_id = $1',
    [moved.gateway.id],
  );
  expect(rows[0].checked_at).toEqual(new Date(startMs));
  expect(rows[0].check_at).toEqual(new Date(startMs + 26 * hourMs));
});

describe('calls that were lost', () => {
  test('are sent again by the sweep, which says how much waits', async () => {
    // A gateway that was never heard before is looked at without a call, by the sweep.
    await app.settle();
    await truck.gateway.one(run(4, [startMs, 30]));
    app.queue.calls.clear();
    expect(await sweep(app.deps)).toBe(1);
    await app.answerCalls();
    expect(await waiting()).toEqual({});
    expect(await sweep(app.deps)).toBe(0);
  });

  test('work that was called for twice, or for nothing, does no harm', async () => {
    const before = await app.db.owner.query('select count(*)::int as n from liftwright.event');
    for (let shard = 0; shard < 64; shard += 1) {
      for (const job of ['fold', 'assess', 'watch', 'sequence']) app.queue.wake(job, shard);
    }
    await app.answerCalls();
    const after = await app.db.owner.query('select count(*)::int as n from liftwright.event');
    expect(after.rows).toEqual(before.rows);
  });
});

describe('workers at once', () => {
  test('two on one shard fold every line once', async () => {
    const trucks: Truck[] = [];
    for (let i = 0; i < 6; i += 1) trucks.push(await fleet.truck({ patternId }));
    await app.settle();
    for (const { gateway } of trucks) {
      await gateway.one(run(0, [startMs - 2 * hourMs, 0], [startMs, 40]));
    }
    const { rows } = await app.db.owner.query('select distinct shard from liftwright.line_mark');
    const counts = await Promise.all(
      rows.flatMap(({ shard }) => [foldShard(app.deps, shard), foldShard(app.deps, shard)]),
    );
    expect(counts.reduce((sum, n) => sum + n, 0)).toBe(6);
    await app.settle();
    for (const { liftId } of trucks) {
      expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 2 * 3600 });
    }
  });

  test('one that is told to stop leaves the rest marked', async () => {
    const { gateway } = await fleet.truck({ patternId });
    await app.settle();
    await gateway.one(run(0, [startMs, 1]));
    const [mark] = (await app.db.owner.query('select shard from liftwright.line_mark')).rows;
    expect(await foldShard(app.deps, mark.shard, AbortSignal.abort())).toBe(0);
    expect(await waiting()).toEqual({ line_mark: 1 });
    await app.settle();
  });

  test('a unit that cannot be assessed holds up none of the others', async () => {
    const salty = await fleet.pattern({ ...greaseTask, severity: { salt: 2 } });
    const broken = await fleet.truck({ patternId: salty });
    const sound: Truck[] = [];
    const shard = shardOf(1, broken.unitId);
    for (let i = 0; i < 3; i += 1) sound.push(await fleet.truck({ patternId }));
    await app.settle();
    // a figure that the rules refuse, as a restored backup could bring it
    await app.db.owner.query(
      `insert into liftwright.severity
         (fleet_id, severity_id, kind, unit_id, from_day, season_from, season_to, created_at)
       values (1, gen_random_uuid(), 'salt', $1, '2026-01-01', '02-30', '03-01', 'epoch')`,
      [broken.unitId],
    );
    for (const { unitId } of [broken, ...sound]) await fleet.done(unitId, 'grease', startMs);
    await app.db.owner.query('update liftwright.unit_mark set shard = $1', [shard]);
    app.queue.calls.clear();
    app.queue.wake('assess', shard);
    // told at the end, so that the queue tries again and somebody hears of it
    await expect(app.answerCalls()).rejects.toThrow('not a month and day');
    const { rows } = await app.db.owner.query('select unit_id from liftwright.unit_mark');
    expect(rows.map((row: Json) => row.unit_id)).toEqual([broken.unitId]);
    await app.db.owner.query('delete from liftwright.severity where season_from is not null');
    await app.db.owner.query('update liftwright.unit_mark set shard = $1', [shard]);
    await app.settle();
  });
});
