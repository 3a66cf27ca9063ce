import { startOfLocalDay } from '../usage/local-day.ts';
import { type Meter, minMsPerTick } from '../usage/meter.ts';
import { dayOf } from './calendar.ts';
import type { Measured } from './measure-task.ts';
import { ceilDiv, type Span } from './severity.ts';

/** Who counts a meter of this asset now. */
export type MeterSource =
  | { kind: 'none' }
  | {
      kind: 'counting';
      /** Use is known up to here: the last reading, or a later sign of life with nothing new. */
      knownUntilMs: number;
      /** From here on the silence is longer than the gateway's habit. */
      staleAtMs: number;
      /** Why, as the gateway's health puts it: 'no_contact'. */
      staleReason: string;
    };

/**
 * A meter that nobody has heard from: how far it could have come by now, were it used as fast as
 * is physically possible since it was last known.
 */
export interface Silent {
  meter: string;
  why: 'stale' | 'none';
  reason: string;
  sinceMs: number;
  /** Use on which the silent time builds: thousandths of a grain, and unweighted grains. */
  base: number;
  baseGrains: number;
  /** Use at most, now. */
  most: number;
  mostGrains: number;
  fastestMsPerGrain: number;
}

/**
 * The silent state of a meter, or null when it is known. Nothing can have been used since a task
 * was done before it was done, so the silence counts from there at the earliest; a meter without
 * any source is silent from there.
 */
export function silenceOf(
  meter: Meter,
  source: MeterSource,
  measured: Measured,
  grains: number,
  carry: number,
  doneAtMs: number,
  nowMs: number,
  clock: SpanClock,
): Silent | null {
  if (source.kind === 'counting' && nowMs < source.staleAtMs) return null;
  const counting = source.kind === 'counting';
  const sinceMs = counting ? Math.max(source.knownUntilMs, doneAtMs) : doneAtMs;
  const base = counting ? measured.used : carry;
  const baseGrains = counting ? grains : 0;
  const fastestMsPerGrain = minMsPerTick(meter, 1);
  const weighted = clock.weigh(sinceMs, nowMs);
  const plain = Math.max(0, nowMs - sinceMs);
  return {
    meter: meter.name,
    why: counting ? 'stale' : 'none',
    reason: counting ? source.staleReason : '',
    sinceMs,
    base,
    baseGrains,
    most: Math.max(measured.used, base + ceilDiv(weighted, fastestMsPerGrain)),
    mostGrains: Math.max(grains, baseGrains + ceilDiv(plain, fastestMsPerGrain)),
    fastestMsPerGrain,
  };
}

/** The instant at which a silent meter's most possible use comes to `level`; null: too far off. */
export function instantReaching(silent: Silent, level: number, clock: SpanClock): number | null {
  const missing = level - silent.base;
  if (missing <= 0) return silent.sinceMs;
  // ceil(w / p) >= n holds from w = (n - 1) p + 1 on.
  const weight = (missing - 1) * silent.fastestMsPerGrain + 1;
  return Number.isSafeInteger(weight) ? clock.reach(silent.sinceMs, weight) : null;
}

/** The instant at which the most possible unweighted use comes to `grains`. */
export function instantReachingGrains(silent: Silent, grains: number): number {
  const missing = grains - silent.baseGrains;
  return silent.sinceMs + Math.max(0, (missing - 1) * silent.fastestMsPerGrain + 1);
}

/** Time weighed by severity: milliseconds × thousandths. */
export interface SpanClock {
  weigh(fromMs: number, toMs: number): number;
  reach(fromMs: number, weight: number): number;
}

/**
 * `zone` says when the days of the spans begin. The first and last span go on for ever. The zone is
 * asked only as far as a silence reaches, and not at all while nobody is silent.
 */
export function spanClock(spans: readonly Span[], zone: string): SpanClock {
  const ends: number[] = [];
  const endOf = (i: number): number => {
    const next = spans[i + 1];
    ends[i] ??= next ? startOfLocalDay(dayOf(next.from), zone) : Number.POSITIVE_INFINITY;
    return ends[i];
  };
  return {
    weigh(fromMs, toMs) {
      let weight = 0;
      let at = fromMs;
      for (let i = 0; at < toMs; i += 1) {
        const until = Math.min(endOf(i), toMs);
        if (until <= at) continue;
        weight += (until - at) * spans[i]!.factor;
        at = until;
      }
      return weight;
    },
    reach(fromMs, weight) {
      let left = weight;
      let at = fromMs;
      for (let i = 0; ; i += 1) {
        const { factor } = spans[i]!;
        const end = endOf(i);
        if (end <= at) continue;
        if (end === Number.POSITIVE_INFINITY || (end - at) * factor >= left) {
          return at + ceilDiv(left, factor);
        }
        left -= (end - at) * factor;
        at = end;
      }
    },
  };
}
