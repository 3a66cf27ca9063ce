import { setTimeout as sleep } from 'node:timers/promises';
import type pg from 'pg';
import { expect } from 'vitest';
import { systemClock } from '../../src/clock.ts';
import { checkChain, firstHash } from '../../src/domain/events/event-chain.ts';
import { assessUnit } from '../../src/flows/assess-unit.ts';
import { foldLineUsage } from '../../src/flows/fold-usage.ts';
import { type FlowDeps, withWork } from '../../src/flows/work.ts';
import { markWholeLines } from '../../src/store/meter-source.ts';
import { type Pools, withFleet } from '../../src/store/pool.ts';
import { runLengthMax, runsWithin } from '../../src/store/reading.ts';
import { markUnits } from '../../src/store/unit-mark.ts';
import type { Client } from './client.ts';
import { adminKey, type Company } from './company.ts';
import { readOn, type SeenEvent } from './loader.ts';

const fleetId = 1;

/** Counts what waits to be folded, assessed or numbered, in one snapshot. */
async function waiting(owner: pg.Pool): Promise<number> {
  const { rows } = await owner.query<{ waiting: string }>(
    `select (select count(*) from liftwright.line_mark)
          + (select count(*) from liftwright.unit_mark)
          + (select count(*) from liftwright.outbox) as waiting`,
  );
  return Number(rows[0]?.waiting);
}

/** Waits until nothing waits; answers how long that took, in ms. */
export async function settled(owner: pg.Pool, withinMs: number): Promise<number> {
  const since = performance.now();
  // A connection may just have been cut.
  let left = await waiting(owner).catch(() => 1);
  while (left > 0) {
    if (performance.now() - since > withinMs) {
      throw new Error(`After ${withinMs} ms, ${left} marks or events still wait.`);
    }
    await sleep(50);
    left = await waiting(owner).catch(() => 1);
  }
  return performance.now() - since;
}

interface ShownUsage {
  meters: { meter: string; totalGrains: number; days: { day: string; grains: number }[] }[];
}

/** What the service says of each asset's use, against what the trucks did. */
export async function checkUsage(client: Client, company: Company): Promise<void> {
  for (const truck of company.trucks) {
    for (const { plan, at, totalGrains, days } of truck.series) {
      const range = `from=${dayText(at[0] as number, -2)}&to=${dayText(at.at(-1) as number, 2)}`;
      const path = `/v1/assets/${truck.assets[plan.kind]}/usage?${range}&meter=${plan.meter}`;
      const { meters } = await client.get<ShownUsage>(path, adminKey);
      const shown = {
        total: meters[0]?.totalGrains,
        days: meters[0]?.days.map(({ day, grains }) => [day, grains]),
      };
      const where = `truck ${truck.number}, ${plan.meter}`;
      expect(shown, where).toEqual({ total: totalGrains, days: [...days].sort() });
    }
  }
}

const dayText = (ms: number, days: number) =>
  new Date(ms + days * 86_400_000).toISOString().slice(0, 10);

/** Every reading is stored once, as it was sent, and none is in conflict. */
export async function checkReadings(owner: pg.Pool, pools: Pools, company: Company): Promise<void> {
  for (const truck of company.trucks) {
    for (const series of truck.series) {
      const { rows } = await owner.query<{ stream_id: string; conflicts: number }>(
        `select s.stream_id, (select count(*)::int from liftwright.reading_conflict k
           where k.fleet_id = s.fleet_id and k.stream_id = s.stream_id) as conflicts
         from liftwright.counter c
         join liftwright.stream s on s.fleet_id = c.fleet_id and s.counter_id = c.counter_id
         where c.gateway_id = $1 and c.name = $2`,
        [truck.gatewayId, series.plan.counter],
      );
      const where = `truck ${truck.number}, ${series.plan.counter}`;
      expect(rows, where).toEqual([expect.objectContaining({ conflicts: 0 })]);
      const streamId = Number(rows[0]?.stream_id);
      const runs = await withFleet(pools.app, fleetId, (tx) =>
        runsWithin(tx, fleetId, streamId, 0, series.raw.length * 2, runLengthMax),
      );
      const stored = runs.flatMap(({ firstSeq, at, raw }) =>
        Array.from(raw, (value, i) => [firstSeq + i, at[i], value]),
      );
      const sent = series.raw.map((raw, seq) => [seq, series.at[seq], raw]);
      expect(stored, where).toEqual(sent);
    }
  }
}

/**
 * The history has no gap and an unbroken chain, what a follower once read stands as it was, and
 * whatever was brought in is told exactly once.
 */
export async function checkEvents(
  client: Client,
  followed: readonly SeenEvent[],
  company: Company,
  dones: number,
): Promise<number> {
  const all: SeenEvent[] = [];
  while ((await readOn(client, all)) > 0);
  const chained = all.map(({ personal, hash, ...event }) => ({
    ...event,
    hash: Buffer.from(hash, 'hex'),
  }));
  expect(checkChain({ number: 0, hash: firstHash }, chained)).toBe(null);
  expect(all.slice(0, followed.length)).toEqual(followed);
  const told = new Map<string, number>();
  for (const { type } of all) told.set(type, (told.get(type) ?? 0) + 1);
  for (const [type, count] of company.added) expect(told.get(type), type).toBe(count);
  expect(told.get('task.done') ?? 0).toBe(dones);
  for (const type of ['reading.conflict', 'reading.lost']) expect(told.get(type)).toBe(undefined);
  return all.length;
}

/** Each thing exists once, whatever its request met. */
export async function checkThings(owner: pg.Pool, company: Company, dones: number): Promise<void> {
  const { rows } = await owner.query(
    `select (select count(*) from liftwright.yard)::int as yards,
       (select count(*) from liftwright.unit)::int as units,
       (select count(*) from liftwright.asset)::int as assets,
       (select count(*) from liftwright.install)::int as installs,
       (select count(*) from liftwright.gateway)::int as gateways,
       (select count(*) from liftwright.counter)::int as counters,
       (select count(*) from liftwright.stream)::int as streams,
       (select count(*) from liftwright.task_done)::int as dones`,
  );
  const { length } = company.trucks;
  const counters = company.added.get('counter.declared');
  expect(rows[0]).toEqual({
    yards: 1,
    units: length,
    assets: 2 * length,
    installs: 3 * length,
    gateways: length,
    counters,
    streams: counters,
    dones,
  });
}

/** An assessment without the moment of the next one. */
const judged = "assessment - 'nextCheckAtMs' - 'nextCheckDay'";

const quiet = { wake: () => undefined, changed: () => undefined };

/**
 * All that is derived stands as it does when it is derived anew: use by day, tasks, standings. A
 * fold or an assessment that a crash had skipped would show here.
 */
export async function checkDerived(owner: pg.Pool, pools: Pools): Promise<void> {
  const derived = async () => ({
    days: await textOf(owner, 'usage_day', 'asset_id, meter, day, line_id, grains'),
    tasks: await textOf(owner, 'upkeep_state', `asset_id, task_key, status, ${judged}`),
    standings: await textOf(owner, 'unit_standing', 'unit_id, status, rank, press_on'),
  });
  const before = await derived();
  const deps: FlowDeps = { pools, clock: systemClock, queue: quiet };
  const lines = await owner.query('select line_id from liftwright.fold_line order by 1');
  const units = await owner.query('select unit_id from liftwright.unit order by 1');
  const lineIds = lines.rows.map((row) => Number(row.line_id));
  const nowMs = systemClock.nowMs();
  await withFleet(pools.app, fleetId, async (tx) => {
    await markWholeLines(tx, fleetId, lineIds, nowMs);
    const unitIds = units.rows.map((row) => row.unit_id as string);
    await markUnits(tx, fleetId, unitIds, nowMs);
  });
  for (const lineId of lineIds) {
    await withWork(deps, fleetId, (work) => foldLineUsage(work, lineId));
  }
  for (const { unit_id } of units.rows) {
    await withWork(deps, fleetId, (work) => assessUnit(work, unit_id));
  }
  // The service may have taken some of them itself.
  await settled(owner, 60_000);
  expect(before.days.length).toBeGreaterThan(0);
  expect(before.tasks.length).toBeGreaterThan(0);
  expect(await derived()).toEqual(before);
}

async function textOf(owner: pg.Pool, table: string, columns: string): Promise<string[]> {
  const { rows } = await owner.query<{ text: string }>(
    `select (row(${columns}))::text as text from liftwright.${table} order by 1`,
  );
  return rows.map((row) => row.text);
}
