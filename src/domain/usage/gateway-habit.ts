/** How long a gateway may be silent before its meters are stale. Pure. */

const hourMs = 3_600_000;

/** No gateway is called silent before a day is over: a truck may stand a night and a morning. */
export const leastSilenceMs = 26 * hourMs;
/** However rarely it used to post, two weeks without a word are silence. */
export const mostSilenceMs = 14 * 24 * hourMs;

/**
 * The silence that a gateway's own habit allows: one and a half times its longest gap of about the
 * last month, within bounds. Common practice, no source.
 */
export function allowedSilenceMs(habitMs: number): number {
  return Math.min(mostSilenceMs, Math.max(leastSilenceMs, Math.ceil(habitMs * 1.5)));
}
