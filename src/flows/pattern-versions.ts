import { v7 as uuid } from 'uuid';
import { comparePatterns, type PatternChange } from '../domain/upkeep/compare-patterns.ts';
import { Problem } from '../errors.ts';
import { insertPatternMove } from '../store/lift-pattern.ts';
import type { Tx } from '../store/tx.ts';
import { patternOf } from './parsed-pattern.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

/** Keeps what an asset followed until now, as it moves to another version or pattern. */
export async function keepPatternMove(
  work: Work,
  by: Recorder,
  asset: { assetId: string; patternId: string | null; patternVersion: number | null },
  to: { patternId: string; version: number },
): Promise<void> {
  await insertPatternMove(work.tx, {
    fleetId: work.fleetId,
    moveId: uuid(),
    assetId: asset.assetId,
    fromPatternId: asset.patternId,
    fromVersion: asset.patternVersion,
    ...to,
    movedAtMs: work.nowMs,
    recordedBy: by.name,
  });
}

/**
 * What is otherwise in the version `to` of a pattern, in words.
 *
 * @throws Problem not_found
 */
export async function compareVersions(
  tx: Tx,
  fleetId: number,
  patternId: string,
  versions: { from: number; to: number },
): Promise<PatternChange[]> {
  const from = await patternOf(tx, fleetId, { patternId, patternVersion: versions.from });
  const to = await patternOf(tx, fleetId, { patternId, patternVersion: versions.to });
  if (!from || !to) throw new Problem('not_found', 'There is no such pattern version.');
  return comparePatterns(from, to);
}
