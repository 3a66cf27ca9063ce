import { beforeAll, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder } from '../helpers/fleet.ts';
import { compactingChangesNothing } from './compact-scenario.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

test.each(Array.from({ length: 30 }, (_, i) => 100 + i))(
  'joining runs changes nothing else (seed %i)',
  { timeout: 300_000 },
  async (seed) => {
    await compactingChangesNothing(app, fleet, seed, 250);
  },
);
