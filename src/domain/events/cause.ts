import { instantText } from '../instant.ts';

/**
 * Why use or a status is not what it was, when no reading came: somebody said what is on which
 * unit, or what counts for it.
 */
export interface Cause {
  what:
    | 'install_begun'
    | 'install_moved'
    | 'install_corrected'
    | 'unit_moved'
    | 'yard_corrected'
    | 'meter_source_chosen'
    | 'meter_source_voided'
    | 'hand_reading_voided'
    | 'usage_adjusted'
    | 'usage_adjustment_withdrawn'
    | 'reading_decided';
  /** What it is about: `install/<id>`, `asset/<id>`, `unit/<id>`, `yard/<id>`. */
  subject: string;
  /** The correction or the choice. */
  id?: string;
  /** From here on things were otherwise than was believed. */
  sinceMs: number;
}

/** Kept with one mark, and told with one event. */
export const causesMax = 20;

/** The causes as events show them. */
export const showCauses = (causes: readonly Cause[]) =>
  causes.map(({ sinceMs, ...rest }) => ({ ...rest, since: instantText(sinceMs) }));

/** Each cause once, a bounded number. */
export function joinCauses(...lists: readonly (readonly Cause[])[]): Cause[] {
  const byText = new Map(lists.flat().map((cause) => [JSON.stringify(cause), cause]));
  return [...byText.values()].slice(0, causesMax);
}
