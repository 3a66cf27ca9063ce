import { expect, test } from 'vitest';
import { assessTask } from '../../../src/domain/upkeep/assess-task.ts';
import { newGrid } from '../../../src/domain/upkeep/next-grid.ts';
import {
  DAY_MS,
  done,
  evenUse,
  fresh,
  HOUR,
  input,
  noon,
  rule,
  staleSince,
  useOn,
} from './upkeep-input.ts';

const texts = (a: ReturnType<typeof assessTask>) => a.reasons.map((r) => r.text);

test.each([
  // [grains of PTO time on 2026-10-05, status]: the edges belong inside
  [45 * HOUR - 1, 'ahead'],
  [45 * HOUR, 'in_window'],
  [50 * HOUR, 'in_window'],
  [55 * HOUR, 'in_window'],
  [55 * HOUR + 1, 'overrun'],
])('%i s of PTO time: %s', (grains, status) => {
  const a = assessTask(input('2026-10-06', { use: { pto_hours: useOn('2026-10-05', grains) } }));
  expect(a.status).toBe(status);
  expect(a.knownStatus).toBe(status);
});

test.each([
  // 30 days: opens after 27, the limit is 33, both inside
  ['2026-10-27', 'ahead'],
  ['2026-10-28', 'in_window'],
  ['2026-10-31', 'in_window'],
  ['2026-11-03', 'in_window'],
  ['2026-11-04', 'overrun'],
])('30 days after 2026-10-01, on %s: %s', (today, status) => {
  expect(assessTask(input(today)).status).toBe(status);
});

test.each([
  // 27 days: 0.9 is 24.3 and 1.1 is 29.7; no day outside the exact window is inside
  ['2026-10-25', 'ahead'],
  ['2026-10-26', 'in_window'],
  ['2026-10-30', 'in_window'],
  ['2026-10-31', 'overrun'],
])('27 days after 2026-10-01, on %s: %s', (today, status) => {
  const task = rule({ calendar: { days: 27 }, meters: [] });
  expect(assessTask(input(today, { rule: task })).status).toBe(status);
});

test('an overrun names the day it began, what drives it and what it takes away', () => {
  const use = { pto_hours: evenUse('2026-10-01', 20, 3 * HOUR) };
  const a = assessTask(input('2026-10-21', { use }));
  expect(a).toMatchObject({
    status: 'overrun',
    driver: 'pto_hours',
    overrunSince: '2026-10-20', // 57 h, the first day beyond 55 h
    opens: { day: '2026-10-16', past: true, by: 'pto_hours' },
    full: { day: '2026-10-18', past: true },
    limit: { day: '2026-10-20', past: true },
    effect: { effect: 'no', functions: ['wheel_lift'] },
  });
  expect(texts(a)).toEqual([
    'Past its limit since 2026-10-20: 60 of 50 PTO hours.',
    'It takes away: wheel lift.',
  ]);
});

test('the earliest crossing drives, not the measure that is furthest by now', () => {
  const use = {
    pto_hours: useOn('2026-10-09', 60 * HOUR),
    lift_cycles: useOn('2026-10-08', 166),
  };
  expect(assessTask(input('2026-10-10', { use }))).toMatchObject({
    driver: 'lift_cycles',
    overrunSince: '2026-10-08',
  });
});

test('dates of a task ahead come from mean rates and the calendar, whichever is first', () => {
  const use = { pto_hours: useOn('2026-10-10', 20 * HOUR), lift_cycles: useOn('2026-10-10', 30) };
  const a = assessTask(input('2026-10-11', { use }));
  const [calendar, pto, lifts] = a.measures;
  expect(a.forecast).toEqual({ method: 'mean_rate_28d', partial: [] });
  expect(calendar?.opens.day).toBe('2026-10-28');
  // 1 h a day: 25 h more to opens, 30 h to full, 35 h to the limit
  expect(pto?.opens).toEqual({
    at: 45 * HOUR * 1000,
    left: 25 * HOUR * 1000,
    day: '2026-11-05',
    past: false,
  });
  expect([pto?.full.day, pto?.limit.day]).toEqual(['2026-11-10', '2026-11-15']);
  // 3 lifts a day: 105 more to opens
  expect(lifts?.opens.day).toBe('2026-11-15');
  expect(a).toMatchObject({ driver: 'calendar', opens: { day: '2026-10-28', by: 'calendar' } });
  expect(texts(a)).toEqual(['Opens on 2026-10-28 by days.']);
});

test('projection rounds opens and full up to the first day, the limit down to the last', () => {
  const use = { pto_hours: useOn('2026-10-02', 1) };
  const rates = { pto_hours: { grains: 28 * 4 * HOUR, days: 28 }, lift_cycles: null };
  const pto = assessTask(input('2026-10-02', { use, rates })).measures[1];
  // 45 h less a second at 4 h a day is 11.25 days, 50 h 12.5, 55 h 13.75
  expect([pto?.opens.day, pto?.full.day, pto?.limit.day]).toEqual([
    '2026-10-14',
    '2026-10-15',
    '2026-10-15',
  ]);
});

test('no rate, no date, and the reason says which', () => {
  const task = rule({ calendar: null });
  const idle = { grains: 0, days: 28 };
  const a = assessTask(
    input('2026-10-11', { rule: task, rates: { pto_hours: idle, lift_cycles: null } }),
  );
  expect(a.measures.map((m) => m.noDay)).toEqual(['rate_zero', 'rate_unknown']);
  expect(a.opens).toEqual({ day: null, past: false, by: null, noDay: 'rate_zero' });
  expect(a.forecast.partial).toEqual(['lift_cycles']);
  expect(texts(a)).toEqual([
    'No date can be given: it was not used on the full days of the last 28.',
    'The dates leave out lift cycles.',
  ]);
});

test('never done is unknown, with a reason and nothing to wait for', () => {
  const a = assessTask(input('2026-10-11', { grid: null }));
  expect(a).toMatchObject({ status: 'unknown', nextCheckAtMs: null, effect: null });
  expect(texts(a)).toEqual(['Nothing says when it was last done.']);
});

test('an estimated last-done date is said to be one', () => {
  const grid = newGrid(done('2026-10-01', { estimated: true }));
  expect(texts(assessTask(input('2026-10-11', { grid })))).toContain(
    'That it was last done on 2026-10-01 is an estimate.',
  );
});

test('a stale meter is harmless until, at the fastest, it could open the window', () => {
  // known at 40 h of 50 until noon of the 10th: 5 h to opens, 15 h to beyond the limit
  const use = { pto_hours: useOn('2026-10-10', 40 * HOUR) };
  const since = noon('2026-10-10');
  const at = (ms: number, day: string) =>
    assessTask(
      input(day, {
        use,
        nowMs: ms,
        sources: {
          pto_hours: { kind: 'counting', knownUntilMs: since, staleAtMs: since, staleReason: 'x' },
          lift_cycles: fresh(ms),
        },
      }),
    );
  const before = at(since + 5 * 3_600_000 - 1, '2026-10-10');
  expect(before.status).toBe('ahead');
  expect(before.nextCheckAtMs).toBe(since + 5 * 3_600_000);
  expect(texts(before)[1]).toBe(
    'PTO hours not known since 2026-10-10 (x): which cannot change the answer yet.',
  );
  const after = at(since + 5 * 3_600_000, '2026-10-10');
  expect(after).toMatchObject({
    status: 'unknown',
    knownStatus: 'ahead',
    unknownBecause: ['pto_hours'],
    effect: null,
  });
  expect(texts(after)[0]).toBe(
    'PTO hours not known since 2026-10-10 (x): it may already be in its window.',
  );
});

test('a stale meter whose fastest use stays inside the window leaves it in its window', () => {
  const use = { pto_hours: useOn('2026-10-10', 46 * HOUR) };
  const since = noon('2026-10-10');
  const sources = { pto_hours: staleSince(since), lift_cycles: fresh(since) };
  const oneDayOn = (nowMs: number, today: string) =>
    assessTask(input(today, { use, nowMs, sources: { ...sources, lift_cycles: fresh(nowMs) } }));
  expect(oneDayOn(since + 9 * 3_600_000, '2026-10-10').status).toBe('in_window');
  const later = oneDayOn(since + DAY_MS, '2026-10-11');
  expect(later).toMatchObject({ status: 'unknown', knownStatus: 'in_window' });
});

test('overrun wins over unknown', () => {
  const use = { pto_hours: useOn('2026-10-10', 56 * HOUR) };
  const sources = { pto_hours: fresh(noon('2026-10-20')) };
  const a = assessTask(input('2026-10-20', { use, sources }));
  expect(a).toMatchObject({ status: 'overrun', unknownBecause: [], driver: 'pto_hours' });
  expect(texts(a)).toContain('Nothing counts lift cycles: which cannot change the answer yet.');
});

test('a meter without a source is bounded by the time since the task was done', () => {
  const grid = newGrid(done('2026-10-01'));
  const sources = { pto_hours: fresh(noon('2026-10-02')) };
  // 135 lifts at 12 s each take 27 minutes
  const at = (ms: number) =>
    assessTask(input('2026-10-01', { grid, sources, nowMs: noon('2026-10-01') + ms })).status;
  expect(at(26 * 60_000)).toBe('ahead');
  expect(at(27 * 60_000)).toBe('unknown');
});

test('severity counts from its date on, for use and for days', () => {
  const task = rule({ severity: { salt: 1500, dust: 1200 } });
  const salt = { kind: 'salt' as const, from: '2026-10-11', to: null, season: null };
  const dust = { kind: 'dust' as const, from: '2026-10-01', to: '2026-10-31', season: null };
  const use = { pto_hours: evenUse('2026-10-01', 20, HOUR) };
  const today = '2026-10-21';
  const used = (exposures: (typeof salt | typeof dust)[]) =>
    assessTask(input(today, { rule: task, use, exposures })).measures.map((m) => m.used);
  expect(used([])).toEqual([20_000, 20 * HOUR * 1000, 0]);
  // 9 days plain (2nd to 10th), 11 days at 1.5
  expect(used([salt])).toEqual([25_500, 25.5 * HOUR * 1000, 0]);
  // the larger factor holds; they are not multiplied
  expect(used([salt, dust])).toEqual([9 * 1200 + 11 * 1500, 27.3 * HOUR * 1000, 0]);
});

test('a severity to come moves the projected dates, a statutory task knows none', () => {
  const season = { from: '11-01', to: '03-31' };
  const salt = { kind: 'salt' as const, from: '2020-01-01', to: null, season };
  const task = rule({ severity: { salt: 2000 }, calendar: { days: 60 }, meters: [] });
  const a = assessTask(input('2026-10-11', { rule: task, exposures: [salt] }));
  // 30 plain days to 10-31, then each counts two: full after 15 more, limit 66 after 18
  expect([a.full.day, a.limit.day]).toEqual(['2026-11-15', '2026-11-18']);
  const legal = rule({
    statutory: true,
    calendar: { months: 2 },
    meters: [],
    limitThousandths: 1000,
  });
  const b = assessTask(input('2026-10-11', { rule: legal, exposures: [salt] }));
  expect([b.full.day, b.limit.day]).toEqual(['2026-12-01', '2026-12-01']);
});

test('the day of the check begins at the start of the yard day, also when clocks change', () => {
  const task = rule({ calendar: { days: 31 }, meters: [] });
  const a = assessTask(input('2026-11-01', { rule: task }));
  // full on 11-01 is today; beyond 34.1 days is 11-05, 00:00 in Chicago (UTC-6 by then)
  expect(a.nextCheckAtMs).toBe(Date.UTC(2026, 10, 5, 6));
});

test('use counted on a day after today counts today; corrections take a crossing back', () => {
  const use = {
    pto_hours: {
      afterDone: 0,
      days: [
        { day: '2026-10-08', grains: 56 * HOUR },
        { day: '2026-10-09', grains: -2 * HOUR },
        { day: '2026-10-12', grains: 2 * HOUR },
      ],
    },
  };
  expect(assessTask(input('2026-10-10', { use })).overrunSince).toBe('2026-10-10');
});

test('malformed input is refused, not guessed at', () => {
  const bad = (days: { day: string; grains: number }[]) => () =>
    assessTask(input('2026-10-10', { use: { pto_hours: { afterDone: 0, days } } }));
  expect(bad([{ day: '2026-10-08', grains: 0.5 }])).toThrow(RangeError);
  expect(bad([{ day: '2026-10-32', grains: 1 }])).toThrow(RangeError);
  expect(
    bad([
      { day: '2026-10-08', grains: 1 },
      { day: '2026-10-08', grains: 1 },
    ]),
  ).toThrow(RangeError);
  expect(() => assessTask(input('2026-10-10', { meters: [] }))).toThrow('no facts');
});

test('a level further on drives, though another measure came to its window first', () => {
  const use = { lift_cycles: useOn('2026-10-05', 140) };
  const a = assessTask(input('2026-10-31', { use }));
  expect(a).toMatchObject({
    status: 'in_window',
    driver: 'calendar',
    opens: { day: '2026-10-05', by: 'lift_cycles' },
    full: { day: '2026-10-31', past: true, by: 'calendar' },
  });
  expect(texts(a)[0]).toBe('Full interval reached 2026-10-31: 30 of 30 days.');
});

test('a second too much moves a projection by a day', () => {
  const opens = (used: number) =>
    assessTask(input('2026-10-11', { use: { pto_hours: useOn('2026-10-10', used) } })).measures[1]
      ?.opens.day;
  expect(opens(20 * HOUR)).toBe('2026-11-05');
  expect(opens(20 * HOUR - 1)).toBe('2026-11-06');
});

test('without any date the measure with the greatest share used drives', () => {
  const idle = { grains: 0, days: 28 };
  const use = { pto_hours: useOn('2026-10-10', 5 * HOUR), lift_cycles: useOn('2026-10-10', 16) };
  const rates = { pto_hours: idle, lift_cycles: idle };
  const driver = (lifts: number) => {
    const given = { ...use, lift_cycles: useOn('2026-10-10', lifts) };
    const task = rule({ calendar: null });
    return assessTask(input('2026-10-11', { rule: task, use: given, rates })).driver;
  };
  expect(driver(16)).toBe('lift_cycles');
  expect(driver(14)).toBe('pto_hours');
});

test('a meter silent since before the task was done is bounded from when it was done', () => {
  const nowMs = noon('2026-10-01') + 40 * 3_600_000;
  const sources = { pto_hours: staleSince(noon('2026-09-20')), lift_cycles: fresh(nowMs) };
  const a = assessTask(input('2026-10-03', { nowMs, sources }));
  expect(a.measures[1]).toMatchObject({ known: 'stale', most: 40 * HOUR * 1000 });
  expect(a).toMatchObject({ status: 'ahead' });
});

test('the severity that counts now is named', () => {
  const salt = { kind: 'salt' as const, from: '2026-01-01', to: null, season: null };
  const said = (factor: number) =>
    texts(
      assessTask(
        input('2026-10-11', { rule: rule({ severity: { salt: factor } }), exposures: [salt] }),
      ),
    ).filter((text) => text.startsWith('Salt'));
  expect(said(1500)).toEqual(['Salt counts 1.5 times now.']);
  expect(said(1000)).toEqual([]);
});
