import type { MeterSource } from '../domain/upkeep/silence.ts';
import { allowedSilenceMs } from '../domain/usage/gateway-habit.ts';
import { linesWithContact } from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';

/** Why a meter is not to be believed, as the gateway's health puts it. */
export const noContact = 'no_contact';

/** Who counts an asset's meters now, how far that is known, and from when on the silence tells. */
export async function meterSourcesNow(
  tx: Tx,
  fleetId: number,
  assetId: string,
  nowMs: number,
): Promise<Record<string, MeterSource>> {
  const sources: Record<string, MeterSource> = {};
  for (const row of await linesWithContact(tx, fleetId, assetId, nowMs)) {
    // A reading is a sign of life too, also one by a gateway that was replaced since.
    const heardMs = Math.max(row.lastPostAtMs ?? 0, row.lastAtMs ?? 0, row.fromMs);
    sources[row.meter] = {
      kind: 'counting',
      knownUntilMs: heardMs,
      staleAtMs: heardMs + allowedSilenceMs(row.habitMs),
      staleReason: noContact,
    };
  }
  return sources;
}
