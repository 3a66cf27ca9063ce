/**
 * A part from fitted to removed. What it was used before it was fitted here counts with it: a part
 * that moves takes its use along.
 */

/**
 * What is known of a part's use before it was fitted here. Use that is given with `unknown` is the
 * least that it was.
 */
export const PRIOR_LIVES = ['new', 'known', 'estimated', 'unknown'] as const;
export type PriorLife = (typeof PRIOR_LIVES)[number];

export const REMOVAL_REASONS = ['worn', 'broken', 'precaution', 'recalled', 'moved'] as const;
export type RemovalReason = (typeof REMOVAL_REASONS)[number];

/** Grains by meter. */
export type Use = Readonly<Record<string, number>>;

/** How well a use is known: of an unknown prior life only the part that was counted here is. */
export type UseKnown = 'known' | 'estimated' | 'at_least';

const knownAs: Readonly<Record<PriorLife, UseKnown>> = {
  new: 'known',
  known: 'known',
  estimated: 'estimated',
  unknown: 'at_least',
};

export interface LifeUse {
  meter: string;
  grains: number;
  known: UseKnown;
}

/**
 * The use of a part at a moment: before it was fitted, and since by what the meters of its asset
 * counted from then on. A correction of the ledger can take a sum below nothing; a part cannot have
 * been used less than not at all.
 */
export function lifeUse(
  prior: { life: PriorLife; use: Use },
  fittedAt: Use,
  atMoment: Use,
): LifeUse[] {
  return Object.keys(atMoment)
    .sort()
    .map((meter) => {
      const here = Math.max(0, (atMoment[meter] ?? 0) - (fittedAt[meter] ?? 0));
      const said = prior.life === 'new' ? 0 : prior.use[meter];
      const known = said === undefined ? 'at_least' : knownAs[prior.life];
      return { meter, grains: here + (said ?? 0), known };
    });
}

/** What a part takes along when it moves to another asset. */
export function carriedAlong(use: readonly LifeUse[]): { life: PriorLife; use: Use } {
  const grains = Object.fromEntries(use.map((each) => [each.meter, each.grains]));
  if (use.length === 0 || use.some((each) => each.known === 'at_least')) {
    return { life: 'unknown', use: grains };
  }
  const life = use.some((each) => each.known === 'estimated') ? 'estimated' : 'known';
  return { life, use: grains };
}

export interface Period {
  fromMs: number;
  toMs: number | null;
}

/** Whether two parts would sit in one place at one time. */
export const overlaps = (a: Period, b: Period): boolean =>
  a.fromMs < (b.toMs ?? Infinity) && b.fromMs < (a.toMs ?? Infinity);

export interface Warranty {
  untilDay: string | null;
  /** Grains of use of the part, by meter. */
  untilUse: Use;
}

export interface WarrantyStanding {
  state: 'none' | 'runs' | 'ended' | 'unknown';
  /** What ended it: the day, or a meter. */
  by: string | null;
}

/**
 * A warranty ends by its day or by use, whichever comes first; the day itself is still inside, and
 * so is the last grain. With use that is known as `at_least` it may have ended unseen.
 */
export function warrantyAt(
  warranty: Warranty,
  today: string,
  use: readonly LifeUse[],
): WarrantyStanding {
  const meters = Object.keys(warranty.untilUse).sort();
  if (warranty.untilDay === null && meters.length === 0) return { state: 'none', by: null };
  if (warranty.untilDay !== null && today > warranty.untilDay) return { state: 'ended', by: 'day' };
  let unknown: string | null = null;
  for (const meter of meters) {
    const used = use.find((each) => each.meter === meter);
    if (used && used.grains > (warranty.untilUse[meter] as number)) {
      return { state: 'ended', by: meter };
    }
    if (!used || used.known === 'at_least') unknown ??= meter;
  }
  return unknown === null ? { state: 'runs', by: null } : { state: 'unknown', by: unknown };
}
