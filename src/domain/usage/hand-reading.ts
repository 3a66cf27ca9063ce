/**
 * A meter read by a person: what it says in grains, and whether it can stand between the readings
 * before and after it. Pure.
 */
import { type Meter, minMsPerTick, parseResolution, type Resolution } from './meter.ts';

/** Times that people write down are good to a quarter of an hour; common practice, no source. */
const writtenTimeMs = 15 * 60_000;

/** The coarsest step of a dial that is believed: a whole hour, cycle or kilometre. */
const coarsestStepUnits = 1;

/** Dials are expected to be read once a week, a day late at most; common practice, no source. */
export const handSilenceMs = 8 * 86_400_000;

/** The step of a dial when nobody says it: a tenth of an hour, one cycle, one kilometre. */
export const usualStep = { hours: 0.1, cycles: 1, km: 1 } as const;

/** Dials have at most so many digits before the point. */
const largestValue = 9_999_999.999;

/**
 * A value off a dial with steps of `step`, both in the meter's unit, as grains. It must be a whole
 * number of steps: 1234.5 h on a dial of tenths.
 */
export function parseDial(
  meter: Meter,
  value: number,
  step: number,
): { value: Resolution; stepGrains: number } {
  const resolution = parseResolution(step, meter.dimension);
  if (!resolution.ok) return { value: resolution, stepGrains: 0 };
  const refused = (reason: string) => ({
    value: { ok: false as const, reason },
    stepGrains: resolution.grains,
  });
  if (step > coarsestStepUnits) return refused('a dial steps by at most one whole unit');
  if (!(value >= 0 && value <= largestValue)) return refused(`${value} is not on any dial`);
  const steps = Math.round(value / step);
  if (Math.abs(steps * step - value) > 1e-6) {
    return refused(`${value} is no whole number of steps of ${step}; give the dial's resolution`);
  }
  const grains = steps * resolution.grains;
  return { value: { ok: true, grains }, stepGrains: resolution.grains };
}

/** One reading as it stands on its line. */
export interface DialReading {
  atMs: number;
  grains: number;
  stepGrains: number;
  /** The first of a new dial. */
  replaced: boolean;
}

/** How far the rise between two readings may be ahead of the clock. */
function slackMs(meter: Meter, a: DialReading, b: DialReading): number {
  return writtenTimeMs + minMsPerTick(meter, 1) * Math.max(a.stepGrains, b.stepGrains);
}

/** How far a whole line of readings by hand may be ahead of the clock. */
export function handAllowanceMs(meter: Meter): number {
  const coarsest = parseResolution(coarsestStepUnits, meter.dimension);
  return writtenTimeMs + minMsPerTick(meter, coarsest.ok ? coarsest.grains : 1);
}

export type DialFault = 'falls' | 'too_fast';

function between(meter: Meter, from: DialReading, to: DialReading): DialFault | null {
  if (to.replaced) return null;
  const rise = to.grains - from.grains;
  if (rise < 0) return 'falls';
  const needsMs = rise * minMsPerTick(meter, 1);
  return needsMs > to.atMs - from.atMs + slackMs(meter, from, to) ? 'too_fast' : null;
}

/**
 * What is wrong with a reading between its neighbours in time, and with which of them; null when
 * it can stand.
 */
export function dialFault(
  meter: Meter,
  reading: DialReading,
  before: DialReading | null,
  after: DialReading | null,
): { fault: DialFault; against: DialReading } | null {
  const first = before && between(meter, before, reading);
  if (before && first) return { fault: first, against: before };
  const second = after && between(meter, reading, after);
  return after && second ? { fault: second, against: after } : null;
}
