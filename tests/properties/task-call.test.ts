import fc from 'fast-check';
import { expect, test } from 'vitest';
import { assessTask } from '../../src/domain/upkeep/assess-task.ts';
import { comparePressing, orderDayOf, rankTask } from '../../src/domain/upkeep/rank-unit.ts';
import { CALL_CAUSES, openCalls, type TaskCall } from '../../src/domain/upkeep/task-call.ts';
import { localDay } from '../../src/domain/usage/local-day.ts';
import { DAY_MS, noon, ZONE } from '../domain/upkeep/upkeep-input.ts';
import { DONE, inputs, RUNS } from './upkeep-inputs.ts';

const call = (atMs: number): TaskCall => ({
  taskKey: 'grease_all',
  atMs,
  cause: 'symptom',
  what: 'creeps_down_loaded',
});
const part = fc.double({ min: 0, max: 1, noNaN: true });

test('a call makes no task less pressing, and brings every one into its window at least', () => {
  const seen: Record<string, number> = {};
  fc.assert(
    fc.property(inputs, part, fc.boolean(), (drawn, share, never) => {
      const given = never ? { ...drawn, grid: null } : drawn;
      const from = noon(DONE);
      const first = call(from + Math.floor((given.nowMs - from) * share));
      const plain = assessTask(given);
      const called = assessTask({ ...given, called: { first, count: 1 } });
      seen[`${plain.status}-${called.status}`] = 1;
      const order = (a: typeof plain) => ({ rank: rankTask(a), orderDay: orderDayOf(a) });
      expect(comparePressing(order(called), order(plain))).toBeLessThanOrEqual(0);
      expect(called.status).not.toBe('ahead');
      expect(called.knownStatus).not.toBe('ahead');
      expect(called.opens.past).toBe(true);
      expect(called.called).toMatchObject({ day: localDay(first.atMs, ZONE), calls: 1 });
      expect(called.reasons.slice(0, 2).map((reason) => reason.code)).toContain('called');
      if (plain.status !== 'overrun') return;
      const { status, overrunSince, effect, limit, nextCheckAtMs } = plain;
      expect(called).toMatchObject({ status, overrunSince, effect, limit, nextCheckAtMs });
      expect(called.reasons[0]).toEqual(plain.reasons[0]);
    }),
    RUNS,
  );
  expect(Object.keys(seen).sort()).toEqual([
    'ahead-in_window',
    'in_window-in_window',
    'overrun-overrun',
    'unknown-in_window',
    'unknown-unknown',
  ]);
});

test('what may be past its limit stays unknown; what is unknown for less is in its window', () => {
  fc.assert(
    fc.property(inputs, (given) => {
      const plain = assessTask(given);
      const called = assessTask({ ...given, called: { first: call(given.nowMs), count: 1 } });
      if (plain.status !== 'unknown') return;
      const beyond = plain.reasons.some((r) => 'could' in r && r.could === 'beyond_limit');
      expect(called.status).toBe(beyond ? 'unknown' : 'in_window');
      expect(called.unknownBecause.length > 0).toBe(beyond);
    }),
    RUNS,
  );
});

test('a call stands until the task was really done after it, in whatever order it is told', () => {
  const moment = fc.integer({ min: 0, max: 60 }).map((n) => noon(DONE) + n * DAY_MS);
  const dones = fc.array(
    fc.record({ atMs: moment, estimated: fc.boolean(), voided: fc.boolean() }),
    { maxLength: 8 },
  );
  const calls = fc.array(
    fc.record({ atMs: moment, cause: fc.constantFrom(...CALL_CAUSES) }).map((drawn) => ({
      ...call(0),
      ...drawn,
    })),
    { maxLength: 8 },
  );
  fc.assert(
    fc.property(calls, dones, fc.infiniteStream(fc.nat()), (made, done, dice) => {
      const standing = made.filter(
        ({ atMs }) => !done.some((d) => !d.estimated && !d.voided && d.atMs > atMs),
      );
      const open = openCalls(made, done);
      expect(open?.count ?? 0).toBe(standing.length);
      const earliest = Math.min(...standing.map(({ atMs }) => atMs));
      if (open) expect(open.first.atMs).toBe(earliest);
      const shuffled = <T>(list: readonly T[]) =>
        list
          .map((each) => ({ each, at: dice.next().value }))
          .sort((a, b) => a.at - b.at)
          .map(({ each }) => each);
      const again = openCalls(shuffled(made), shuffled(done));
      expect([again?.count, again?.first.atMs]).toEqual([open?.count, open?.first.atMs]);
    }),
    RUNS,
  );
});
