import { describe, expect, test } from 'vitest';
import { suspectText } from '../../../src/domain/usage/switch-suspect.ts';
import { judgeSwitch, type WatchedDay } from '../../../src/domain/usage/switch-watch.ts';
import { randomFrom } from '../../crash/truth.ts';

let next = 0;
const day = (counted: number, witness: number): WatchedDay => {
  next += 1;
  return { day: `2026-01-${String(next).padStart(3, '0')}`, counted, witness };
};
const times = (n: number, counted: number, witness: number) =>
  Array.from({ length: n }, () => day(counted, witness));
/** A month of about ten lifts an hour of the pump, half an hour a day. */
const month = () => Array.from({ length: 30 }, (_, i) => day(4 + (i % 3), 0.5));

const pump = (days: WatchedDay[]) => judgeSwitch(days, 'lift_cycles', 'pto_hours');

describe('lifts that stand still while the pump runs', () => {
  test.each<[string, WatchedDay[], boolean]>([
    ['nothing is suspect while it counts', month(), false],
    ['two days are not enough', [...month(), ...times(2, 0, 2)], false],
    ['three days of use are', [...month(), ...times(3, 0, 0.5)], true],
    ['days without use tell nothing', [...month(), ...times(90, 0, 0)], false],
    ['fewer than twelve expected are not', [...month(), ...times(3, 0, 0.38)], false],
    ['a count within is no standstill', [...month(), ...times(9, 0, 0.5), day(1, 0.5)], false],
    ['and what counts then', [...month(), ...times(9, 0, 0.5), day(1, 0.5), day(0, 1)], false],
    [
      'a pause as before is usual',
      [...month(), ...times(5, 0, 0.5), ...month(), ...times(9, 0, 0.5)],
      false,
    ],
    [
      'twice as long is not',
      [...month(), ...times(5, 0, 0.5), ...month(), ...times(10, 0, 0.5)],
      true,
    ],
  ])('%s', (_, days, suspect) => {
    expect(pump(days).isSuspect).toBe(suspect);
  });

  test('what it rests on', () => {
    const days = [...month(), ...times(4, 0, 0.5)];
    const found = pump(days);
    // 150 lifts in 15 hours; they scatter less than by chance
    expect(found).toMatchObject({ days: 4, witnessUse: 2, isSuspect: true });
    expect(found.lastCountedOn).toBe(days[29]?.day);
    expect(found.expected).toBeCloseTo(20, 9);
    expect(found.logChance).toBeCloseTo(-150 * Math.log(17 / 15), 9);
  });

  test('the more it scatters, the more it takes', () => {
    // three days of thirty lifts, then nine without, and so on: five a day as well
    const spells = () => [...times(3, 20, 0.5), ...times(9, 0, 0.5)];
    const past = [...spells(), ...spells(), ...spells(), ...spells(), ...times(3, 20, 0.5)];
    expect(pump([...past, ...times(12, 0, 0.5)]).isSuspect).toBe(false);
    expect(pump([...past, ...times(12, 0, 0.5)]).logChance).toBeGreaterThan(-6);
  });
});

describe('a meter without a past of its own', () => {
  test.each<[string, string, string, WatchedDay[], boolean]>([
    ['six hours of the pump', 'lift_cycles', 'pto_hours', times(12, 0, 0.5), true],
    ['less than six', 'lift_cycles', 'pto_hours', times(11, 0, 0.5), false],
    ['240 engine hours', 'lift_cycles', 'engine_hours', times(24, 0, 10), true],
    ['less than 240', 'lift_cycles', 'engine_hours', times(23, 0, 10), false],
    ['240 lifts without the pump', 'pto_hours', 'lift_cycles', times(24, 0, 10), true],
    ['less than 240 lifts', 'pto_hours', 'lift_cycles', times(23, 0, 10), false],
    ['a winch that was never used', 'winch_cycles', 'engine_hours', times(300, 0, 10), false],
    [
      'a truck that hardly lifts',
      'lift_cycles',
      'engine_hours',
      [...times(5, 1, 100), ...times(90, 0, 10)],
      false,
    ],
    [
      'a new one that lifts as others do',
      'lift_cycles',
      'pto_hours',
      [...times(2, 5, 0.5), ...times(12, 0, 0.5)],
      true,
    ],
    ['no use at all', 'lift_cycles', 'pto_hours', [], false],
  ])('%s', (_, meter, witness, days, suspect) => {
    expect(judgeSwitch(days, meter, witness).isSuspect).toBe(suspect);
  });
});

test('engine hours take five days: driving is not towing', () => {
  const past = times(60, 12, 9);
  const found = (n: number) =>
    judgeSwitch([...past, ...times(n, 0, 9)], 'lift_cycles', 'engine_hours').isSuspect;
  expect([3, 4, 5].map(found)).toEqual([false, false, true]);
});

test("the pump's hours at zero while lifts are counted", () => {
  // in steps of 0.05 h: ten a day for five lifts
  const days = [...times(60, 10, 5), ...times(3, 0, 5)];
  expect(judgeSwitch(days, 'pto_hours', 'lift_cycles')).toMatchObject({
    expected: 30,
    isSuspect: true,
  });
});

test('what is told of it', () => {
  const suspect = {
    assetId: 'a',
    meter: 'lift_cycles',
    counter: 'lifts',
    witness: 'pto_hours',
    lastCountedOn: '2026-03-01',
    days: 4,
    witnessUse: 2.25,
    expected: 23,
  };
  expect(suspectText(suspect)).toBe(
    'lifts has not counted since 2026-03-01, although pto_hours went on by 2.3 h on 4 days, ' +
      'where about 23 cycles were to be expected: look at its switch and wiring.',
  );
  const pump = { ...suspect, meter: 'pto_hours', counter: 'pump', witness: 'lift_cycles' };
  expect(suspectText({ ...pump, witnessUse: 40, expected: 30 })).toBe(
    'pump has not counted since 2026-03-01, although lift_cycles went on by 40 cycles on 4 days, ' +
      'where about 1.5 h were to be expected: look at its switch and wiring.',
  );
  expect(suspectText({ ...suspect, lastCountedOn: null })).toContain('lifts has never counted,');
});

interface Work {
  lifts: number;
  /** Shape of the day-to-day rate: 1 is wild; none is steady. */
  shape?: number;
  /** The chance of a spell of driving without lifting on a day, and how long it lasts. */
  spells?: [chance: number, meanDays: number];
}

/** Days of a truck that works on four of five, nine engine hours each, give or take. */
function truckDays(count: number, { lifts, shape, spells }: Work, seed: number): WatchedDay[] {
  const random = randomFrom(seed);
  const exponential = () => -Math.log(1 - random());
  const gamma = (k: number) => times(k, 0, 0).reduce((sum) => sum + exponential(), 0) / k;
  const poisson = (mean: number) => {
    let n = 0;
    for (let sum = exponential(); sum < mean; sum += exponential()) n += 1;
    return n;
  };
  let spell = 0;
  return Array.from({ length: count }, (_, i) => {
    const name = String(i).padStart(4, '0');
    if (random() < 0.2) return { day: name, counted: 0, witness: 0 };
    const witness = 9 * gamma(3);
    if (spell > 0) spell -= 1;
    else if (spells && random() < spells[0]) spell = Math.ceil(exponential() * spells[1]);
    const mean = lifts * (witness / 9) * (shape ? gamma(shape) : 1);
    return { day: name, counted: spell > 0 ? 0 : poisson(mean), witness };
  });
}

const lookedDays = 365;
const judged = (days: readonly WatchedDay[], end: number) =>
  judgeSwitch(days.slice(Math.max(0, end - lookedDays), end), 'lift_cycles', 'engine_hours');

/** How often a sound truck is told to have a dead switch, looked at every evening. */
function falseAlarms(work: Work, trucks: number, days: number): number {
  let alarms = 0;
  for (let truck = 0; truck < trucks; truck += 1) {
    const worked = truckDays(days, work, 1 + truck);
    let was = false;
    for (let end = 1; end <= days; end += 1) {
      const now = judged(worked, end).isSuspect;
      if (now && !was) alarms += 1;
      was = now;
    }
  }
  return alarms;
}

/** Days until a switch that fails after a year is found. */
function daysToFind(work: Work, seed: number): number {
  const worked = truckDays(lookedDays + 200, work, seed).map((each, i) =>
    i < lookedDays ? each : { ...each, counted: 0 },
  );
  for (let days = 1; days <= 200; days += 1) {
    if (judged(worked, lookedDays + days).isSuspect) return days;
  }
  return Number.POSITIVE_INFINITY;
}

describe('simulated trucks, with engine hours alone to go by', () => {
  const twoYears = 730;
  // two years each: [what they do, trucks, most false alarms, days until found (median)]
  test.each<[string, Work, number, number, number]>([
    ['steady', { lifts: 5 }, 20, 0, 8],
    ['few lifts', { lifts: 1.2 }, 20, 0, 20],
    ['wild days', { lifts: 5, shape: 1 }, 20, 0, 28],
    ['short spells', { lifts: 5, shape: 1, spells: [0.05, 2] }, 20, 1, 40],
    ['spells of a working week', { lifts: 5, shape: 1, spells: [0.05, 4] }, 20, 6, 60],
  ])('%s', { timeout: 60_000 }, (_, work, trucks, mostAlarms, within) => {
    expect(falseAlarms(work, trucks, twoYears)).toBeLessThanOrEqual(mostAlarms);
    const found = Array.from({ length: 15 }, (_, i) => daysToFind(work, 1_000 + i)).sort(
      (a, b) => a - b,
    );
    expect(found[7]).toBeLessThanOrEqual(within);
  });
});
