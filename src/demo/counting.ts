/** What a unit's counters make of a call: when they tick, and when the gateway reads them. Pure. */
import type { Call, CycleMeter } from './duty.ts';

export interface CounterSpec {
  /** Name in posts; the same on every gateway. */
  readonly counter: string;
  readonly meter: string;
  /** One tick, in the unit of the meter. */
  readonly resolution: number;
  /** One tick in grains: seconds, cycles or metres. */
  readonly grainsPerTick: number;
  readonly counts: 'pto' | 'engine' | 'loaded' | CycleMeter;
}

/** One reading of a counter that never wraps, is never reset and never lies. */
export interface TrueReading {
  readonly atMs: number;
  readonly ticks: number;
}

/** Where a counter stands: whole ticks, and thousandths of a grain towards the next. */
export interface Standing {
  readonly ticks: number;
  readonly parts: number;
}

/** A counter is read again at the earliest so much later. */
export const readingGapMs = 120_000;

/**
 * The readings of a call: one at key on, whether or not anything changed since, then one when the
 * counter has changed, and the last at key off if it changed after the one before. So use between
 * two calls cannot be, and every tick lies between two readings of its own call.
 */
export function readCall(
  call: Call,
  spec: CounterSpec,
  before: Standing,
): { readings: TrueReading[]; after: Standing } {
  const { times, parts } = tickTimes(call, spec, before.parts);
  const readings: TrueReading[] = [{ atMs: call.startMs, ticks: before.ticks }];
  let seen = 0;
  let lastMs = call.startMs;
  while (seen < times.length) {
    const atMs = Math.min(call.endMs, Math.max(times[seen]!, lastMs + readingGapMs));
    while (seen < times.length && times[seen]! <= atMs) seen += 1;
    readings.push({ atMs, ticks: before.ticks + seen });
    lastMs = atMs;
  }
  return { readings, after: { ticks: before.ticks + times.length, parts } };
}

/** When the counter ticks in a call, and what is left towards the next tick. */
function tickTimes(
  call: Call,
  spec: CounterSpec,
  partsBefore: number,
): { times: number[]; parts: number } {
  switch (spec.counts) {
    case 'pto':
      return accrue(call.pto, 1, spec.grainsPerTick, partsBefore);
    case 'engine':
      return accrue(
        [{ fromMs: call.startMs, toMs: call.endMs }],
        1,
        spec.grainsPerTick,
        partsBefore,
      );
    case 'loaded':
      return accrue([call.loaded], call.loaded.metresPerSecond, spec.grainsPerTick, partsBefore);
    default:
      return { times: [...call.cycles[spec.counts]], parts: 0 };
  }
}

/**
 * `rate` is in thousandths of a grain a millisecond: 1 for hours, metres a second for
 * kilometres.
 */
function accrue(
  stretches: readonly { readonly fromMs: number; readonly toMs: number }[],
  rate: number,
  grainsPerTick: number,
  partsBefore: number,
): { times: number[]; parts: number } {
  const tick = grainsPerTick * 1000;
  const times: number[] = [];
  let parts = partsBefore;
  for (const { fromMs, toMs } of stretches) {
    let atMs = fromMs;
    for (;;) {
      const tickMs = atMs + Math.ceil((tick - parts) / rate);
      if (tickMs > toMs) break;
      parts += (tickMs - atMs) * rate - tick;
      atMs = tickMs;
      times.push(tickMs);
    }
    parts += (toMs - atMs) * rate;
  }
  return { times, parts };
}
