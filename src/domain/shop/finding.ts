import type { UnitFunction } from '../upkeep/service-point.ts';
import type { AssetKind } from '../usage/meter.ts';

/** How a place is, mildest first. `mend_by`: it holds until a date or an amount of use. */
export const FINDING_GRADES = ['sound', 'keep_watch', 'mend_by', 'unfit'] as const;
export type FindingGrade = (typeof FINDING_GRADES)[number];

export const FINDING_SOURCES = [
  'step',
  'symptom',
  'incident',
  'walk_round',
  'measurement',
  'person',
] as const;
export type FindingSource = (typeof FINDING_SOURCES)[number];

/** `superseded`: looked at again and graded otherwise, as another finding. */
export const FINDING_ENDINGS = ['mended', 'withdrawn', 'superseded'] as const;
export type FindingEnding = (typeof FINDING_ENDINGS)[number];

export const isWorse = (a: FindingGrade, than: FindingGrade): boolean =>
  FINDING_GRADES.indexOf(a) > FINDING_GRADES.indexOf(than);

/** What an asset of a kind serves, where its pattern does not say it of the place. */
const servedByKind: Record<AssetKind, UnitFunction[]> = {
  chassis: ['road'],
  lift: ['wheel_lift'],
  winch: ['winch'],
  dolly_set: ['dollies'],
};

/**
 * The functions that a place serves: what its pattern says of it, else what an asset of that kind
 * is for; of the unit itself the road, on which everything else rests. Never none.
 */
export function servedFunctions(
  place: { kind: AssetKind; serves: readonly UnitFunction[] } | null,
): UnitFunction[] {
  if (place === null) return ['road'];
  return place.serves.length > 0 ? [...place.serves] : servedByKind[place.kind];
}

/** The earlier of two days; one that is not given sets no bound. */
export function earlierDay(a: string | null, b: string | null): string | null {
  if (a === null || b === null) return a ?? b;
  return a < b ? a : b;
}
