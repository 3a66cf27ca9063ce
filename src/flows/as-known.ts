import { instantText, parseInstant } from '../domain/instant.ts';
import { Problem } from '../errors.ts';
import { lastEventNumber } from '../store/event.ts';
import { lastEventAt, momentOfEvent, versionsSince } from '../store/record-version.ts';
import type { Tx } from '../store/tx.ts';

/** Up to which event a record is told, and when that was recorded. */
export interface AsKnown {
  event: number;
  atMs: number;
}

const tooEarly = (since: number) =>
  new Problem('not_known_then', `What was known is kept from event ${since} on.`);

/**
 * The event up to which a record is to be told: the last one, the one of that number, or the last
 * that was known at that instant. What was told for an event is told again the same for ever.
 *
 * @throws Problem query_invalid, not_known_then
 */
export async function asKnownAt(
  tx: Tx,
  fleetId: number,
  asked: string | undefined,
): Promise<AsKnown> {
  const last = await lastEventNumber(tx, fleetId);
  let event = last;
  if (asked !== undefined) {
    if (/^\d{1,15}$/.test(asked)) event = Number(asked);
    else {
      const atMs = parseInstant(asked);
      if (atMs === null) {
        throw new Problem('query_invalid', 'asKnownAt is the number of an event, or an instant.');
      }
      event = await lastEventAt(tx, fleetId, atMs);
    }
  }
  if (event > last) {
    throw new Problem('not_known_then', `The last event is ${last}: nobody knows what follows.`);
  }
  const since = await versionsSince(tx, fleetId);
  if (event < since) throw tooEarly(since);
  return { event, atMs: (await momentOfEvent(tx, fleetId, event)) ?? 0 };
}

export const showAsKnown = ({ event, atMs }: AsKnown) => ({
  event,
  recordedAt: atMs === 0 ? null : instantText(atMs),
});
