import type { AssetKind } from '../usage/meter.ts';

/**
 * What a driver looks at while walking round a unit. The eleven of 49 CFR 396.11(a)(1) are what a
 * driver's report covers at least, where that rule applies; the others are common practice for a
 * wheel lift, no source. A closed list.
 */
export const WALK_ITEMS = [
  'service_brakes',
  'parking_brake',
  'steering',
  'lighting',
  'tires',
  'horn',
  'wipers',
  'mirrors',
  'coupling_devices',
  'wheels_rims',
  'emergency_equipment',
  'leaks',
  'hoses',
  'pins_keepers',
  'arms_stowed',
  'crossbar_swing',
  'fold_and_extend',
  'tie_downs',
  'rope_and_hook',
  'work_lights',
  'pto_noise',
  'oil_sight_glass',
  'dollies',
] as const;
export type WalkItem = (typeof WALK_ITEMS)[number];

export interface WalkItemFacts {
  words: string;
  source: '49 CFR 396.11(a)(1)' | 'common practice';
  /** What it is on; a unit without one is not asked for it. */
  of: AssetKind;
}

const legal = '49 CFR 396.11(a)(1)' as const;
const practice = 'common practice' as const;

export const walkItems: Readonly<Record<WalkItem, WalkItemFacts>> = {
  service_brakes: {
    words: 'Service brakes, with the connections of a trailer',
    source: legal,
    of: 'chassis',
  },
  parking_brake: { words: 'Parking brake', source: legal, of: 'chassis' },
  steering: { words: 'Steering', source: legal, of: 'chassis' },
  lighting: { words: 'Lights and reflectors', source: legal, of: 'chassis' },
  tires: { words: 'Tires', source: legal, of: 'chassis' },
  horn: { words: 'Horn', source: legal, of: 'chassis' },
  wipers: { words: 'Windshield wipers', source: legal, of: 'chassis' },
  mirrors: { words: 'Mirrors', source: legal, of: 'chassis' },
  coupling_devices: { words: 'Coupling devices', source: legal, of: 'chassis' },
  wheels_rims: { words: 'Wheels and rims', source: legal, of: 'chassis' },
  emergency_equipment: { words: 'Emergency equipment', source: legal, of: 'chassis' },
  leaks: { words: 'Leaks, under the unit and at the lift', source: practice, of: 'lift' },
  hoses: { words: 'Hoses: rubbed, kinked, bulging or wet', source: practice, of: 'lift' },
  pins_keepers: { words: 'Pins in, keepers on', source: practice, of: 'lift' },
  arms_stowed: { words: 'Arms in and pinned', source: practice, of: 'lift' },
  crossbar_swing: {
    words: 'Crossbar: swings free, comes to the middle, no knock',
    source: practice,
    of: 'lift',
  },
  fold_and_extend: {
    words: 'Folded, unfolded and run out once: even, no noise, stays folded',
    source: practice,
    of: 'lift',
  },
  tie_downs: { words: 'Straps, ratchets and chains', source: practice, of: 'lift' },
  rope_and_hook: {
    words: 'First wraps of the rope, and the latch of the hook',
    source: practice,
    of: 'winch',
  },
  work_lights: { words: 'Light bar, work lights and tow lights', source: practice, of: 'chassis' },
  pto_noise: { words: 'PTO: goes in, comes out, no new noise', source: practice, of: 'chassis' },
  oil_sight_glass: { words: 'Oil, in the sight glass', source: practice, of: 'lift' },
  dollies: { words: 'Dollies: tires, hubs, pins', source: practice, of: 'dolly_set' },
};

/**
 * The items of a walk round a unit with these kinds of assets on it, in the order of the walk. What
 * the law asks for is asked for whatever is brought in here: a unit is a truck even when nobody has
 * entered its chassis.
 */
export function itemsFor(kinds: readonly AssetKind[]): WalkItem[] {
  return WALK_ITEMS.filter((item) => {
    const { of } = walkItems[item];
    return of === 'chassis' || kinds.includes(of);
  });
}

/** A walk-round with defects waits for their certification, then for the next driver's review. */
export type WalkRoundWaits = 'certification' | 'review';

/** What it waits for; null: for nothing. Without a defect there is nothing to certify or review. */
export function walkRoundWaits(round: {
  defects: readonly { certified: boolean }[];
  reviewed: boolean;
}): WalkRoundWaits | null {
  if (round.reviewed || round.defects.length === 0) return null;
  return round.defects.every(({ certified }) => certified) ? 'review' : 'certification';
}
