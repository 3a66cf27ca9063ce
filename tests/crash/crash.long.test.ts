import { afterAll, describe, expect, test } from 'vitest';
import { inFreshDatabase, type Plan } from './lab.ts';
import type { Outcome } from './scenario.ts';
import type { Crash } from './subject.ts';

const results: string[] = [];

async function run(title: string, plan: Plan): Promise<Outcome> {
  const outcome = await inFreshDatabase(plan);
  const { kills, posts, unanswered, events, drainMs } = outcome;
  results.push(
    [title.padEnd(60), `${kills} killed`, `${posts} posts, ${unanswered} unanswered`]
      .concat(`${events} events`, `all worked on after ${(drainMs / 1000).toFixed(1)} s`)
      .join('; '),
  );
  return outcome;
}

afterAll(() => {
  process.stdout.write(`${results.sort().join('\n')}\n`);
});

/**
 * The API dies at one point after the other, each with the numbers given; workers live on in a
 * process of their own, so that what the API acknowledged is worked on at once.
 */
const inTheApi: Crash['point'][] = [
  'request.before_commit',
  'request.after_commit',
  'plain_post.before_statement',
  'plain_post.after_statement',
  'compared_post.before_commit',
  'compared_post.after_commit',
  'work.before_commit',
  'work.after_commit',
];
const apiTimes = [
  [1, 1, 1, 1, 1, 1, 1, 1],
  [8, 6, 7, 9, 3, 4, 2, 5],
  [13, 3, 15, 4, 6, 2, 7, 3],
];

describe.concurrent('the API is killed at each of its commit points in turn', () => {
  test.each(apiTimes.map((times, i) => [times, i] as const))('times %j', async (times, index) => {
    const crashes = inTheApi.map((point, i) => ({ point, nth: times[i] as number }));
    const outcome = await run(`each point of the API, times ${times}`, {
      seed: 100 + index,
      layout: 'apart',
      trucks: 4,
      readings: 400,
      dones: 24,
      crashes,
    });
    expect(outcome.kills).toBe(inTheApi.length);
    expect(outcome.faults).toEqual([]);
  });
});

/** Many trucks, so that their posts come together. */
describe.concurrent('the API is killed in a group of posts', () => {
  test.each([
    [1, 1],
    [5, 3],
  ])('times %i and %i', async (before, after) => {
    const outcome = await run(`a group of posts, times ${before} and ${after}`, {
      seed: 150 + before,
      layout: 'apart',
      trucks: 16,
      readings: 150,
      dones: 4,
      crashes: [
        { point: 'post_group.before_statement', nth: before },
        { point: 'post_group.after_statement', nth: after },
      ],
    });
    expect(outcome.kills).toBe(2);
    expect(outcome.faults).toEqual([]);
  });
});

type When = 'start' | 'load' | 'end';
type Row = [point: Crash['point'], nth: number, layout: 'one' | 'apart', when: When];

const inTheWorker: Row[] = [
  ['fold.segments_written', 9, 'apart', 'load'],
  ['fold.segments_written', 2, 'one', 'end'],
  ['fold.before_commit', 9, 'apart', 'load'],
  ['fold.before_commit', 2, 'one', 'end'],
  ['fold.after_commit', 9, 'apart', 'load'],
  ['fold.after_commit', 2, 'one', 'end'],
  ['assess.before_commit', 2, 'one', 'start'],
  ['assess.before_commit', 1, 'apart', 'end'],
  ['assess.after_commit', 2, 'one', 'start'],
  ['assess.after_commit', 1, 'one', 'end'],
  ['sequence.events_inserted', 2, 'one', 'start'],
  ['sequence.events_inserted', 1, 'apart', 'end'],
  ['sequence.before_commit', 2, 'one', 'start'],
  ['sequence.before_commit', 1, 'one', 'end'],
  ['sequence.after_commit', 2, 'one', 'start'],
  ['sequence.after_commit', 1, 'apart', 'end'],
  ['work.before_commit', 30, 'one', 'load'],
  ['work.before_commit', 3, 'one', 'end'],
  ['work.after_commit', 30, 'one', 'load'],
  ['work.after_commit', 3, 'one', 'end'],
];

const armedAt = { start: 'crashes', load: 'crashUnderLoad', end: 'crashAtEnd' } as const;

/** Each alone, because a killed worker's jobs stay locked for a while. */
describe.concurrent('a worker is killed at each of its commit points', () => {
  test.each(inTheWorker.map((row, i) => [...row, i] as const))(
    '%s, time %i, %s, at %s',
    async (point, nth, layout, when, index) => {
      const crash = { point, nth };
      const outcome = await run(`${point} #${nth} ${layout} ${when}`, {
        seed: 200 + index,
        layout,
        [armedAt[when]]: when === 'start' ? [crash] : crash,
      });
      expect(outcome.kills).toBe(1);
      expect(outcome.faults).toEqual([]);
    },
  );
});

const sequences: [title: string, crashes: Crash[]][] = [
  [
    'in the fold, in its repeat, and after it',
    [
      { point: 'fold.before_commit', nth: 8 },
      { point: 'fold.segments_written', nth: 1 },
      { point: 'fold.after_commit', nth: 1 },
    ],
  ],
  [
    'in a request, in posts, and in the fold of them',
    [
      { point: 'request.after_commit', nth: 6 },
      { point: 'plain_post.after_statement', nth: 3 },
      { point: 'compared_post.after_commit', nth: 2 },
      { point: 'fold.segments_written', nth: 1 },
    ],
  ],
];

describe.concurrent('one process for everything, killed again while it recovers', () => {
  test.each(sequences)('%s', async (title, crashes) => {
    const outcome = await run(title, { seed: 300 + crashes.length, crashes });
    expect(outcome.kills).toBe(crashes.length);
    expect(outcome.faults).toEqual([]);
  });
});
