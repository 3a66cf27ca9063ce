/**
 * What a driver's words call for, where both patterns say the same; keys of tasks and points that
 * differ are given. Causes and their order are common practice, no source.
 */
interface Keys {
  readonly greaseSlides: string;
  readonly greasePivots: string;
  readonly greasePins: string;
  readonly measurePads: string;
  readonly pads: readonly string[];
  readonly slides: readonly string[];
  readonly foldPins: readonly string[];
  readonly cylinders: readonly string[];
  readonly hoses: readonly string[];
}

const wheelLift = ['wheel_lift'];

/** Skip, chatter and screech mean lubrication first. */
const dryRules = (keys: Keys) => [
  {
    symptom: 'skips_extending',
    makesDue: [keys.greaseSlides, keys.measurePads],
    askFor: [
      { words: 'Dry tracks and pads: lubricate first, then try again.', points: keys.slides },
      { words: 'A pad that is worn or sits askew.', points: keys.pads },
      { words: 'A tube that is gouged or bent.', points: ['steelwork'] },
    ],
  },
  {
    symptom: 'chatters_lowering',
    makesDue: [keys.greaseSlides],
    askFor: [
      { words: 'Dry tracks and pads: lubricate first, then try again.', points: keys.slides },
      { words: 'Air in the oil, or cold oil.' },
      { words: 'The valve that holds the load.', points: keys.cylinders },
    ],
  },
  {
    symptom: 'screeches_folding',
    makesDue: [keys.greasePins],
    askFor: [
      { words: 'A dry pin: lubricate first, the lower one as well.', points: keys.foldPins },
      { words: 'A fitting that takes nothing.', points: keys.foldPins },
    ],
  },
];

/** The crossbar: washers and tension. */
const crossbarRules = [
  {
    symptom: 'swings_off_square',
    makesDue: ['measure_washers', 'check_tension'],
    askFor: [
      { words: 'Worn thrust washers.', points: ['pivot_washers'] },
      { words: 'Tension bolts that want taking up.', points: ['tension_bolts'] },
    ],
  },
  {
    symptom: 'play_at_crossbar',
    stop: 'after_drop',
    functions: wheelLift,
    makesDue: ['look_over', 'measure_washers', 'check_tension', 'fasten_pivot'],
    askFor: [
      { words: 'Worn thrust washers.', points: ['pivot_washers'] },
      { words: 'Loose fasteners of the pivot.' },
      { words: 'A crack at the crossbar.', points: ['steelwork'] },
    ],
  },
];

const oilRules = (keys: Keys) => [
  {
    symptom: 'creeps_down_loaded',
    stop: 'after_drop',
    functions: wheelLift,
    makesDue: ['look_hoses'],
    askFor: [
      { words: 'A leak outside: look with card, never with the hand.', points: keys.hoses },
      { words: 'The valve that holds the load.', points: keys.cylinders },
      { words: 'The piston seal of the cylinder.', points: keys.cylinders },
      { words: 'Oil that was hot and cools: try again cold.' },
    ],
  },
  {
    symptom: 'leak',
    stop: 'after_drop',
    functions: wheelLift,
    makesDue: ['look_hoses', 'oil_level'],
    askFor: [
      { words: 'A hose, along its whole length.', points: keys.hoses },
      { words: 'A rod seal.', points: keys.cylinders },
    ],
  },
  {
    symptom: 'oil_on_rod',
    makesDue: ['look_hoses'],
    askFor: [{ words: 'The rod: pitted, bent, or its wiper torn.', points: keys.cylinders }],
  },
  {
    symptom: 'slow',
    makesDue: ['oil_level'],
    askFor: [{ words: 'Low oil.' }, { words: 'A lever or cable that does not go all the way.' }],
  },
];

const holdRules = (keys: Keys) => [
  {
    symptom: 'will_not_hold_fold',
    stop: 'at_once',
    functions: ['wheel_lift', 'road'],
    makesDue: ['try_controls'],
    askFor: [
      { words: 'The lock is not in, bent or gone.', points: ['fold_lock'] },
      { words: 'The valve that holds the fold cylinder.', points: keys.foldPins },
    ],
  },
  {
    symptom: 'takes_no_grease',
    makesDue: [keys.greasePivots],
    askFor: [
      { words: 'A plugged fitting: change it.' },
      { words: 'Load on the joint: take it off and try again.' },
      { words: 'Old grease gone hard.' },
    ],
  },
  {
    symptom: 'uneven_extension',
    stop: 'after_drop',
    functions: wheelLift,
    makesDue: ['look_over', keys.measurePads],
    askFor: [
      { words: 'A pad is gone.', points: keys.pads },
      { words: 'A bent tube.', points: ['steelwork'] },
    ],
  },
];

export const symptomRulesOf = (keys: Keys) => [
  ...dryRules(keys),
  ...crossbarRules,
  ...oilRules(keys),
  ...holdRules(keys),
];

/** What else a function of the unit rests on. */
export const functionNeeds = [
  { function: 'road', points: ['fold_lock'], words: 'The lift must stay folded on the road.' },
  { function: 'dollies', functions: wheelLift, words: 'Dollies go with the lift.' },
];
