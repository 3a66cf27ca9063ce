/**
 * Cautions that the demo's patterns share. Common practice, no source; the maker's manual comes
 * first.
 */
export const makersManual =
  "The equipment maker's manual, local codes and qualified practice come before this card.";
export const figureIsExample =
  "The torque is an example for this demo; use the figure in the equipment maker's manual.";
export const atRest = 'PTO out, key off and with you, wheels chocked.';
export const onBlocks = 'The raised lift rests on blocks, never on oil.';
export const pressureOut = 'Let the pressure out before you open a line.';
export const neverFeel =
  'Never feel for a leak: use card, not your hand. Oil under the skin is for the emergency room.';
export const eyes = 'Wear eye protection.';
export const gloves = 'Wear gloves, but never near a drum that turns.';
export const bareHands = 'No gloves here: the drum turns and draws them in.';
export const wipeFirst = 'Wipe the fitting before the gun goes on, and after.';
export const clearOfPinch =
  'Hands stay out of the fold and the arms while anybody is at the controls.';
export const findEndsIt =
  'Bent, cracked or missing ends the work: nobody goes on below it, and the unit is stopped.';

/** A service point as it is written in a document. */
export interface PatternPoint {
  readonly [key: string]: unknown;
  readonly key: string;
  readonly kind: string;
  readonly cautions: readonly string[];
}

/** A lift pattern as it is posted; `parseLiftPattern` is what checks it. */
export interface PatternDocument {
  readonly [key: string]: unknown;
  readonly name: string;
  readonly assetKind: 'lift';
  readonly servicePoints: readonly PatternPoint[];
  readonly tasks: readonly PatternTask[];
}

export interface PatternTask {
  readonly [key: string]: unknown;
  readonly key: string;
  readonly name: string;
  readonly points: readonly string[];
  /** By meter in its unit, `days` or `months`. */
  readonly every: Readonly<Record<string, number>>;
  readonly statutory?: boolean;
  readonly severity?: {
    readonly dust?: number;
    readonly salt?: number;
    readonly heavy_use?: number;
  };
}
