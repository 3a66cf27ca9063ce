import { expect, test } from 'vitest';
import { assessTask } from '../../../src/domain/upkeep/assess-task.ts';
import { type Deferral, refuseDeferral } from '../../../src/domain/upkeep/deferral.ts';
import { newGrid } from '../../../src/domain/upkeep/next-grid.ts';
import { DAY_MS, done, fresh, HOUR, input, noon, rule, staleSince } from './upkeep-input.ts';

const texts = (a: ReturnType<typeof assessTask>) => a.reasons.map((r) => r.text);

const deferral: Deferral = {
  fromAtMs: noon('2026-10-10'),
  untilDay: '2026-10-20',
  untilUse: { pto_hours: 5 * HOUR },
  usedBefore: { pto_hours: 56 * HOUR },
  approver: 'R. Vance',
  restriction: 'no loads over 2,000 kg',
};

test('a deferral lifts the limit until its date or its use, whichever is first', () => {
  const at = (today: string, more: number) =>
    assessTask(
      input(today, {
        deferral,
        use: {
          pto_hours: {
            afterDone: 56 * HOUR,
            days: more > 0 ? [{ day: '2026-10-12', grains: more }] : [],
          },
        },
      }),
    );
  const held = at('2026-10-12', 5 * HOUR);
  expect(held).toMatchObject({
    status: 'in_window',
    effect: null,
    deferral: { state: 'active', approver: 'R. Vance', restriction: 'no loads over 2,000 kg' },
    limit: { day: '2026-10-12', past: false, by: 'deferral' },
  });
  expect(texts(held)).toContain(
    'Deferred until 2026-10-20 or 5 PTO hours more by R. Vance: no loads over 2,000 kg.',
  );
  expect(at('2026-10-12', 5 * HOUR + 1)).toMatchObject({
    status: 'overrun',
    overrunSince: '2026-10-12',
    deferral: { state: 'ended' },
  });
  expect(at('2026-10-20', 0).status).toBe('in_window');
  const ended = at('2026-10-21', 0);
  expect(ended).toMatchObject({ status: 'overrun', overrunSince: '2026-10-21' });
  expect(texts(ended)).toContain('The deferral by R. Vance ended on 2026-10-21.');
});

test('a meter gone silent under a deferral may have ended it', () => {
  const use = { pto_hours: { afterDone: 56 * HOUR, days: [] } };
  const since = noon('2026-10-10');
  const sources = { pto_hours: staleSince(since), lift_cycles: fresh(since + 2 * DAY_MS) };
  const a = assessTask(input('2026-10-12', { deferral, use, sources }));
  expect(a).toMatchObject({ status: 'unknown', unknownBecause: ['pto_hours'] });
});

test('a legal date is never deferred, and doing the task spends a deferral', () => {
  const legal = rule({
    statutory: true,
    calendar: { months: 1 },
    meters: [],
    limitThousandths: 1000,
  });
  const a = assessTask(
    input('2026-11-02', { rule: legal, deferral: { ...deferral, untilDay: '2026-12-01' } }),
  );
  expect(a).toMatchObject({
    status: 'overrun',
    deferral: { state: 'refused', reason: 'statutory' },
  });
  expect(texts(a)).toContain('Not deferred: a legal date cannot be deferred.');
  const grid = newGrid(done('2026-10-15'));
  expect(assessTask(input('2026-10-16', { deferral, grid })).deferral?.state).toBe('spent');
});

test('next check: the calendar, a projected date, a meter going stale, a deferral', () => {
  const quiet = { pto_hours: null, lift_cycles: null };
  const late = { ...fresh(noon('2027-01-01')) };
  const sources = { pto_hours: late, lift_cycles: late };
  const check = (today: string, changes: Parameters<typeof input>[1] = {}) =>
    assessTask(input(today, { rates: quiet, sources, ...changes })).nextCheckDay;
  expect(check('2026-10-11')).toBe('2026-10-28');
  expect(check('2026-10-28')).toBe('2026-10-31');
  expect(check('2026-10-31')).toBe('2026-11-04');
  const rates = { pto_hours: { grains: 28 * 3 * HOUR, days: 28 }, lift_cycles: null };
  expect(check('2026-10-11', { rates })).toBe('2026-10-26'); // 45 h at 3 h a day
  expect(
    check('2026-10-11', { sources: { pto_hours: fresh(noon('2026-10-11')), lift_cycles: late } }),
  ).toBe('2026-10-14');
  expect(check('2026-10-11', { deferral })).toBe('2026-10-21');
  // overrun already: what is left is the meters going stale
  expect(check('2026-11-05')).toBe('2027-01-04');
  const byDays = rule({ meters: [] });
  expect(check('2026-11-05', { rule: byDays })).toBeNull();
});

test('a deferral that ends before the ordinary limit does not bring the limit forward', () => {
  const early = { ...deferral, untilDay: '2026-10-12', usedBefore: {} };
  const a = assessTask(input('2026-10-11', { deferral: early }));
  expect(a.limit).toMatchObject({ day: '2026-11-03', by: 'calendar' });
});

test.each([
  [['lead'], {}, null],
  [['technician'], {}, 'role'],
  [['lead'], { mayExtend: 'admin' as const }, 'role'],
  [['admin'], { mayExtend: 'admin' as const }, null],
  [['admin'], {}, null],
  [['admin'], { mayExtend: 'nobody' as const }, 'nobody_may'],
  [['admin'], { statutory: true }, 'statutory'],
])('who may defer: %j with %j: %s', (roles, changes, refusal) => {
  expect(refuseDeferral(rule(changes), { pto_hours: HOUR }, roles)).toBe(refusal);
});

test('a deferral ends by use of the meters of the task', () => {
  expect(refuseDeferral(rule(), {}, ['lead'])).toBe('needs_use');
  expect(refuseDeferral(rule(), { winch_cycles: 3 }, ['lead'])).toBe('other_meter');
  expect(refuseDeferral(rule({ meters: [] }), {}, ['lead'])).toBeNull();
});
