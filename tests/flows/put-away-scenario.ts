import { expect } from 'vitest';
import { compactReadings } from '../../src/flows/compact-readings.ts';
import { putAwayReadings } from '../../src/flows/put-away-readings.ts';
import type { TestApp } from '../helpers/app.ts';
import { dayMs, FleetBuilder, liftCounter } from '../helpers/fleet.ts';
import { dice, foldAnew, play, postingHistory, projection, stored } from './posting-history.ts';

const narrow = { ...liftCounter, widthBits: 16 };

/**
 * Two services get the same posts over months; one puts away what is older than a month, at random
 * moments. Answers, days and verdicts must be the same throughout, also when all is folded anew.
 */
export async function puttingAwayChangesNothing(
  keeping: TestApp,
  puttingAway: TestApp,
  seed: number,
  steps: number,
): Promise<void> {
  const roll = dice(seed);
  const played = [];
  for (const app of [puttingAway, keeping] as const) {
    const fleet = new FleetBuilder(app);
    const fromMs = app.clock.nowMs() - 30 * dayMs;
    played.push({ app, fleet, truck: await fleet.truck({ counters: [narrow], fromMs }) });
  }
  const [away, kept] = played as [(typeof played)[0], (typeof played)[0]];
  const months: number[] = [];
  const tidy = async () => {
    await compactReadings(puttingAway.deps);
    if (roll(2) === 0) await puttingAway.settle();
    months.push(...(await putAwayReadings(puttingAway.deps, 1)).months);
  };
  const history = postingHistory(roll, keeping.clock.nowMs(), {
    steps,
    perHour: 0.05,
    lateMs: 15 * dayMs,
  });
  // Gaps that are put away are closed, so these may differ.
  await play([away, kept], history, tidy, (answer) => ({
    ...answer,
    contiguous: null,
    missing: null,
  }));
  await tidy();
  const project = async ({ app, fleet, truck }: typeof away) => {
    // Segments differ where a cut lies within a day.
    const { segments, ...rest } = await projection(app, fleet, truck);
    const readings = segments.reduce((sum: number, each: number[]) => sum + each[5]!, 0);
    return { readings, ...rest };
  };
  const before = await project(kept);
  expect(before.readings).toBeGreaterThan(steps / 2);
  expect(await project(away)).toEqual(before);
  expect(months.length).toBeGreaterThan(0);
  const left = await stored(puttingAway, away.truck.gateway);
  const all = await stored(keeping, kept.truck.gateway);
  expect(left.readings).toBeLessThan(all.readings);
  await foldAnew(puttingAway);
  await foldAnew(keeping);
  expect(await project(kept)).toEqual(before);
  expect(await project(away)).toEqual(before);
}
