/** The only place that reads the machine's time. Everything else is handed a `Clock`. */
export interface Clock {
  /** Milliseconds since 1970-01-01T00:00:00Z. */
  nowMs(): number;
}

export const systemClock: Clock = { nowMs: () => Date.now() };
