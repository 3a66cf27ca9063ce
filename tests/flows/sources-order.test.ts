import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder } from '../helpers/fleet.ts';
import { orderOfTellingChangesNothing } from './sources-scenario.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

test.each([1, 2, 3])(
  'whatever is told in whatever order, use is that of what then stands (seed %i)',
  { timeout: 120_000 },
  async (seed) => {
    const { grains, done, refused } = await orderOfTellingChangesNothing(app, fleet, seed, 60);
    // It would say nothing of a fleet without use, or of tellings that were all refused.
    expect(grains).toBeGreaterThan(0);
    expect([done > 12, refused > 0]).toEqual([true, true]);
  },
);
