import { beforeAll, describe, expect, test } from 'vitest';
import { compactReadings } from '../../src/flows/compact-readings.ts';
import { keepMonths, putAwayReadings } from '../../src/flows/put-away-readings.ts';
import { rebuildUsage } from '../../src/flows/rebuild-usage.ts';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  hourMs,
  ptoCounter,
  run,
  type Truck,
  text,
} from '../helpers/fleet.ts';
import { stored } from './posting-history.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  await app.goTo(Date.UTC(2026, 2, 10, 6));
  truck = await fleet.truck({});
  await post(1, 10, 50);
});

/** Readings in hours: one tick of 0.05 h each; the numbers between are left out. */
async function post(firstSeq: number, count: number, step: number): Promise<void> {
  for (let i = 0; i < count; i += 1) {
    await app.goTo(app.clock.nowMs() + 5 * hourMs);
    const seq = firstSeq + i * step;
    await truck.gateway.one(run(seq, [app.clock.nowMs(), seq]));
  }
  await app.settle();
}
const awayAfter = (ms: number) => app.goTo(app.clock.nowMs() + ms);
const detached = async (): Promise<string[]> => {
  const { rows } = await app.db.owner.query(
    `select relname from pg_class where relname like 'reading_run_2%' and relkind = 'r'
       and not relispartition order by 1`,
  );
  return rows.map(({ relname }) => relname);
};

describe('months of readings that are not kept', () => {
  test('stay until every line there has a checkpoint behind them', async () => {
    await awayAfter(60 * dayMs);
    await compactReadings(app.deps);
    await post(1_000, 3, 1);
    expect(await putAwayReadings(app.deps, 2)).toEqual({ months: [], waiting: null });
    await truck.gateway.one(run(1_003, [app.clock.nowMs(), 1_003]));
    const { months, waiting } = await putAwayReadings(app.deps, 1);
    expect(months).toEqual([Date.UTC(2026, 1, 1)].filter((ms) => months.includes(ms)));
    expect(waiting?.monthMs).toBe(Date.UTC(2026, 2, 1));
    expect(waiting?.why).toMatch(/^1 lines cannot be cut yet; line \d+ of fleet 1: .*not folded/);
    expect(await detached()).not.toContain('reading_run_202603');
    await app.settle();
  });

  test('are detached, and the use is what it was, also folded anew', async () => {
    const before = await fleet.days(truck.liftId);
    expect(Object.keys(before).length).toBeGreaterThan(2);
    const all = await stored(app, truck.gateway);
    const { months, waiting } = await putAwayReadings(app.deps, 1);
    expect({ months, waiting }).toEqual({ months: [Date.UTC(2026, 2, 1)], waiting: null });
    expect(await detached()).toContain('reading_run_202603');
    expect(await stored(app, truck.gateway)).toEqual({ rows: 4, readings: all.readings - 10 });
    expect(await rebuildUsage(app.deps, 1)).toMatchObject({ daysChanged: 0 });
    await app.settle();
    expect(await fleet.days(truck.liftId)).toEqual(before);
    expect(await putAwayReadings(app.deps, 1)).toEqual({ months: [], waiting: null });
  });

  test('a number put away is a duplicate, one that had not come is too late', async () => {
    const again = await truck.gateway.one(run(1, [1, 1]));
    expect(again).toMatchObject({ accepted: 0, duplicate: 1, conflict: 0, refused: [] });
    for (const seq of [2, 0, 450]) {
      const late = await truck.gateway.one(run(seq, [Date.UTC(2026, 2, 10), 2]));
      expect(late).toMatchObject({ accepted: 0, duplicate: 0, contiguous: 451 });
      expect(late.refused).toEqual([{ from: seq, to: seq, verdict: 'too_late' }]);
    }
    const mixed = await truck.gateway.one(run(450, [1, 1], [1, 1]));
    expect(mixed).toMatchObject({ accepted: 0, duplicate: 1, contiguous: 451 });
    expect(mixed.refused).toEqual([{ from: 450, to: 450, verdict: 'too_late' }]);
    await app.settle();
    const days = await fleet.days(truck.liftId);
    expect(Object.values(days).reduce((a, b) => a + b, 0)).toBe(1_002 * 180);
  });

  test('a late reading right behind the cut counts where it belongs', async () => {
    const before = await fleet.days(truck.liftId);
    // Of the day that the cut is in: the checkpoint there is not gone on with.
    const cutMs = Date.UTC(2026, 2, 10, 6) + 50 * hourMs;
    await truck.gateway.one(run(452, [cutMs + hourMs, 470]));
    await app.settle();
    const after = await fleet.days(truck.liftId);
    const sum = (days: Record<string, number>) => Object.values(days).reduce((a, b) => a + b, 0);
    expect(sum(after)).toBe(sum(before));
    expect(after['2026-03-12']).toBeGreaterThan(before['2026-03-12'] as number);
    expect(await rebuildUsage(app.deps, 1)).toMatchObject({ daysChanged: 0 });
    expect(await fleet.days(truck.liftId)).toEqual(after);
    await app.settle();
  });

  test('a correction that reaches behind the cut changes what follows, and says so', async () => {
    const before = await fleet.days(truck.liftId);
    const other = await fleet.unit(await fleet.yard());
    await fleet.install(other, { assetId: truck.liftId }, Date.UTC(2026, 2, 11), { move: true });
    await app.settle();
    const after = await fleet.days(truck.liftId);
    expect(Object.keys(after).length).toBeLessThan(Object.keys(before).length);
    // The readings behind the cut end on 12 March.
    const behind = (days: Record<string, number>) =>
      Object.entries(days).filter(([day]) => day < '2026-03-12');
    expect(behind(after).length).toBeGreaterThan(0);
    expect(behind(after)).toEqual(behind(before));
    const told = await fleet.events({ type: 'usage.kept_behind_cut' });
    expect(told.length).toBeGreaterThan(0);
    expect(told[0]?.data).toMatchObject({ meter: 'pto_hours', ordinal: 0, seq: 451 });
  });

  test('leave with a leaving fleet and go along with an export', async () => {
    const text = await app.admin.call({ url: '/v1/export', undocumented: true });
    expect(String(text.body)).toContain('"table":"reading_run_202603"');
    const { rows } = await app.db.owner.query(
      `select relrowsecurity and relforcerowsecurity as forced,
         (select count(*)::int from pg_policy p where p.polrelid = c.oid) as policies
       from pg_class c where relname = 'reading_run_202603'`,
    );
    expect(rows).toEqual([{ forced: true, policies: 2 }]);
  });
});

describe('what somebody must be told', () => {
  test('a month to come that is missing', async () => {
    await keepMonths(app.deps);
    await app.db.owner.query(
      `drop table liftwright.reading_run_${text(app.clock.nowMs() + 40 * dayMs)
        .slice(0, 7)
        .replace('-', '')}`,
    );
    await expect(keepMonths(app.deps)).rejects.toThrow(/no partition for readings of 2026-0\d$/);
    await app.goTo(app.clock.nowMs());
    await keepMonths(app.deps);
  });

  test('a month that waits for more than a week', async () => {
    const deps = { ...app.deps, readingsKeepMonths: 1 };
    await app.goTo(Date.UTC(2026, 6, 3));
    await post(2_000, 1, 1);
    await app.goTo(Date.UTC(2026, 8, 3));
    await truck.gateway.one(run(2_002, [app.clock.nowMs(), 2_002]));
    await app.goTo(Date.UTC(2026, 8, 12));
    await expect(keepMonths(deps)).rejects.toThrow(
      /readings of 2026-0\d are not put away: 1 lines/,
    );
    await app.settle();
    await keepMonths(deps);
    expect(await detached()).toContain('reading_run_202607');
  });

  test('a gateway that comes back to a controller after the cut is not cut off', async () => {
    const controller = { ...ptoCounter, scope: 'controller', controller: 'C-7' };
    const first = await fleet.truck({ counters: [controller] });
    const second = await fleet.gateway();
    await fleet.install(first.unitId, { gatewayId: second.id }, app.clock.nowMs() - dayMs);
    await first.gateway.one(run(0, [app.clock.nowMs(), 10]));
    await second.declare(controller);
    await second.one(run(0, [app.clock.nowMs(), 11]));
    await app.settle();
    await app.goTo(Date.UTC(2026, 10, 2));
    await first.gateway.one(run(1, [app.clock.nowMs(), 20]));
    await app.settle();
    const { months, waiting } = await putAwayReadings(app.deps, 1);
    expect(months).not.toContain(Date.UTC(2026, 8, 1));
    expect(waiting?.why).toMatch(/an earlier stream of the line still gets readings/);
  });
});
