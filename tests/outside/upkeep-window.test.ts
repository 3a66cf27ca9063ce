import { expect, test } from 'vitest';
import { assessTask } from '../../src/domain/upkeep/assess-task.ts';
import { newGrid, nextGrid } from '../../src/domain/upkeep/next-grid.ts';
import { done, fresh, HOUR, input, noon, rule } from '../domain/upkeep/upkeep-input.ts';

// Windows by 90, 100 and 110 % of whichever of hours, lifts and days comes first, and keeping the
// grid of work done inside the window, are common practice, no source. The arithmetic is by hand.

const HUNDRED_HOURS = { meter: 'pto_hours', grains: 100 * HOUR };
const task = rule({ key: 'rope_check', meters: [HUNDRED_HOURS], calendar: { days: 30 } });
/** Last done at 1400.0 h on 2026-10-01, now 1483.25 h on 2026-10-28. */
const used = 148_325 * 36 - 140_000 * 36;
const read = {
  rule: task,
  use: { pto_hours: { afterDone: 0, days: [{ day: '2026-10-27', grains: used }] } },
  sources: { pto_hours: fresh(noon('2026-10-28')) },
  rates: { pto_hours: { grains: used, days: 27 } },
};

test('common practice, no source: 83.25 h of 100 and 27 days of 30 opens by days', () => {
  const a = assessTask(input('2026-10-28', read));
  const [days, hours] = a.measures;
  expect(hours?.used).toBe(83.25 * HOUR * 1000);
  expect(days?.used).toBe(27_000);
  expect(a).toMatchObject({ status: 'in_window', driver: 'calendar' });
  expect(a.opens).toMatchObject({ day: '2026-10-28', past: true, by: 'calendar' });
  // 3.0833 h a day: 100 h in 5.43 days, 110 h in 8.68 days; the 30 days are over first, in 3 days
  expect(hours?.full.day).toBe('2026-11-03'); // on the sixth day from now
  expect(hours?.limit.day).toBe('2026-11-05'); // eight whole days fit
  expect(a.full).toMatchObject({ day: '2026-10-31', by: 'calendar' });
  expect(a.limit).toMatchObject({ day: '2026-11-03', by: 'calendar' });
});

test('common practice, no source: lifts missing, the other two evaluated, dates partial', () => {
  const withLifts = { ...task, meters: [HUNDRED_HOURS, { meter: 'lift_cycles', grains: 300 }] };
  const a = assessTask(input('2026-10-28', { ...read, rule: withLifts }));
  expect(a.knownStatus).toBe('in_window');
  expect(a.forecast.partial).toEqual(['lift_cycles']);
  expect(a.full).toMatchObject({ day: '2026-10-31', by: 'calendar' });
  // what the lifts could be is not passed over in silence
  expect(a).toMatchObject({ status: 'unknown', unknownBecause: ['lift_cycles'] });
});

test.each([
  [11_000, 'in_window'],
  [11_005, 'overrun'],
])(
  'common practice, no source: exactly 110 h is due, 110.05 h is late (%i)',
  (hundredths, status) => {
    const days = [{ day: '2026-10-05', grains: hundredths * 36 }];
    const use = { pto_hours: { afterDone: 0, days } };
    expect(assessTask(input('2026-10-06', { ...read, use })).status).toBe(status);
  },
);

test('common practice, no source: inside the window the grid is kept, outside it re-bases', () => {
  const use = (hours: number) => ({
    pto_hours: { afterDone: 0, days: [{ day: '2026-10-09', grains: hours * HOUR }] },
  });
  const left = (hours: number) => {
    const step = nextGrid(task, newGrid(done('2026-10-01')), done('2026-10-10'), use(hours), []);
    const next = assessTask(input('2026-10-10', { ...read, grid: step.grid, use: {} }));
    return (next.measures[1]?.full.left ?? 0) / (HOUR * 1000);
  };
  expect(left(92)).toBe(108); // scheduled 100 + interval 100 - done 92
  expect(left(80)).toBe(100); // done + interval
  expect(left(111)).toBe(100);
});
