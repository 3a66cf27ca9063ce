import type { Clock } from '../clock.ts';

/**
 * A clock that stands where it is set, only ever goes forward, and can become the machine's
 * own.
 */
export class WarpedClock implements Clock {
  #standsMs: number;
  #real: Clock | null = null;

  constructor(startMs: number) {
    this.#standsMs = startMs;
  }

  nowMs(): number {
    return this.#real ? Math.max(this.#standsMs, this.#real.nowMs()) : this.#standsMs;
  }

  /** @throws RangeError when it would go back */
  set(toMs: number): void {
    if (this.#real || toMs < this.#standsMs) throw new RangeError('the clock only goes forward');
    this.#standsMs = toMs;
  }

  /** From now on it is the other clock, though never behind where it stood. */
  release(real: Clock): void {
    this.#real = real;
  }
}
