import { beforeAll, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder } from '../helpers/fleet.ts';
import { orderOfTellingChangesNothing } from './sources-scenario.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

test.each(Array.from({ length: 25 }, (_, i) => 100 + i))(
  'whatever is told in whatever order, use is that of what then stands (seed %i)',
  { timeout: 300_000 },
  async (seed) => {
    await orderOfTellingChangesNothing(app, fleet, seed, 150);
  },
);
