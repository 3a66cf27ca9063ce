/**
 * Meters and the whole numbers that they are counted in.
 *
 * Use is kept in *grains*, always an integer: hour meters in seconds, cycle meters in cycles,
 * kilometre meters in metres. A counter's resolution is a whole number of grains per tick. Nothing
 * is divided before it is shown.
 */

export const assetKinds = ['chassis', 'lift', 'winch', 'dolly_set'] as const;
export type AssetKind = (typeof assetKinds)[number];

export const dimensions = ['hours', 'cycles', 'km'] as const;
export type Dimension = (typeof dimensions)[number];

/** Grains in one unit of the dimension: seconds in an hour, one cycle, metres in a kilometre. */
export const grainsPerUnit: Readonly<Record<Dimension, number>> = {
  hours: 3600,
  cycles: 1,
  km: 1000,
};

export interface Meter {
  readonly name: string;
  readonly assetKind: AssetKind;
  readonly dimension: Dimension;
  /** The shortest time one cycle can take, in ms; only cycle meters use it. */
  readonly fastestCycleMs: number;
}

/** No truck in tow beats this on average over any stretch of road; common practice, no source. */
export const topSpeedKmPerHour = 130;

/** For a cycle meter that a fleet adds without saying how fast it can go. */
export const defaultFastestCycleMs = 8_000;

function meter(name: string, assetKind: AssetKind, dimension: Dimension, ms = 0): Meter {
  return { name, assetKind, dimension, fastestCycleMs: ms };
}

/**
 * The meters every fleet has. The fastest cycles are common practice, no source: about half of what
 * a quick operator needs with nothing on the lift, because a function test must never look like a
 * fault.
 */
export const builtInMeters: readonly Meter[] = [
  meter('pto_hours', 'lift', 'hours'),
  meter('lift_cycles', 'lift', 'cycles', 12_000),
  meter('fold_cycles', 'lift', 'cycles', 8_000),
  meter('reach_cycles', 'lift', 'cycles', 8_000),
  meter('arm_cycles', 'lift', 'cycles', 8_000),
  meter('engine_hours', 'chassis', 'hours'),
  meter('loaded_km', 'chassis', 'km'),
  meter('winch_cycles', 'winch', 'cycles', 20_000),
];

const byName = new Map(builtInMeters.map((each) => [each.name, each]));

export function builtInMeter(name: string): Meter | undefined {
  return byName.get(name);
}

/** What a meter counts in; one that a fleet added counts cycles. */
export function dimensionOf(meter: string): Dimension {
  return byName.get(meter)?.dimension ?? 'cycles';
}

/**
 * Grains as the number that is shown and sent: 180 grains of an hour meter are 0.05. Six decimals,
 * so that every number of grains below 10^12 has a figure of its own and `parseGrains` gives it
 * back.
 */
export function formatGrains(grains: number, dimension: Dimension): number {
  return Number((grains / grainsPerUnit[dimension]).toFixed(6));
}

/** The nearest whole number of grains to a shown figure; the inverse of `formatGrains`. */
export function parseGrains(shown: number, dimension: Dimension): number {
  return Math.round(shown * grainsPerUnit[dimension]);
}

export type Resolution =
  | { readonly ok: true; readonly grains: number }
  | { readonly ok: false; readonly reason: string };

/** The coarsest tick that is believed: a thousand hours, cycles or kilometres. */
const largestTickUnits = 1000;

/**
 * A counter's resolution, given per tick in the unit of its dimension (0.05 for 0.05 h), as grains.
 * It must be a whole number of grains, or every later sum would be a rounded one.
 */
export function parseResolution(value: number, dimension: Dimension): Resolution {
  if (!Number.isFinite(value) || value <= 0) {
    return { ok: false, reason: 'the resolution must be a number above zero' };
  }
  if (value > largestTickUnits) {
    return { ok: false, reason: `the resolution must be at most ${largestTickUnits} ${dimension}` };
  }
  const exact = value * grainsPerUnit[dimension];
  const grains = Math.round(exact);
  if (grains < 1 || Math.abs(exact - grains) > 1e-9) {
    const grain = { hours: 'seconds', cycles: 'cycles', km: 'metres' }[dimension];
    return { ok: false, reason: `${value} ${dimension} is not a whole number of ${grain}` };
  }
  return { ok: true, grains };
}

/**
 * The shortest time, in whole ms, in which a counter can rise by one tick: an hour meter runs as
 * fast as the clock, a cycle meter as fast as its fastest cycle, a kilometre meter at top speed.
 * Rounded down, in favour of the device.
 */
export function minMsPerTick(
  counted: Pick<Meter, 'dimension' | 'fastestCycleMs'>,
  grainsPerTick: number,
): number {
  switch (counted.dimension) {
    case 'hours':
      return grainsPerTick * 1000;
    case 'cycles':
      return grainsPerTick * Math.max(1, counted.fastestCycleMs || defaultFastestCycleMs);
    case 'km':
      return Math.max(1, Math.floor((grainsPerTick * 3600) / topSpeedKmPerHour));
  }
}
