import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type CycleBasis,
  type CycleMeter,
  type CycleRules,
  type CycleSettings,
  cycleRules,
} from '../../../src/domain/usage/cycle-basis.ts';
import {
  cyclesAtRest,
  deriveCycles,
  openCycle,
  type SignalSample,
} from '../../../src/domain/usage/derive-cycles.ts';
import { bouncing, lossy, noisy, type Stretch, sampled } from './signal-simulator.ts';

const second = 1000;
const minute = 60 * second;

function rulesOf(meter: CycleMeter, basis: CycleBasis, settings: CycleSettings = {}): CycleRules {
  const found = cycleRules(meter, basis, settings);
  if (!found.ok) throw new Error(found.reason);
  return found.rules;
}

const pressure = rulesOf('lift_cycles', 'pressure', { loadedBar: 60, emptyBar: 25 });
const fold = rulesOf('fold_cycles', 'switch');
const coil = rulesOf('reach_cycles', 'coil', { strokeMs: 6 * second });

const derive = (rules: CycleRules, samples: readonly SignalSample[]) =>
  deriveCycles(rules, cyclesAtRest, samples);
const why = (rules: CycleRules, samples: readonly SignalSample[]) =>
  derive(rules, samples).notCounted.map((each) => each.why);

/** A vehicle of `bar` raised, carried for a while and set down; invented figures. */
const load = (bar: number, carriedMs: number, rampMs = 1500): Stretch[] => [
  { forMs: 5 * second, value: bar + 20, rampMs },
  { forMs: carriedMs, value: bar },
  { forMs: 20 * second, value: 10, rampMs },
];
/** The lift raised with nothing on it, and lowered. */
const emptyLift: Stretch[] = [
  { forMs: 6 * second, value: 40, rampMs: 500 },
  { forMs: 30 * second, value: 30 },
  { forMs: 20 * second, value: 10 },
];
const rest: Stretch = { forMs: 15 * second, value: 10 };

describe('lift cycles from pressure', () => {
  test('a load is a cycle, with the times at which it was first and last carried', () => {
    const { cycles, notCounted } = derive(pressure, sampled([rest, ...load(90, minute, 0)], 100));
    expect(cycles).toEqual([{ fromMs: 16_000, toMs: 81_000, gaps: 0 }]);
    expect(notCounted).toEqual([]);
  });

  test('an empty lift is none, and says why', () => {
    const samples = sampled([rest, ...emptyLift, ...emptyLift, ...load(90, minute)], 100);
    expect(derive(pressure, samples).cycles).toHaveLength(1);
    expect(why(pressure, samples)).toEqual(['not_loaded', 'not_loaded']);
  });

  test('an empty lift held against its stop shows the relief pressure, and is none', () => {
    const stop: Stretch[] = [
      { forMs: 5 * second, value: 40 },
      { forMs: 6 * second, value: 180 },
      { forMs: 20 * second, value: 10 },
    ];
    expect(derive(pressure, sampled([rest, ...stop], 100)).cycles).toEqual([]);
    expect(why(pressure, sampled([rest, ...stop], 100))).toEqual(['too_short']);
  });

  test('peaks of a starting pump are bounce', () => {
    const peak: Stretch[] = [{ forMs: 300, value: 120 }, rest];
    expect(why(pressure, sampled([rest, ...peak, ...peak], 100))).toEqual(['bounce', 'bounce']);
  });

  test('slow oil: a pressure that takes half a minute to build is still one cycle', () => {
    const slow: Stretch[] = [
      { forMs: 40 * second, value: 90, rampMs: 30 * second },
      { forMs: 2 * minute, value: 90 },
      { forMs: 40 * second, value: 10, rampMs: 30 * second },
    ];
    const samples = noisy(sampled([rest, ...slow, ...slow], 100), 4, 7);
    expect(derive(pressure, samples).cycles).toHaveLength(2);
  });

  test('a bump on the road that takes the pressure away for a moment ends nothing', () => {
    const bumpy = [rest, ...load(90, minute)];
    bumpy.splice(3, 0, { forMs: 900, value: 5 }, { forMs: minute, value: 90 });
    expect(derive(pressure, sampled(bumpy, 100)).cycles).toHaveLength(1);
  });

  test('any sequence of loads and empty lifts comes out, with noise and lost samples', () => {
    const job = fc.oneof(
      fc.record({
        bar: fc.integer({ min: 80, max: 160 }),
        carriedMs: fc.integer({ min: 15 * second, max: 3 * minute }),
        rampMs: fc.integer({ min: 0, max: 4 * second }),
      }),
      fc.constant(null),
    );
    fc.assert(
      fc.property(fc.array(job, { maxLength: 6 }), fc.nat(), (jobs, seed) => {
        const plan = jobs.flatMap((each) =>
          each === null ? emptyLift : load(each.bar, each.carriedMs, each.rampMs),
        );
        const clean = sampled([rest, ...plan, rest], 250);
        const samples = lossy(noisy(clean, 4, seed), 20, 8, seed + 1);
        const { cycles, notCounted } = derive(pressure, samples);
        expect(cycles).toHaveLength(jobs.filter((each) => each !== null).length);
        const empties = notCounted.filter((each) => each.why === 'not_loaded');
        expect(empties).toHaveLength(jobs.filter((each) => each === null).length);
      }),
      { numRuns: 60 },
    );
  });
});

describe('fold cycles from a switch', () => {
  const out = (forMs: number): Stretch[] => [
    { forMs, value: 1 },
    { forMs: 20 * second, value: 0 },
  ];

  test('contacts that bounce make no cycles of their own', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 10, max: 300 }), { maxLength: 5 }),
        fc.nat(),
        (s, seed) => {
          const plan = [{ forMs: 5 * second, value: 0 }, ...s.flatMap((n) => out(n * second))];
          const samples = bouncing(sampled(plan, 20), 300, seed);
          expect(derive(fold, samples).cycles).toHaveLength(s.length);
        },
      ),
      { numRuns: 60 },
    );
  });

  test('a switch shaken on the road, folded, counts nothing', () => {
    const shaken = Array.from({ length: 50 }, (): Stretch[] => [
      { forMs: 120, value: 1 },
      { forMs: 3 * second, value: 0 },
    ]).flat();
    const samples = sampled([{ forMs: second, value: 0 }, ...shaken], 40);
    expect(derive(fold, samples).cycles).toEqual([]);
    expect(new Set(why(fold, samples))).toEqual(new Set(['bounce']));
  });

  test('over sooner than the fastest cycle: too short; exactly as long: a cycle', () => {
    const of = (ms: number) => sampled([{ forMs: second, value: 0 }, ...out(ms)], 100);
    expect(why(fold, of(7_900))).toEqual(['too_short']);
    expect(derive(fold, of(8_000)).cycles).toHaveLength(1);
  });

  test('lost samples: what was out goes on, and nothing is made up', () => {
    const plan: Stretch[] = [{ forMs: 5 * second, value: 0 }, ...out(2 * minute), ...out(minute)];
    const without = (from: number, to: number) =>
      sampled(plan, 100).filter(({ atMs }) => atMs < from || atMs >= to);
    // lost in the middle of the first one
    const middle = derive(fold, without(30 * second, 70 * second));
    expect(middle.cycles.map((each) => each.gaps)).toEqual([1, 0]);
    // lost from within the first to within the second: nobody saw it come home
    expect(derive(fold, without(minute, 170 * second)).cycles).toHaveLength(1);
    // a whole cycle lost: not made up
    const lost = derive(fold, without(3 * second, 135 * second));
    expect([lost.cycles.length, lost.state.gaps]).toEqual([1, 1]);
  });

  test('what was about to hold before lost samples has to hold anew', () => {
    const samples = [0, 1, 1, 0, 0].map((value, i) => ({
      atMs: [0, 1000, 13_000, 13_200, 14_000][i] as number,
      value,
    }));
    expect(derive(fold, samples).cycles).toEqual([]);
    expect(why(fold, samples)).toEqual(['bounce']);
  });

  test('sampled only on change, with a gap as long as a state can last', () => {
    const onChange = rulesOf('fold_cycles', 'switch', { gapMs: 86_400_000 });
    const samples = [
      { atMs: 0, value: 0 },
      { atMs: minute, value: 1 },
      { atMs: minute + 60, value: 0 },
      { atMs: minute + 90, value: 1 },
      { atMs: 20 * minute, value: 0 },
      { atMs: 60 * minute, value: 1 },
    ];
    const { cycles, state } = derive(onChange, samples);
    expect(cycles).toEqual([{ fromMs: minute + 90, toMs: 20 * minute, gaps: 0 }]);
    expect(openCycle(state)).toEqual({ fromMs: 60 * minute, isOut: false });
  });
});

describe('reach cycles from coils', () => {
  const move = (value: number, forMs: number): Stretch[] => [
    { forMs, value },
    { forMs: 2 * second, value: 0 },
  ];
  const still: Stretch = { forMs: 5 * second, value: 0 };

  test('out and back is a cycle; less than half a stroke is none', () => {
    const whole = sampled([still, ...move(1, 6 * second), ...move(-1, 6 * second)], 100);
    expect(derive(coil, whole).cycles).toHaveLength(1);
    const short = sampled([still, ...move(1, 2 * second), ...move(-1, 3 * second)], 100);
    expect(derive(coil, short).cycles).toEqual([]);
    expect(why(coil, short)).toEqual(['short_stroke']);
  });

  test('short moves add up, in both directions', () => {
    const inched = [still, ...Array.from({ length: 8 }, () => move(1, 700)).flat()];
    const back = Array.from({ length: 8 }, () => move(-1, 700)).flat();
    expect(derive(coil, sampled([...inched, ...back], 100)).cycles).toHaveLength(1);
  });

  test('slow oil: the coils stay on three times as long, and it is still one cycle each', () => {
    const cold = [still, ...move(1, 18 * second), ...move(-1, 18 * second)];
    expect(derive(coil, sampled([...cold, ...cold], 100)).cycles).toHaveLength(2);
  });

  test('beyond a whole stroke nothing moves: out in the cold, back when the oil is warm', () => {
    const samples = sampled([still, ...move(1, 18 * second), ...move(-1, 6 * second)], 100);
    expect(derive(coil, samples).cycles).toHaveLength(1);
  });

  test('a coil that was on when samples were lost has moved nothing meanwhile', () => {
    const [on, off, back] = [1, 0, -1];
    const samples = [on, on, on, off, back, back, off].map((value, i) => ({
      atMs: [0, 500, 1000, 12_000, 12_500, 14_000, 14_500][i] as number,
      value,
    }));
    expect(why(coil, samples)).toEqual(['short_stroke']);
  });

  test('out and never back stays open', () => {
    const { cycles, state } = derive(coil, sampled([still, ...move(1, 6 * second)], 100));
    expect(cycles).toEqual([]);
    expect(openCycle(state)).toEqual({ fromMs: 6_000, isOut: true });
  });

  test('time that nobody saw moves nothing', () => {
    const samples = sampled([still, ...move(1, minute), ...move(-1, minute)], 100);
    const lost = samples.filter(({ atMs }) => atMs < 7_000 || atMs > 62_000);
    expect(derive(coil, lost).state.gaps).toBe(1);
    expect(derive(coil, lost).cycles).toHaveLength(1);
  });
});

const signals: [string, CycleRules, fc.Arbitrary<number>][] = [
  ['pressure', pressure, fc.double({ min: 0, max: 200, noNaN: true })],
  ['switch', fold, fc.constantFrom(0, 1)],
  ['coil', coil, fc.constantFrom(-1, 0, 1)],
];

describe('the deriver goes on from any state', () => {
  test.each(signals)('%s: cut anywhere, it gives the same', (_name, rules, value) => {
    const step = fc.record({ afterMs: fc.integer({ min: 1, max: 12_000 }), value });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 80 }), fc.nat(80), (steps, cut) => {
        let atMs = 0;
        const samples = steps.map((each) => {
          atMs += each.afterMs;
          return { atMs, value: each.value };
        });
        const whole = derive(rules, samples);
        const one = derive(rules, samples.slice(0, cut));
        const kept = JSON.parse(JSON.stringify(one.state));
        const other = deriveCycles(rules, kept, samples.slice(cut));
        expect([...one.cycles, ...other.cycles]).toEqual(whole.cycles);
        expect([...one.notCounted, ...other.notCounted]).toEqual(whole.notCounted);
        expect(other.state).toEqual(whole.state);
        // cycles are in order, apart, and never faster than the meter allows
        for (const [i, { fromMs, toMs }] of whole.cycles.entries()) {
          expect(toMs - fromMs).toBeGreaterThanOrEqual(rules.shortestMs);
          const next = whole.cycles[i + 1];
          if (next) expect(next.fromMs).toBeGreaterThanOrEqual(toMs);
        }
      }),
    );
  });

  test.each(signals)('%s: the same samples again say nothing', (_name, rules, value) => {
    const step = fc.record({ afterMs: fc.integer({ min: 1, max: 12_000 }), value });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 40 }), (steps) => {
        let atMs = 0;
        const samples = steps.map((each) => {
          atMs += each.afterMs;
          return { atMs, value: each.value };
        });
        const { state } = derive(rules, samples);
        expect(deriveCycles(rules, state, samples)).toEqual({ state, cycles: [], notCounted: [] });
      }),
    );
  });
});

describe('rules', () => {
  test.each([
    ['lift_cycles', 'coil', { strokeMs: 5000 }, /pressure or switch, not coil/],
    ['fold_cycles', 'pressure', { loadedBar: 60, emptyBar: 20 }, /switch or coil, not pressure/],
    ['lift_cycles', 'pressure', {}, /measure them on the truck/],
    ['lift_cycles', 'pressure', { loadedBar: 20, emptyBar: 20 }, /emptyBar must be below/],
    ['arm_cycles', 'coil', {}, /measure it on the truck/],
  ] as const)('%s from %s with %j is refused with a reason', (meter, basis, settings, reason) => {
    const found = cycleRules(meter, basis, settings);
    expect(found.ok ? '' : found.reason).toMatch(reason);
  });
});
