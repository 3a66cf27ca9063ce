import { expect } from 'vitest';
import { compactRuns } from '../../src/store/compaction.ts';
import type { TestApp } from '../helpers/app.ts';
import { dayMs, type FleetBuilder, liftCounter } from '../helpers/fleet.ts';
import {
  dice,
  everyReading,
  foldAnew,
  play,
  postingHistory,
  projection,
  stored,
} from './posting-history.ts';

const narrow = { ...liftCounter, widthBits: 16 };

/**
 * Two trucks post the same; the runs of one are joined at random moments. Every answer, every
 * reading as it is stored, and everything that the fold makes of them must be the same, before and
 * after everything is folded anew.
 */
export async function compactingChangesNothing(
  app: TestApp,
  fleet: FleetBuilder,
  seed: number,
  steps: number,
): Promise<void> {
  const roll = dice(seed);
  const twins = {
    tidied: await fleet.truck({ counters: [narrow] }),
    left: await fleet.truck({ counters: [narrow] }),
  };
  const { rows } = await app.db.owner.query(
    `select s.stream_id from liftwright.stream s join liftwright.counter c using (counter_id)
     where c.gateway_id = $1`,
    [twins.tidied.gateway.id],
  );
  const streamId = Number(rows[0].stream_id);
  /** Up to a random midnight, in pages of random size. */
  const compact = async (days = roll(3)) => {
    const beforeMs = (Math.floor(app.clock.nowMs() / dayMs) - days) * dayMs;
    const most = 2 + roll(40);
    let after: number | null = -1;
    while (after !== null) {
      const done = await compactRuns(app.db.pools.scheduler, 1, streamId, beforeMs, after, most);
      after = done.goOnAfter;
    }
  };
  const history = postingHistory(roll, app.clock.nowMs(), { steps });
  const played = [
    { app, truck: twins.tidied },
    { app, truck: twins.left },
  ] as const;
  await play(played, history, compact);
  const before = await projection(app, fleet, twins.left);
  expect(before.segments.length).toBeGreaterThan(2);
  expect(await projection(app, fleet, twins.tidied)).toEqual(before);
  await compact(0);
  const readings = await everyReading(app, twins.left.gateway);
  expect(await everyReading(app, twins.tidied.gateway)).toEqual(readings);
  const [joined, posted] = [
    await stored(app, twins.tidied.gateway),
    await stored(app, twins.left.gateway),
  ];
  expect(joined.readings).toBe(posted.readings);
  expect(joined.rows).toBeLessThan(posted.rows);
  await foldAnew(app);
  expect(await projection(app, fleet, twins.left)).toEqual(before);
  expect(await projection(app, fleet, twins.tidied)).toEqual(before);
  for (const { post } of history.slice(-60)) {
    if (post === null) continue;
    const again = [await twins.tidied.gateway.one(post), await twins.left.gateway.one(post)];
    expect(again[0]).toEqual(again[1]);
  }
}
