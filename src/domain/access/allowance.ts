import type { Role } from './role.ts';

/** Whose limits are alike: devices, people at screens, programs of others. */
export const limitClasses = ['gateway', 'people', 'integrator'] as const;
export type LimitClass = (typeof limitClasses)[number];

/** Requests that one key may make in a window, by class; 0: as many as it likes. */
export type RequestLimits = Readonly<Record<LimitClass, number>>;

export const windowMs = 60_000;

export const limitClassOf = (role: Role): LimitClass =>
  role === 'gateway' || role === 'integrator' ? role : 'people';

/**
 * Where the windows of a key begin within a minute, ms: not all at one moment, or everybody who was
 * refused would come back at once.
 */
const phaseOf = (keyId: string): number => Number.parseInt(keyId.slice(-6), 16) % windowMs;

/**
 * What one process knows of the use of one key. The first twentieth of a limit is let through
 * without asking anybody, so that the many keys that stay below cost nothing; beyond it, requests
 * are borrowed from the store, a twentieth at a time and fewer towards the end. With n processes a
 * key may so get up to n - 1 twentieths more, or fewer, than its limit.
 */
export class Allowance {
  readonly #most: number;
  readonly #phaseMs: number;
  #window = Number.NaN;
  #lent = 0;
  #used = 0;
  /** Of what is used here and lent to here, how much the store knows. */
  #told = 0;
  #elsewhere = 0;
  #spent = false;

  constructor(most: number, keyId: string) {
    this.#most = most;
    this.#phaseMs = phaseOf(keyId);
  }

  /** At which window it is now; begins the next one when its time has come. */
  #turn(nowMs: number): void {
    const window = Math.floor((nowMs + this.#phaseMs) / windowMs);
    if (window === this.#window) return;
    this.#window = window;
    this.#lent = Math.min(this.#most, Math.ceil(this.#most / 20));
    this.#used = 0;
    this.#told = 0;
    this.#elsewhere = 0;
    this.#spent = false;
  }

  /** Lets one request through, refuses it, or says that the store must be asked for more. */
  take(nowMs: number): 'allowed' | 'refused' | 'ask' {
    this.#turn(nowMs);
    if (this.#used < this.#lent) {
      this.#used += 1;
      return 'allowed';
    }
    return this.#spent ? 'refused' : 'ask';
  }

  /** What to ask of the store: `used` is new to it, `want` is hoped for. */
  question(): { window: number; used: number; want: number; most: number } {
    return {
      window: this.#window,
      used: this.#lent - this.#told,
      want: Math.ceil(this.#most / 20),
      most: this.#most,
    };
  }

  /** The answer of the store to `question`; one of a window that is over says nothing. */
  answer(window: number, lent: number, usedInAll: number): void {
    if (window !== this.#window) return;
    this.#lent += lent;
    this.#told = this.#lent;
    this.#elsewhere = Math.max(0, usedInAll - this.#told);
    this.#spent = lent === 0;
  }

  /** Without the store: requests pass, counted here alone. */
  unasked(): void {
    this.#used += 1;
    this.#lent += 1;
  }

  /** What is left, as far as is known here, and for how long: whole seconds, at least 1. */
  left(nowMs: number): { requests: number; seconds: number } {
    this.#turn(nowMs);
    const endMs = (this.#window + 1) * windowMs - this.#phaseMs;
    const rest = this.#spent ? this.#lent - this.#used : this.#most - this.#elsewhere - this.#used;
    return { requests: Math.max(0, rest), seconds: Math.max(1, Math.ceil((endMs - nowMs) / 1000)) };
  }
}
