import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  hourMs,
  liftCounter,
  ptoCounter,
  run,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  await app.goTo(Date.UTC(2026, 2, 11));
});

/** One tick an hour: days can be read off. */
const hourly = { ...ptoCounter, resolution: 1 };
const hours = (days: Record<string, number>) =>
  Object.fromEntries(Object.entries(days).map(([day, grains]) => [day, grains / 3600]));

describe('days are the yard’s', () => {
  test('the day on which the clocks go forward has 23 hours', async () => {
    const { gateway, liftId } = await fleet.truck({ counters: [hourly] });
    // 7 March 18:00 to 9 March 18:00 by the clock in Chicago: 47 hours
    await gateway.one(run(0, [Date.UTC(2026, 2, 8, 0), 100], [Date.UTC(2026, 2, 9, 23), 147]));
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({
      '2026-03-07': 6,
      '2026-03-08': 23,
      '2026-03-09': 18,
    });
  });

  test('another yard, another day for the same moment', async () => {
    const readings = run(0, [Date.UTC(2026, 2, 8, 0), 100], [Date.UTC(2026, 2, 9, 23), 147]);
    const yardId = await fleet.yard('Pacific/Auckland');
    const { gateway, liftId, unitId } = await fleet.truck({ yardId, counters: [hourly] });
    await gateway.one(readings);
    await app.settle();
    // 8 March 13:00 to 10 March 12:00 there
    expect(hours(await fleet.days(liftId))).toEqual({
      '2026-03-08': 11,
      '2026-03-09': 24,
      '2026-03-10': 12,
    });
    const { assets } = await fleet.client.read(`/v1/units/${unitId}/usage`);
    // today is the yard's too: the 11th is over for nobody else
    expect(assets[0]).toMatchObject({ assetId: liftId, from: '2026-02-09', to: '2026-03-11' });
    expect(assets[0].meters[0]).toMatchObject({ unit: 'hours', total: 47, totalGrains: 169_200 });
  });
});

describe('late readings', () => {
  test('change the days that they show otherwise; days that were over leave an entry', async () => {
    const { gateway, liftId } = await fleet.truck({ counters: [hourly] });
    const noon = startMs;
    await gateway.post([run(0, [noon, 100]), run(2, [noon + 2 * dayMs, 124])]);
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({
      '2026-03-02': 6,
      '2026-03-03': 12,
      '2026-03-04': 6,
    });
    const entries = async () => {
      const { rows } = await app.db.owner.query(
        `select day::text, grains::int / 3600 as hours, kind, reason from liftwright.usage_entry
         where asset_id = $1 order by day`,
        [liftId],
      );
      return rows;
    };
    expect(await entries()).toEqual([]);
    // by midnight of the 2nd it had twelve hours already
    await gateway.one(run(1, [noon + 12 * hourMs, 112]));
    await app.settle();
    expect(hours(await fleet.days(liftId))).toEqual({
      '2026-03-02': 12,
      '2026-03-03': 8,
      '2026-03-04': 4,
    });
    const kind = 'closed_day_changed';
    const reason = 'readings arrived late';
    expect(await entries()).toEqual([
      { day: '2026-03-02', hours: 6, kind, reason },
      { day: '2026-03-03', hours: -4, kind, reason },
    ]);
    const subject = `asset/${liftId}`;
    const events = await fleet.events({ type: 'usage.closed_days_changed', subject });
    expect(events.map((event) => event.data)).toEqual([
      {
        meter: 'pto_hours',
        fromDay: '2026-03-02',
        toDay: '2026-03-03',
        days: 2,
        grains: 2 * 3600,
        reason,
      },
    ]);
    // once more the same: no day changes, nothing is told
    await gateway.one(run(1, [noon + 12 * hourMs, 112]));
    await app.settle();
    expect(await entries()).toHaveLength(2);
  });

  test('readings in order say nothing of closed days', async () => {
    const { gateway, liftId } = await fleet.truck({ counters: [hourly] });
    for (let day = 0; day < 4; day += 1) {
      await gateway.one(run(day, [startMs + day * dayMs, 100 + 6 * day]));
      await app.settle();
    }
    const subject = `asset/${liftId}`;
    expect(await fleet.events({ type: 'usage.closed_days_changed', subject })).toEqual([]);
  });

  test('a reset that later readings disprove is taken back, with its event kept', async () => {
    const { gateway, liftId } = await fleet.truck({ counters: [liftCounter] });
    const post = (seq: number, minute: number, raw: number) =>
      gateway.one({ counter: 'lifts', ...run(seq, [startMs + minute * 60_000, raw]) });
    await post(0, 0, 5_000);
    await post(1, 10, 5_002);
    await post(2, 20, 0);
    await app.settle();
    expect(await gateway.verdicts()).toEqual(['2 reset']);
    await post(3, 30, 5_004);
    await app.settle();
    expect(await gateway.verdicts()).toEqual(['2 spike']);
    expect(await fleet.days(liftId, 'lift_cycles')).toEqual({ '2026-03-02': 4 });
    const lines = await app.db.owner.query(
      `select c.line_id from liftwright.counter c where c.gateway_id = $1`,
      [gateway.id],
    );
    const subject = `line/${lines.rows[0].line_id}`;
    const told = (await fleet.events({ subject })).map((event) => event.type);
    expect(told).toEqual(['reading.reset', 'reading.spike']);
  });
});

describe('asking for usage', () => {
  test.each([
    ['from after to', 'from=2026-03-05&to=2026-03-04', 400, 'query_invalid'],
    ['more than 400 days', 'from=2025-01-01&to=2026-03-04', 400, 'query_invalid'],
    ['a day that there is not', 'from=2026-02-30', 400, 'query_invalid'],
    ['a year that nobody keeps', 'to=0000-01-01', 400, 'query_invalid'],
    ['the first day of all', 'to=0001-01-01', 400, 'query_invalid'],
  ])('%s is refused', async (_, query, status, code) => {
    const { liftId, unitId } = await fleet.truck({});
    for (const url of [`/v1/assets/${liftId}/usage`, `/v1/units/${unitId}/usage`]) {
      const answer = await fleet.client.get(`${url}?${query}`);
      expect([answer.status, answer.code]).toEqual([status, code]);
    }
  });

  test('400 days are answered, and one meter alone', async () => {
    const { gateway, liftId } = await fleet.truck({ counters: [hourly, liftCounter] });
    const lifts = { counter: 'lifts', firstSeq: 0, at: [startMs, startMs + hourMs], raw: [1, 4] };
    await gateway.post([run(0, [startMs, 1], [startMs + hourMs, 2]), lifts]);
    await app.settle();
    const url = `/v1/assets/${liftId}/usage?from=2025-02-04&to=2026-03-10`;
    const both = await fleet.client.read(url);
    expect(both.meters.map((meter: { meter: string }) => meter.meter).sort()).toEqual([
      'lift_cycles',
      'pto_hours',
    ]);
    const one = await fleet.client.read(`${url}&meter=lift_cycles`);
    expect(one.meters).toEqual([
      {
        meter: 'lift_cycles',
        adjusted: 0,
        unit: 'cycles',
        total: 3,
        totalGrains: 3,
        days: [{ day: '2026-03-02', use: 3, grains: 3 }],
      },
    ]);
    expect(text(startMs)).toBe('2026-03-02T18:00:00.000Z');
  });
});
