import { describe } from 'vitest';
import { testHistory } from './play-history.ts';

/** A month in which two of the three zones set their clocks back. */
describe('a month of the invented company, through the real service', () => {
  testHistory(Date.UTC(2026, 10, 10, 20, 17), 30, 'a month', 600_000);
});
