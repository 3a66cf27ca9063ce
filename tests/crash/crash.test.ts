import { expect, test } from 'vitest';
import { inFreshDatabase } from './lab.ts';

/** A sample of the long test: the API dies three times, the workers live. */
test('killed in a request and in posts of both kinds: nothing is lost or doubled', async () => {
  const outcome = await inFreshDatabase({
    seed: 1,
    trucks: 1,
    readings: 120,
    dones: 5,
    layout: 'apart',
    crashes: [
      { point: 'request.after_commit', nth: 4 },
      { point: 'plain_post.after_statement', nth: 9 },
      { point: 'compared_post.before_commit', nth: 2 },
    ],
  });
  expect(outcome.kills).toBe(3);
  expect(outcome.faults).toEqual([]);
}, 120_000);
