/** What the invented trucks did, and so what the service must say of them, to the tick. */

export const timeZone = 'America/Chicago';

export interface CounterPlan {
  counter: string;
  meter: string;
  kind: 'lift' | 'chassis';
  resolution: number;
  grainsPerTick: number;
  widthBits: number;
  firstRaw: number;
  /** Most ticks from one reading to the next. */
  most: number;
}

/** The cycle counter runs over its width on the way. */
export const counterPlans: readonly CounterPlan[] = [
  {
    counter: 'pto_hours',
    meter: 'pto_hours',
    kind: 'lift',
    resolution: 0.05,
    grainsPerTick: 180,
    widthBits: 32,
    firstRaw: 29_664,
    most: 9,
  },
  {
    counter: 'lift_cycles',
    meter: 'lift_cycles',
    kind: 'lift',
    resolution: 1,
    grainsPerTick: 1,
    widthBits: 16,
    firstRaw: 65_400,
    most: 6,
  },
  {
    counter: 'engine_hours',
    meter: 'engine_hours',
    kind: 'chassis',
    resolution: 0.05,
    grainsPerTick: 180,
    widthBits: 32,
    firstRaw: 181_202,
    most: 12,
  },
];

export interface Series {
  plan: CounterPlan;
  at: number[];
  raw: number[];
  totalGrains: number;
  /** Grains by local day, days without use left out. */
  days: Map<string, number>;
}

/** A small seeded generator (mulberry32): the same run again is the same run. */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

export const wholeFrom = (random: () => number, from: number, to: number): number =>
  from + Math.floor(random() * (to - from + 1));

const localDay = new Intl.DateTimeFormat('en-CA', { timeZone, dateStyle: 'short' });

const stepMs = 45 * 60_000;
const dayMs = 86_400_000;

/** Readings end before the present, so that no clock is suspect. */
export const firstReadingMs = (nowMs: number, readings: number): number =>
  Math.floor(nowMs / dayMs) * dayMs - Math.ceil((readings * stepMs) / dayMs) * dayMs - dayMs;

/**
 * A counter's whole life: a reading each 45 minutes. Nothing is counted between the last reading
 * of a local day and the first of the next, so that each day's use is known without splitting.
 */
export function makeSeries(
  plan: CounterPlan,
  readings: number,
  firstMs: number,
  random: () => number,
): Series {
  const series: Series = { plan, at: [], raw: [], totalGrains: 0, days: new Map() };
  let raw = plan.firstRaw;
  let before = '';
  for (let i = 0; i < readings; i += 1) {
    const at = firstMs + i * stepMs;
    const day = localDay.format(at);
    const ticks = day === before && random() < 0.6 ? wholeFrom(random, 1, plan.most) : 0;
    raw = (raw + ticks) % 2 ** plan.widthBits;
    series.at.push(at);
    series.raw.push(raw);
    if (ticks > 0) {
      const grains = ticks * plan.grainsPerTick;
      series.totalGrains += grains;
      series.days.set(day, (series.days.get(day) ?? 0) + grains);
    }
    before = day;
  }
  return series;
}
