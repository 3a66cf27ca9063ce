import { expect, test } from 'vitest';
import { assessTask } from '../../../src/domain/upkeep/assess-task.ts';
import type { DonePoint, MeterUse } from '../../../src/domain/upkeep/measure-task.ts';
import {
  type DoneRecord,
  MAX_DONES,
  newGrid,
  nextGrid,
  replayDone,
} from '../../../src/domain/upkeep/next-grid.ts';
import { done, evenUse, HOUR, input, noon, rule, useOn } from './upkeep-input.ts';

const H = HOUR * 1000;
const start = newGrid(done('2026-10-01'));

test('done early in the window: the driving meter keeps its grid, the others re-base', () => {
  const use = { pto_hours: useOn('2026-10-15', 46 * HOUR), lift_cycles: useOn('2026-10-15', 100) };
  const step = nextGrid(rule(), start, done('2026-10-16'), use, []);
  expect(step).toMatchObject({ where: 'in_window', kept: 'pto_hours' });
  expect(step.grid.carry).toEqual({ pto_hours: -4 * H });
  expect(step.grid.calendar).toEqual({ anchorDay: '2026-10-16', monthsFromAnchor: 0, carry: 0 });
  // next full = previous full + interval: 54 h after this done, 100 h after the first
  const measures = assessTask(input('2026-10-16', { grid: step.grid })).measures;
  expect(measures.map((m) => m.full.left)).toEqual([30_000, 54 * H, 150_000]);
});

test('done late in the window: the next interval is the shorter for it', () => {
  const use = { pto_hours: useOn('2026-10-15', 53 * HOUR) };
  const step = nextGrid(rule(), start, done('2026-10-16'), use, []);
  expect(step.grid.carry).toEqual({ pto_hours: 3 * H });
});

test.each([
  ['before_window', useOn('2026-10-05', 45 * HOUR - 1)],
  ['after_window', useOn('2026-10-05', 55 * HOUR + 1)],
])('%s: everything starts at the done point', (where, pto_hours) => {
  const step = nextGrid(rule(), start, done('2026-10-06'), { pto_hours }, []);
  expect(step).toMatchObject({ where, kept: null, grid: newGrid(done('2026-10-06')) });
});

test('days that drive keep their grid, days or months', () => {
  const byDays = nextGrid(rule(), start, done('2026-10-29'), {}, []);
  expect(byDays).toMatchObject({ kept: 'calendar' });
  expect(assessTask(input('2026-10-29', { grid: byDays.grid })).full.day).toBe('2026-11-30');
  const monthly = rule({ calendar: { months: 1 }, meters: [] });
  const from31 = newGrid(done('2026-01-31'));
  const first = nextGrid(monthly, from31, done('2026-02-27'), {}, []);
  const second = nextGrid(monthly, first.grid, done('2026-03-30'), {}, []);
  const full = (grid: typeof start, day: string) =>
    assessTask(input(day, { rule: monthly, grid })).full.day;
  expect(full(from31, '2026-02-01')).toBe('2026-02-28');
  // the 31st does not become the 28th for good
  expect(full(first.grid, '2026-02-27')).toBe('2026-03-31');
  expect(full(second.grid, '2026-03-30')).toBe('2026-04-30');
});

test('on a tie of days the calendar drives, which began before anything was used', () => {
  const use = { pto_hours: useOn('2026-10-28', 46 * HOUR) };
  expect(nextGrid(rule(), start, done('2026-10-29'), use, []).kept).toBe('calendar');
});

test('severity counts in the window that a done is judged by', () => {
  const task = rule({ severity: { salt: 1500 }, meters: [] });
  const salt = { kind: 'salt' as const, from: '2026-01-01', to: null, season: null };
  const step = nextGrid(task, start, done('2026-10-20'), {}, [salt]);
  expect(step).toMatchObject({ where: 'in_window', kept: 'calendar' });
  expect(step.grid.calendar.carry).toBe(19 * 1500 - 30_000);
});

test('a statutory task starts anew even in its window', () => {
  const legal = rule({
    statutory: true,
    calendar: { months: 12 },
    meters: [],
    limitThousandths: 1000,
  });
  const step = nextGrid(legal, newGrid(done('2026-03-15')), done('2027-03-01'), {}, []);
  expect(step).toMatchObject({ where: 'in_window', kept: null });
  const next = assessTask(input('2027-03-02', { rule: legal, grid: step.grid }));
  expect(next.limit.day).toBe('2028-03-01');
});

const record = (day: string, changes: Partial<DoneRecord> = {}): DoneRecord => ({
  ...done(day),
  voided: false,
  ...changes,
});
/** Two hours of PTO time each day, always. */
const steady = (from: DonePoint, to: DonePoint): Record<string, MeterUse> => ({
  pto_hours: evenUse(from.day, Math.round((to.atMs - from.atMs) / 86_400_000), 2 * HOUR),
});
const meterOnly = rule({ calendar: null, meters: [{ meter: 'pto_hours', grains: 50 * HOUR }] });
const replay = (history: DoneRecord[]) => replayDone(history, () => meterOnly, steady, []);

test('a history is replayed in the order in which things were done', () => {
  const a = record('2026-09-01');
  const b = record('2026-09-25'); // 48 h: in the window, 2 early
  const c = record('2026-10-21'); // 52 h on, 50 on the grid
  const inOrder = replay([a, b, c]);
  expect(inOrder.steps.map((s) => [s.where, s.kept, s.grid.carry.pto_hours ?? 0])).toEqual([
    ['first', null, 0],
    ['in_window', 'pto_hours', -2 * H],
    ['in_window', 'pto_hours', 0],
  ]);
  expect(replay([c, a, b])).toEqual(inOrder);
});

test('a voided done never happened, whichever of its records says so', () => {
  const a = record('2026-09-01');
  const b = record('2026-09-25');
  const c = record('2026-10-21');
  const without = replay([a, c]);
  expect(without.steps.map((s) => s.where)).toEqual(['first', 'after_window']);
  expect(replay([a, { ...b, voided: true }, c])).toEqual(without);
  expect(replay([{ ...b, voided: true }, c, b, a])).toEqual(without);
  expect(replay([{ ...a, voided: true }])).toEqual({ grid: null, steps: [] });
});

test('recorded twice is done once, and two at one instant go by id', () => {
  const a = record('2026-09-01');
  const b = record('2026-09-25');
  expect(replay([a, b, b, a])).toEqual(replay([a, b]));
  const twin = { ...b, id: 'another' };
  expect(replay([twin, b, a]).steps.map((s) => s.done.id)).toEqual([a.id, 'another', b.id]);
  const moved = { ...b, atMs: b.atMs + 5 };
  expect(replay([moved, b, a])).toEqual(replay([a, b, moved]));
});

test('each done is judged by the rule in force then', () => {
  const longer = { ...meterOnly, meters: [{ meter: 'pto_hours', grains: 100 * HOUR }] };
  const history = [record('2026-09-01'), record('2026-09-25'), record('2026-10-21')];
  const changed = replayDone(
    history,
    (at) => (at.atMs < noon('2026-10-01') ? meterOnly : longer),
    steady,
    [],
  );
  expect(changed.steps.map((s) => s.where)).toEqual(['first', 'in_window', 'before_window']);
});

test('a history without end is refused', () => {
  const history = Array.from({ length: MAX_DONES + 1 }, (_, i) =>
    record('2026-09-01', { id: String(i) }),
  );
  expect(() => replay(history)).toThrow(RangeError);
});
