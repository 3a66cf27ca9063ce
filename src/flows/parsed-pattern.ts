import { type LiftPattern, parseLiftPattern } from '../domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../domain/usage/meter.ts';
import { findPattern } from '../store/lift-pattern.ts';
import type { Tx } from '../store/tx.ts';

/** Parsed pattern versions; a version never changes. */
const patterns = new Map<string, LiftPattern>();
const patternsMax = 2_000;

/** The pattern that an asset follows; null when it follows none. */
export async function patternOf(
  tx: Tx,
  fleetId: number,
  asset: { patternId: string | null; patternVersion: number | null },
): Promise<LiftPattern | null> {
  const { patternId, patternVersion } = asset;
  if (patternId === null || patternVersion === null) return null;
  const key = `${fleetId} ${patternId} ${patternVersion}`;
  const known = patterns.get(key);
  if (known) return known;
  const row = await findPattern(tx, fleetId, patternId, patternVersion);
  const parsed = row && parseLiftPattern(row.document, builtInMeters);
  if (!parsed?.ok) return null;
  if (patterns.size >= patternsMax) patterns.clear();
  patterns.set(key, parsed.pattern);
  return parsed.pattern;
}
