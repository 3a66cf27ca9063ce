/**
 * Bases of cycle counters: which signal a cycle is read from, and the rules of each. Every figure
 * is common practice, no source; what depends on the truck has no default and is measured on it.
 * Pure.
 */
import { builtInMeter } from './meter.ts';

export const cycleBases = ['switch', 'pressure', 'coil'] as const;
export type CycleBasis = (typeof cycleBases)[number];

/** Changes whenever the same signal would give other cycles; counters declare it. */
export const cycleBasisVersion = 1;

export const cycleMeters = ['lift_cycles', 'fold_cycles', 'reach_cycles', 'arm_cycles'] as const;
export type CycleMeter = (typeof cycleMeters)[number];

/**
 * What each meter can be read from. A coil or an end switch says that somebody moved the lift, not
 * that anything was on it; pressure says that something was on it, not where the lift went.
 */
export const basesOfMeter: Readonly<Record<CycleMeter, readonly CycleBasis[]>> = {
  lift_cycles: ['pressure', 'switch'],
  fold_cycles: ['switch', 'coil'],
  reach_cycles: ['switch', 'coil'],
  arm_cycles: ['switch', 'coil'],
};

/** A state of a switch holds when it lasts this long. */
export const debounceMsUsual = 500;
/** A pressure holds when it lasts this long: pump starts and end stops give shorter peaks. */
export const holdMsUsual = 2_000;
/** Samples further apart than this say nothing of the time between them. */
export const sampleGapMsUsual = 10_000;

/** Parts of a whole stroke from which a coil has moved something out, or home again. */
export const strokeOut = 0.5;
export const strokeHome = 0.25;

/** A signal of two states, or of three: between `low` and `high` nothing changes. */
export interface LevelRules {
  readonly basis: 'switch' | 'pressure';
  /** At or above this the signal is high: away from home, or loaded. */
  readonly highFrom: number;
  /** At or below this it is low: at home, or nothing on it. */
  readonly lowTo: number;
  readonly holdMs: number;
  readonly gapMs: number;
  /** A shorter cycle is none. */
  readonly shortestMs: number;
}

export interface StrokeRules {
  readonly basis: 'coil';
  /** Time of a whole stroke with warm oil. */
  readonly strokeMs: number;
  readonly gapMs: number;
  readonly shortestMs: number;
}

export type CycleRules = LevelRules | StrokeRules;

/** What is set for a truck; the rest is usual. */
export interface CycleSettings {
  loadedBar?: number | undefined;
  emptyBar?: number | undefined;
  strokeMs?: number | undefined;
  holdMs?: number | undefined;
  gapMs?: number | undefined;
}

export type FoundRules =
  | { readonly ok: true; readonly rules: CycleRules }
  | { readonly ok: false; readonly reason: string };

const refuse = (reason: string): FoundRules => ({ ok: false, reason });

/** The rules of a basis for a meter, or why there are none. */
export function cycleRules(
  meter: CycleMeter,
  basis: CycleBasis,
  settings: CycleSettings,
): FoundRules {
  if (!basesOfMeter[meter].includes(basis)) {
    return refuse(`${meter} can be read from ${basesOfMeter[meter].join(' or ')}, not ${basis}`);
  }
  const shortestMs = builtInMeter(meter)?.fastestCycleMs ?? 0;
  const gapMs = settings.gapMs ?? sampleGapMsUsual;
  if (basis === 'coil') {
    const { strokeMs } = settings;
    if (strokeMs === undefined) return refuse('strokeMs: measure it on the truck with warm oil');
    return { ok: true, rules: { basis, strokeMs, gapMs, shortestMs } };
  }
  if (basis === 'switch') {
    const holdMs = settings.holdMs ?? debounceMsUsual;
    return { ok: true, rules: { basis, highFrom: 1, lowTo: 0, holdMs, gapMs, shortestMs } };
  }
  const { loadedBar, emptyBar } = settings;
  if (loadedBar === undefined || emptyBar === undefined) {
    return refuse('loadedBar and emptyBar: measure them on the truck');
  }
  if (emptyBar >= loadedBar) return refuse('emptyBar must be below loadedBar');
  const holdMs = settings.holdMs ?? holdMsUsual;
  return {
    ok: true,
    rules: { basis, highFrom: loadedBar, lowTo: emptyBar, holdMs, gapMs, shortestMs },
  };
}
