import type { MeterSource } from '../domain/upkeep/silence.ts';
import { allowedSilenceMs } from '../domain/usage/gateway-habit.ts';
import { handSilenceMs } from '../domain/usage/hand-reading.ts';
import { type LineContact, linesOfAssets, linesWithContact } from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';

/** Why a meter is not to be believed, as the gateway's health puts it. */
export const noContact = 'no_contact';
export const noReadingYet = 'no_reading_yet';
export const noHandReading = 'nobody_read_it';
export const readingInDoubt = 'reading_in_doubt';

function sourceOf(line: LineContact): MeterSource {
  const { lastAtMs, lastPostAtMs, habitMs, inDoubt, byHand } = line;
  // A heartbeat says that nothing new was counted only where something was counted before.
  if (lastAtMs === null) {
    return { kind: 'counting', knownUntilMs: 0, staleAtMs: 0, staleReason: noReadingYet };
  }
  if (inDoubt) {
    const staleReason = readingInDoubt;
    return { kind: 'counting', knownUntilMs: lastAtMs, staleAtMs: lastAtMs, staleReason };
  }
  if (byHand) {
    const staleAtMs = lastAtMs + handSilenceMs;
    return { kind: 'counting', knownUntilMs: lastAtMs, staleAtMs, staleReason: noHandReading };
  }
  // A reading is a sign of life too, also one by a gateway that was replaced since.
  const heardMs = Math.max(lastPostAtMs ?? 0, lastAtMs);
  return {
    kind: 'counting',
    knownUntilMs: heardMs,
    staleAtMs: heardMs + allowedSilenceMs(habitMs),
    staleReason: noContact,
  };
}

/** Who counts an asset's meters now, how far that is known, and from when on the silence tells. */
export async function meterSourcesNow(
  tx: Tx,
  fleetId: number,
  assetId: string,
  nowMs: number,
): Promise<Record<string, MeterSource>> {
  const rows = await linesWithContact(tx, fleetId, assetId, nowMs);
  return Object.fromEntries(rows.map((row) => [row.meter, sourceOf(row)]));
}

/** Of these assets the meters that somebody counts and that are heard from at the instant. */
export async function metersHeard(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
  nowMs: number,
): Promise<Map<string, Set<string>>> {
  const heard = new Map<string, Set<string>>();
  if (assetIds.length === 0) return heard;
  for (const [assetId, lines] of await linesOfAssets(tx, fleetId, assetIds, nowMs)) {
    const counted = lines.filter((line) => {
      const source = sourceOf(line);
      return source.kind === 'counting' && nowMs < source.staleAtMs;
    });
    heard.set(assetId, new Set(counted.map((line) => line.meter)));
  }
  return heard;
}
