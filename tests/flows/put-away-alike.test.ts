import { test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { puttingAwayChangesNothing } from './put-away-scenario.ts';

const keeping = useApp();
const puttingAway = useApp();

test('whatever is posted, what is put away counts as before', { timeout: 120_000 }, async () => {
  await puttingAwayChangesNothing(keeping, puttingAway, 5, 100);
});
