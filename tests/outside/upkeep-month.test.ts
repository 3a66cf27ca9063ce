import { expect, test } from 'vitest';
import { assessTask } from '../../src/domain/upkeep/assess-task.ts';
import { newGrid } from '../../src/domain/upkeep/next-grid.ts';
import { done, input, rule } from '../domain/upkeep/upkeep-input.ts';

// Calendar months kept to the month's end. The periods are those of 49 CFR part 396; that a month
// which is too short ends the period on its last day is common practice, no source. Days by hand.

const legal = (months: number) =>
  rule({ statutory: true, meters: [], calendar: { months }, limitThousandths: 1000 });

function lastDay(from: string, months: number): string | null {
  const grid = newGrid(done(from));
  return assessTask(input(from, { rule: legal(months), grid })).limit.day;
}

test.each([
  ['396.11(a)(4), driver report kept three months', '2026-01-31', 3, '2026-04-30'],
  ['396.11(a)(4), driver report kept three months', '2026-11-30', 3, '2027-02-28'],
  ['396.17(c), passed within the preceding 12 months', '2026-03-15', 12, '2027-03-15'],
  ['396.17(c), from a leap day', '2024-02-29', 12, '2025-02-28'],
  ['396.21(b), report kept 14 months', '2026-03-15', 14, '2027-05-15'],
  ['396.21(b), report kept 14 months', '2026-12-31', 14, '2028-02-29'],
  ['396.3(c), six months after control ends', '2026-08-31', 6, '2027-02-28'],
])('49 CFR %s: %s + %i months = %s', (_source, from, months, last) => {
  expect(lastDay(from, months)).toBe(last);
});

test.each([
  ['2027-03-15', 'in_window', null],
  ['2027-03-16', 'overrun', '2027-03-16'],
])('49 CFR 396.17(c): passed on 2026-03-15, on %s it is %s', (today, status, since) => {
  const a = assessTask(input(today, { rule: legal(12), grid: newGrid(done('2026-03-15')) }));
  expect(a).toMatchObject({ status, overrunSince: since });
});
