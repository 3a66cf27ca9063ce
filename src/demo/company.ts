/**
 * The invented company: three yards in three time zones, 24 units, who is on which, and their
 * counters.
 */
import type { CounterSpec } from './counting.ts';
import type { Duty } from './duty.ts';
import { armLift } from './patterns/arm-lift.ts';
import { crossbarLift } from './patterns/crossbar-lift.ts';
import { createRandom } from './random.ts';

export const companyName = 'Thistledown Tow & Recovery';

export interface DemoYard {
  readonly key: 'harbour' | 'ridge' | 'mesa';
  readonly name: string;
  readonly timeZone: string;
  /** First digit of its units' numbers. */
  readonly digit: number;
}

/** Every zone keeps whole hours from UTC; one of them never changes its clocks. */
export const yards: readonly DemoYard[] = [
  { key: 'harbour', name: 'Harbour Street', timeZone: 'America/Chicago', digit: 1 },
  { key: 'ridge', name: 'Ridge Road', timeZone: 'America/New_York', digit: 2 },
  { key: 'mesa', name: 'Mesa Junction', timeZone: 'America/Phoenix', digit: 3 },
];

export const patterns = { arm: armLift, crossbar: crossbarLift } as const;
export type PatternKey = keyof typeof patterns;

/**
 * How a shop keeps a unit. `early` does what is due before its window opens, `usual` when it is
 * full; `lapsed` did so until some weeks ago; `unstated` never told anybody what was done when.
 */
export type Upkeep = 'early' | 'usual' | 'lapsed' | 'unstated';

export interface DemoUnit {
  readonly number: string;
  readonly yard: DemoYard;
  readonly pattern: PatternKey;
  readonly duty: Duty;
  readonly upkeep: Upkeep;
  /**
   * Serial of the lift controller, where counters of the lift are its own and not the
   * gateway's.
   */
  readonly controller: string | null;
  readonly counters: readonly DemoCounter[];
}

export interface DemoCounter extends CounterSpec {
  readonly assetKind: 'lift' | 'chassis';
  readonly widthBits: number;
  readonly scope: 'gateway' | 'controller';
  /** What it shows when the history begins. */
  readonly startTicks: number;
}

/** Serial of the unit's own asset, as long as nothing is moved. */
export const serialOf = (unit: string, kind: 'lift' | 'chassis') =>
  `${kind === 'lift' ? 'WL' : 'CH'}-${unit}`;

/** Numbers of the units with a part of their own in the story; see defects.ts. */
export const rolloverUnit = '16';
export const controllerUnit = '28';
export const unstatedUnit = '31';
export const deferredUnit = '32';
export const statutoryUnit = '33';
const lapsedUnits = ['18', deferredUnit, '35', '37'];
const earlyUnits = ['11', '14', '15', '22', '26', '27', '34', '36'];

function upkeepOf(number: string): Upkeep {
  if (number === unstatedUnit) return 'unstated';
  if (lapsedUnits.includes(number)) return 'lapsed';
  return earlyUnits.includes(number) ? 'early' : 'usual';
}

/** Days of history, which the start of the counter that is to roll over depends on. */
function countersOf(
  number: string,
  pattern: PatternKey,
  days: number,
  seed: string,
): DemoCounter[] {
  const random = createRandom(`${seed}/start/${number}`);
  const controller = number === controllerUnit;
  const rolls = number === rolloverUnit;
  const cycle = (meter: 'lift_cycles' | 'fold_cycles' | 'arm_cycles' | 'reach_cycles') => ({
    counter: meter,
    meter,
    resolution: 1,
    grainsPerTick: 1,
    counts: meter,
    assetKind: 'lift' as const,
    widthBits: 32,
    scope: controller ? ('controller' as const) : ('gateway' as const),
    startTicks: random.int(900, 9_000),
  });
  const own: DemoCounter[] = [
    {
      counter: 'pto_hours',
      meter: 'pto_hours',
      resolution: 0.05,
      grainsPerTick: 180,
      counts: 'pto',
      assetKind: 'lift',
      widthBits: rolls ? 16 : 32,
      scope: controller ? 'controller' : 'gateway',
      // A unit brings some 15 ticks a day: the rollover comes near the middle.
      startTicks: rolls ? 2 ** 16 - days * 7 : random.int(3_000, 60_000),
    },
    cycle('lift_cycles'),
    cycle('fold_cycles'),
    cycle(pattern === 'arm' ? 'arm_cycles' : 'reach_cycles'),
    {
      counter: 'engine_hours',
      meter: 'engine_hours',
      resolution: 0.1,
      grainsPerTick: 360,
      counts: 'engine',
      assetKind: 'chassis',
      widthBits: 32,
      scope: 'gateway',
      startTicks: random.int(10_000, 90_000),
    },
  ];
  if (number === '11' || number === '36') {
    own.push({
      counter: 'loaded_km',
      meter: 'loaded_km',
      resolution: 1,
      grainsPerTick: 1000,
      counts: 'loaded',
      assetKind: 'chassis',
      widthBits: 32,
      scope: 'gateway',
      startTicks: random.int(10_000, 120_000),
    });
  }
  return own;
}

/** The 24 units, by number. `days` is the length of the history. */
export function planUnits(seed: string, days: number): DemoUnit[] {
  return yards.flatMap((yard) =>
    Array.from({ length: 8 }, (_, i) => {
      const number = `${yard.digit}${i + 1}`;
      const random = createRandom(`${seed}/unit/${number}`);
      // Those that swap lifts in the story are of one pattern, as they would have to be.
      const pattern: PatternKey = yard.key === 'mesa' || i < 3 ? 'crossbar' : 'arm';
      return {
        number,
        yard,
        pattern,
        duty: {
          seed,
          unit: number,
          timeZone: yard.timeZone,
          weekdayCalls: random.int(3, 7),
          nightChance: random.pick([0, 0.1, 0.2, 0.35]),
        },
        upkeep: upkeepOf(number),
        controller: number === controllerUnit ? 'LC-28' : null,
        counters: countersOf(number, pattern, days, seed),
      };
    }),
  );
}
