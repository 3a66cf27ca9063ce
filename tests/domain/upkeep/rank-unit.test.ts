import { expect, test } from 'vitest';
import { assessTask } from '../../../src/domain/upkeep/assess-task.ts';
import { comparePressing, rankTask, rankUnit } from '../../../src/domain/upkeep/rank-unit.ts';
import type { OverrunEffect } from '../../../src/domain/upkeep/task-rule.ts';
import { fresh, HOUR, input, noon, rule, staleSince, useOn } from './upkeep-input.ts';

/** A task by key with `hours` of PTO time used and nothing else counting. */
function task(key: string, hours: number, overrunEffect: OverrunEffect = 'warn', silent = false) {
  const only = rule({ key, overrunEffect, calendar: null, meters: [rule().meters[0]!] });
  const now = noon('2026-10-10');
  return assessTask(
    input('2026-10-10', {
      rule: only,
      use: { pto_hours: useOn('2026-10-05', hours * HOUR) },
      sources: { pto_hours: silent ? staleSince(noon('2026-10-05')) : fresh(now) },
    }),
  );
}

test('the ranks, most pressing first', () => {
  const order = [
    task('no', 56, 'no'),
    task('limited', 56, 'limited'),
    task('warn', 56, 'warn'),
    task('none', 56, 'none'),
    task('window', 46),
    task('window_silent', 46, 'warn', true),
    task('silent', 10, 'warn', true),
    task('ahead', 10),
  ];
  expect(order.map(rankTask)).toEqual([1, 2, 3, 3, 4, 4, 4, 6]);
  expect(order[5]?.status).toBe('unknown');
});

test('a unit is as pressing as its most pressing task, and says why in that order', () => {
  const unit = rankUnit(
    [
      { asset: 'lift-1', assessment: task('window', 46) },
      { asset: 'lift-1', assessment: task('ahead', 1) },
      { asset: 'winch-1', assessment: task('late', 56, 'limited') },
      { asset: 'lift-1', assessment: task('later', 57, 'no') },
    ],
    2,
  );
  expect(unit).toMatchObject({
    rank: 1,
    status: 'overrun',
    orderDay: '2026-10-05',
    moreReasons: 1,
  });
  expect(unit.reasons).toEqual([
    {
      asset: 'lift-1',
      task: 'later',
      rank: 1,
      status: 'overrun',
      text: 'Past its limit since 2026-10-05: 57 of 50 PTO hours.',
    },
    {
      asset: 'winch-1',
      task: 'late',
      rank: 2,
      status: 'overrun',
      text: 'Past its limit since 2026-10-05: 56 of 50 PTO hours.',
    },
  ]);
});

test('a unit with nothing pressing gives the task that opens first', () => {
  const unit = rankUnit(
    [
      { asset: 'a', assessment: task('slow', 1) },
      { asset: 'a', assessment: task('soon', 40) },
    ],
    5,
  );
  expect(unit).toMatchObject({ rank: 6, status: 'ahead', orderDay: '2026-10-15', moreReasons: 0 });
  expect(unit.reasons.map((r) => r.task)).toEqual(['soon']);
});

test('a unit without tasks is unknown, not fine', () => {
  const unit = rankUnit([], 5);
  expect(unit).toMatchObject({ rank: 5, status: 'unknown', moreReasons: 0 });
  expect(unit.reasons).toMatchObject([{ asset: null, task: null }]);
  expect(unit.reasons[0]?.text).not.toBe('');
});

test('what one task hides makes the unit unknown, and its day the earlier one', () => {
  const open = task('window', 46);
  const hidden = {
    ...task('silent', 10),
    status: 'unknown' as const,
    unknownBecause: ['pto_hours'],
  };
  const limit = { ...hidden.limit, day: '2026-09-01' };
  const tasks = [open, { ...hidden, limit }].map((assessment) => ({ asset: 'lift-1', assessment }));
  for (const given of [tasks, [...tasks].reverse()]) {
    expect(rankUnit(given, 5)).toMatchObject({
      rank: 4,
      status: 'unknown',
      orderDay: '2026-09-01',
      reasons: [{ task: 'silent' }, { task: 'window' }],
    });
  }
});

test('within a rank the earlier day comes first, and no day last', () => {
  const list = [
    { rank: 4 as const, orderDay: null },
    { rank: 4 as const, orderDay: '2026-10-09' },
    { rank: 4 as const, orderDay: '2026-10-08' },
    { rank: 2 as const, orderDay: null },
  ];
  expect([...list].sort(comparePressing)).toEqual([list[3], list[2], list[1], list[0]]);
});
