import { test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { puttingAwayChangesNothing } from './put-away-scenario.ts';

const keeping = useApp();
const puttingAway = useApp();

test.each(Array.from({ length: 10 }, (_, i) => 200 + i))(
  'what is put away counts as before (seed %i)',
  { timeout: 600_000 },
  async (seed) => {
    await puttingAwayChangesNothing(keeping, puttingAway, seed, 220);
  },
);
