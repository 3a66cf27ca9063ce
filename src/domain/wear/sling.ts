import { decide, type FiredRule, losesMoreThan, type Removal } from './removal.ts';

export const SLING_DAMAGES = [
  'chemical_burn',
  'melted',
  'cut',
  'torn_stitches',
  'bent_fitting',
  'no_tag',
  'knot',
  'stiff_or_bleached',
] as const;
export type SlingDamage = (typeof SLING_DAMAGES)[number];

export interface SlingLook {
  damages: readonly SlingDamage[];
  /** Thickness when new and where it is most rubbed, ten-thousandths of one unit. */
  thicknessNew: number | null;
  thicknessNow: number | null;
}

const lists = '29 CFR 1910.184(i)(9) and ASME B30.9, as secondary pages give them';
const rubbed = 'one university safety office: 15 % of the thickness';

/** A web sling or strap. Each thing of the list alone ends it. */
export function judgeSling(look: SlingLook): Removal {
  const fired = look.damages.map((each): FiredRule => {
    const words = `Seen: ${each.replaceAll('_', ' ')}.`;
    return { rule: each, decision: 'remove', benchmark: lists, words };
  });
  const { thicknessNew, thicknessNow } = look;
  if (thicknessNew !== null && thicknessNow !== null) {
    if (losesMoreThan(thicknessNew, thicknessNow, 15)) {
      const words = 'More than 15 % of the thickness is rubbed away.';
      fired.push({ rule: 'rubbed', decision: 'remove', benchmark: rubbed, words });
    }
  }
  return decide(fired);
}

export const FIBRE_ROPES = ['braid', 'double_braid', 'three_strand'] as const;
export type FibreRopeKind = (typeof FIBRE_ROPES)[number];
export const FIBRE_DAMAGES = [
  'cut_strand',
  'glazed_and_stiff',
  'glazed',
  'lumps_or_flat_spots',
  'hard_or_gritty',
  'discoloured',
] as const;
export type FibreDamage = (typeof FIBRE_DAMAGES)[number];

export interface FibreRopeLook {
  kind: FibreRopeKind;
  /** Hundredths of the fibre that are rubbed or broken; of a double braid, of its sheath. */
  brokenPercent: number | null;
  damages: readonly FibreDamage[];
}

const fibre = 'a public page on rope inspection; the document of record is CI 2001-04';
const endsAt: Readonly<Record<FibreRopeKind, number>> = {
  braid: 25,
  double_braid: 50,
  three_strand: 10,
};

/** A synthetic rope. Fuzz that has settled is normal, and no damage. */
export function judgeFibreRope(look: FibreRopeLook): Removal {
  const fired = look.damages.map((each): FiredRule => {
    const words = `Seen: ${each.replaceAll('_', ' ')}.`;
    return { rule: each, decision: 'remove', benchmark: fibre, words };
  });
  const ends = endsAt[look.kind];
  if (look.brokenPercent === null) {
    const words = 'Nobody said how much of the fibre is broken.';
    fired.push({ rule: 'broken_fibre', decision: 'competent_person', benchmark: fibre, words });
  } else if (look.brokenPercent >= ends) {
    const words = `${look.brokenPercent} % of the fibre is broken; ${ends} % end it.`;
    fired.push({ rule: 'broken_fibre', decision: 'remove', benchmark: fibre, words });
  } else if (5 * look.brokenPercent >= 4 * ends) {
    const words = `${look.brokenPercent} % of the fibre is broken; ${ends} % end it.`;
    fired.push({ rule: 'broken_fibre', decision: 'keep_watch', benchmark: fibre, words });
  }
  return decide(fired);
}
