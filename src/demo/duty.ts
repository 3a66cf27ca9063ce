/**
 * What a unit does on one day: calls by the yard's local clock, more of them on weekdays, some at
 * night. Pure: the same unit, day and seed always bring the same calls.
 */
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import { startOfLocalDay } from '../domain/usage/local-day.ts';
import { createRandom, type Random } from './random.ts';

export interface Stretch {
  readonly fromMs: number;
  readonly toMs: number;
}

/** The lift's movements that are counted; each counter names one of them. */
export type CycleMeter = 'lift_cycles' | 'fold_cycles' | 'arm_cycles' | 'reach_cycles';

export interface Call {
  /** Key on and key off: the engine runs between them. */
  readonly startMs: number;
  readonly endMs: number;
  readonly pto: readonly Stretch[];
  /** With a vehicle on the lift, at a steady whole number of metres in a second. */
  readonly loaded: Stretch & { readonly metresPerSecond: number };
  /** When each cycle was complete. */
  readonly cycles: Readonly<Record<CycleMeter, readonly number[]>>;
}

export interface Duty {
  readonly seed: string;
  readonly unit: string;
  readonly timeZone: string;
  /** Calls on an ordinary weekday. */
  readonly weekdayCalls: number;
  /** Chance of one call in the night after a day. */
  readonly nightChance: number;
}

const minuteMs = 60_000;
const hourMs = 3_600_000;
/** No call of the day before is still on by then, and none of the day has begun. */
export const quietFromMs = 4.25 * hourMs;
export const quietUntilMs = 5.5 * hourMs;

/** 0 is Sunday. */
export function weekdayOf(day: string): number {
  return (((ordinalOf(day) + 4) % 7) + 7) % 7;
}

/** How a weekday compares with an ordinary one, from Sunday on. */
const weekdayShare = [0.2, 1.1, 1, 0.95, 1, 1.15, 0.5];

/** The calls that begin on a local day, in order, never two at a time. */
export function planDay(duty: Duty, day: string): Call[] {
  const random = createRandom(`${duty.seed}/duty/${duty.unit}/${day}`);
  const midnightMs = startOfLocalDay(day, duty.timeZone);
  const expected = duty.weekdayCalls * weekdayShare[weekdayOf(day)]!;
  const count = Math.floor(expected * (0.7 + 0.6 * random.next()) + random.next());
  const calls: Call[] = [];
  let freeMs = midnightMs + 6 * hourMs + random.int(0, 60) * minuteMs;
  const shiftEndMs = midnightMs + 18.5 * hourMs;
  for (let i = 0; i < count; i += 1) {
    const waitMs = random.int(4, 50) * minuteMs;
    if (freeMs + waitMs > shiftEndMs) break;
    const call = planCall(random, freeMs + waitMs);
    calls.push(call);
    freeMs = call.endMs;
  }
  const weekend = weekdayOf(day) === 5 || weekdayOf(day) === 6;
  if (random.chance(duty.nightChance * (weekend ? 1.6 : 1))) {
    calls.push(planCall(random, midnightMs + random.int(20 * 60 + 30, 24 * 60 + 30) * minuteMs));
  }
  return calls;
}

export function nextDay(day: string): string {
  return dayOf(ordinalOf(day) + 1);
}

/** Times in whole seconds, as a gateway keeps them. */
function planCall(random: Random, startMs: number): Call {
  const secondsLater = (fromMs: number, low: number, high: number) =>
    fromMs + random.int(low, high) * 1000;
  const hookMs = secondsLater(startMs, 360, 1300);
  const hookedMs = secondsLater(hookMs, 280, 620);
  const dropMs = secondsLater(hookedMs, 540, 2300);
  const droppedMs = secondsLater(dropMs, 170, 380);
  const endMs = secondsLater(droppedMs, 60, 400);
  const hook = { fromMs: hookMs, toMs: hookedMs };
  const drop = { fromMs: dropMs, toMs: droppedMs };
  const secondTry = random.chance(0.3) ? 1 : 0;
  return {
    startMs,
    endMs,
    pto: [hook, drop],
    loaded: { fromMs: hookedMs, toMs: dropMs, metresPerSecond: random.int(8, 17) },
    cycles: {
      lift_cycles: [...spaced(hook, secondTry), ...spaced(drop, 1)],
      fold_cycles: [...spaced(drop, 1)],
      arm_cycles: [...spaced(hook, 1 + secondTry), ...spaced(drop, 1)],
      reach_cycles: [...spaced(hook, 1 + secondTry), ...spaced(drop, random.int(0, 1))],
    },
  };
}

/** `count` instants inside a stretch, evenly apart and more than a minute from each other. */
function spaced({ fromMs, toMs }: Stretch, count: number): number[] {
  const seconds = Math.floor((toMs - fromMs) / 1000 / (count + 1));
  return Array.from({ length: count }, (_, i) => fromMs + (i + 1) * seconds * 1000);
}
