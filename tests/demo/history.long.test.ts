import { describe } from 'vitest';
import { testHistory } from './play-history.ts';

/**
 * A winter with both changes of the clocks, and a seed that nobody has looked at more than
 * once.
 */
describe.each(['thistledown', 'another'])(
  'half a year of the invented company, seed %s',
  (seed) => {
    testHistory(Date.UTC(2026, 3, 20, 15, 2), 180, seed, 1_500_000);
  },
);
