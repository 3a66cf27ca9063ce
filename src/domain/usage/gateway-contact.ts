/** Whether a gateway has been heard of lately, against its own habit. Pure. */
import { allowedSilenceMs, leastSilenceMs } from './gateway-habit.ts';

export interface GatewayContact {
  createdAtMs: number;
  lastPostAtMs: number | null;
  /** Its longest gap between posts of about the last month. */
  habitMs: number;
  /** Since when it is on the unit where it is now; null: it is on none. */
  onUnitSinceMs: number | null;
}

export interface ContactNow {
  /** `never`: no post has come yet, and none had to. */
  state: 'heard' | 'silent' | 'never';
  /** From when on nothing was heard; null: it is heard. */
  sinceMs: number | null;
  /** From here on it is (or will be) silent; null while nothing is expected of it. */
  silentFromMs: number | null;
}

/**
 * A gateway that posted is silent when that is longer ago than its habit allows. One that never did
 * is silent a day after it was put on a unit; on no unit nothing is expected of it.
 */
export function contactNow(contact: GatewayContact, nowMs: number): ContactNow {
  const { createdAtMs, lastPostAtMs, habitMs, onUnitSinceMs } = contact;
  if (lastPostAtMs === null) {
    if (onUnitSinceMs === null) return { state: 'never', sinceMs: null, silentFromMs: null };
    const sinceMs = Math.max(createdAtMs, onUnitSinceMs);
    const silentFromMs = sinceMs + leastSilenceMs;
    return nowMs >= silentFromMs
      ? { state: 'silent', sinceMs, silentFromMs }
      : { state: 'never', sinceMs: null, silentFromMs };
  }
  const silentFromMs = lastPostAtMs + allowedSilenceMs(habitMs);
  return nowMs >= silentFromMs
    ? { state: 'silent', sinceMs: lastPostAtMs, silentFromMs }
    : { state: 'heard', sinceMs: null, silentFromMs };
}
