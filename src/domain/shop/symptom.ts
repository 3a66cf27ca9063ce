import type { UnitFunction } from '../upkeep/service-point.ts';

/**
 * What a driver can say is wrong, in a word that the shop knows what to do with. A closed list; the
 * driver's own words come beside it. `other` is for what is not in it.
 */
export const SYMPTOMS = [
  'creeps_down_loaded',
  'drifts_driving_empty',
  'chatters_lowering',
  'skips_extending',
  'screeches_folding',
  'play_at_crossbar',
  'swings_off_square',
  'slow',
  'uneven_extension',
  'will_not_hold_fold',
  'takes_no_grease',
  'grease_one_side',
  'rope_birdnests',
  'winch_creeps',
  'pump_whines',
  'oil_hot',
  'pto_grinds',
  'oil_on_rod',
  'leak',
  'other',
] as const;
export type Symptom = (typeof SYMPTOMS)[number];

/** When a stop takes hold: now, or as soon as the car that is on the lift is off it. */
export const STOP_TIMES = ['at_once', 'after_drop'] as const;
export type StopTime = (typeof STOP_TIMES)[number];

export interface UsualSymptom {
  /** What a driver would say. */
  words: string;
  /** Null: it alone takes nothing away. */
  stop: StopTime | null;
  /** What the stop takes away. */
  functions: readonly UnitFunction[];
  /** Likely causes, to be asked for in this order. */
  causes: readonly string[];
}

/**
 * What each symptom usually means, for equipment whose pattern says nothing of its own about it.
 * Causes and their order are common practice, no source; the maker's manual comes first.
 */
export const usualSymptoms: Readonly<Record<Symptom, UsualSymptom>> = {
  creeps_down_loaded: {
    words: 'It comes down by itself with a load on.',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    causes: [
      'Dirt or a worn seat in the valve that holds the load.',
      'The piston seal of the cylinder.',
      'Oil that was hot and cools.',
      'A leak outside.',
    ],
  },
  drifts_driving_empty: {
    words: 'It drifts down or out while driving empty.',
    stop: 'after_drop',
    functions: ['wheel_lift', 'road'],
    causes: ['A lever that does not come back to the middle.', 'A spool that sticks.'],
  },
  chatters_lowering: {
    words: 'It chatters or judders on the way down.',
    stop: null,
    functions: [],
    causes: [
      'Slides that are dry or dirty: lubricate first.',
      'Air in the oil, or cold oil.',
      'The valve that holds the load is set wrong.',
    ],
  },
  skips_extending: {
    words: 'It skips or jumps on the way out.',
    stop: null,
    functions: [],
    causes: [
      'Slides that are dry: lubricate first.',
      'A pad that is worn or sits askew.',
      'A tube that is gouged or bent.',
    ],
  },
  screeches_folding: {
    words: 'It screeches or groans while folding.',
    stop: null,
    functions: [],
    causes: [
      'A pin that is dry: lubricate first.',
      'A fitting that is blocked.',
      'A thrust washer that is gone.',
    ],
  },
  play_at_crossbar: {
    words: 'There is play or a knock at the crossbar.',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    causes: ['Worn washers.', 'A worn pin or bushing.', 'Loose fasteners of the pivot.'],
  },
  swings_off_square: {
    words: 'The crossbar swings off square while lining up.',
    stop: null,
    functions: [],
    causes: ['Worn washers.', 'Tension bolts that want taking up.'],
  },
  slow: {
    words: 'Everything is slow, or one function is.',
    stop: null,
    functions: [],
    causes: ['Low oil.', 'Low engine speed, or a PTO that slips.', 'A strainer that is blocked.'],
  },
  uneven_extension: {
    words: 'It comes out unevenly, or the arms run askew.',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    causes: ['One pad is gone.', 'One cylinder lets oil past.', 'A bent tube.'],
  },
  will_not_hold_fold: {
    words: 'It does not stay folded for the road.',
    stop: 'at_once',
    functions: ['wheel_lift', 'road'],
    causes: ['The lock pin is missing or not in.', 'The valve that holds the fold cylinder.'],
  },
  takes_no_grease: {
    words: 'A fitting takes no grease.',
    stop: null,
    functions: [],
    causes: [
      'A plugged fitting.',
      'Load on the joint: take it off and try again.',
      'Old grease gone hard.',
    ],
  },
  grease_one_side: {
    words: 'Grease comes out on one side only.',
    stop: null,
    functions: [],
    causes: ['A worn bushing.', 'A blocked groove.', 'A washer that sits askew.'],
  },
  rope_birdnests: {
    words: 'The rope comes off the drum in loops.',
    stop: 'after_drop',
    functions: ['winch'],
    causes: ['It was spooled without tension.', 'A worn tensioner.', 'A pull from the side.'],
  },
  winch_creeps: {
    words: 'The winch gives way under load.',
    stop: 'after_drop',
    functions: ['winch'],
    causes: ['The brake disc is glazed or oily.', 'A tired spring.'],
  },
  pump_whines: {
    words: 'The pump whines.',
    stop: null,
    functions: [],
    causes: ['Low oil.', 'A strainer that is blocked.', 'Air on the suction side.'],
  },
  oil_hot: {
    words: 'The oil gets hot.',
    stop: null,
    functions: [],
    causes: ['A lever that is held on.', 'The PTO left in on the road.', 'The wrong oil.'],
  },
  pto_grinds: {
    words: 'The PTO grinds, or falls out.',
    stop: 'after_drop',
    functions: ['wheel_lift', 'winch'],
    causes: ['Cable or solenoid of the shift.', 'A worn spline.'],
  },
  oil_on_rod: {
    words: 'There is oil on the rod of a cylinder.',
    stop: null,
    functions: [],
    causes: ['The rod seal.', 'A rod that is pitted or bent.', 'A torn wiper.'],
  },
  leak: {
    words: 'Oil leaks out.',
    stop: 'after_drop',
    functions: ['wheel_lift'],
    causes: ['A hose.', 'A fitting that is loose.', 'A seal.'],
  },
  other: { words: 'Something else.', stop: null, functions: [], causes: [] },
};
