import { addDays, localDay } from '../domain/usage/local-day.ts';
import type { MeasuredGrade } from '../domain/wear/measurement.ts';
import type { Actor } from './actor.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { recordFinding } from './record-finding.ts';
import type { WearPlace } from './wear-place.ts';
import type { Work } from './work.ts';

/**
 * Makes the finding that a measurement calls for. Only what is on a unit can stop one: of an asset
 * on none nothing is found, and it is measured again when it is fitted.
 */
export async function findWear(
  work: Work,
  by: Actor,
  place: WearPlace,
  found: {
    grade: MeasuredGrade | null;
    pointKey: string;
    part: string | null;
    words: string;
    sourceId: string;
  },
): Promise<string | null> {
  const { tx, fleetId, nowMs } = work;
  const { assetId, unitId } = place.asset;
  if (found.grade === null || unitId === null) return null;
  const { zone } = await zoneOfAsset(tx, fleetId, assetId, nowMs);
  const { grade } = found;
  const { finding } = await recordFinding(work, by, {
    unitId,
    assetId,
    pointKey: found.pointKey,
    part: found.part,
    grade: grade.grade,
    words: found.words,
    mendByDay: grade.grade === 'mend_by' ? addDays(localDay(nowMs, zone), grade.withinDays) : null,
    mendByUse: null,
    source: { kind: 'measurement', id: found.sourceId },
  });
  return finding.findingId;
}
