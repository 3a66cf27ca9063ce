import { armPoints } from './arm-points.ts';
import {
  atRest,
  clearOfPinch,
  makersManual,
  onBlocks,
  type PatternDocument,
  type PatternTask,
} from './caution.ts';
import { functionNeeds, symptomRulesOf } from './symptom-rules.ts';
import { pad, washers } from './wear-parts.ts';

const sides = ['left', 'right'];

/** In the order of the work: looked at, measured, fastened, greased, filled, tried, hoses last. */
const workOnSteel: readonly PatternTask[] = [
  {
    key: 'look_over',
    name: 'Look over the steel for bent, cracked and missing pieces',
    work: 'look',
    points: ['steelwork', 'arm_left', 'arm_right'],
    every: { lift_cycles: 300, days: 60 },
    overrunEffect: 'no',
    functions: ['wheel_lift'],
    cautions: [atRest, onBlocks, makersManual],
  },
  {
    key: 'look_straps_chains',
    name: 'Look over straps, chains and hooks',
    work: 'look',
    points: ['tie_straps', 'safety_chains', 'load_plate'],
    every: { lift_cycles: 250, days: 30 },
    overrunEffect: 'no',
    functions: ['wheel_lift'],
    severity: { salt: 1.25 },
    cautions: [atRest, makersManual],
  },
  {
    key: 'measure_pads',
    name: 'Measure the pads of the mast',
    work: 'measure',
    points: ['mast_upper_pads', 'mast_lower_pads'],
    every: { fold_cycles: 900, days: 180 },
    severity: { dust: 1.5 },
    cautions: [onBlocks, makersManual],
  },
  {
    key: 'measure_washers',
    name: 'Measure the washers of the crossbar pivot',
    work: 'measure',
    points: ['pivot_washers'],
    every: { lift_cycles: 600, days: 120 },
    severity: { dust: 1.5, heavy_use: 1.5 },
    cautions: [onBlocks, makersManual],
  },
  {
    key: 'fasten_pivot',
    name: 'Check the bolts of the crossbar pivot',
    work: 'fasten',
    points: ['pivot_bolts'],
    every: { lift_cycles: 600, days: 120 },
    overrunEffect: 'limited',
    functions: ['wheel_lift'],
    cautions: [onBlocks, makersManual],
  },
  {
    key: 'check_tension',
    name: 'Check the tension of the crossbar',
    work: 'fasten',
    points: ['tension_bolts'],
    every: { lift_cycles: 600, days: 90 },
    cautions: [onBlocks, makersManual],
  },
  {
    key: 'check_bolts',
    name: 'Check the bolts of the mast',
    work: 'fasten',
    points: ['mast_bolts'],
    every: { pto_hours: 120, days: 120 },
    overrunEffect: 'limited',
    functions: ['wheel_lift'],
    cautions: [atRest, makersManual],
  },
];

const greasing: readonly PatternTask[] = [
  {
    key: 'grease_pivots',
    name: 'Grease the hinges, the crossbar pivot and its detent',
    work: 'grease',
    points: ['mast_hinge_left', 'mast_hinge_right', 'crossbar_pivot', 'centring_detent'],
    every: { pto_hours: 50, lift_cycles: 150, days: 30 },
    severity: { salt: 1.5, dust: 1.25 },
    cautions: [atRest, onBlocks, makersManual],
  },
  {
    key: 'grease_arms',
    name: 'Grease the arm cylinders and the L-arm pins',
    work: 'grease',
    points: sides.flatMap((side) => [
      `arm_cylinder_${side}_inner`,
      `arm_cylinder_${side}_outer`,
      `arm_pin_${side}`,
    ]),
    every: { arm_cycles: 400, days: 45 },
    overrunEffect: 'limited',
    functions: ['wheel_lift'],
    severity: { salt: 1.5 },
    cautions: [atRest, clearOfPinch, makersManual],
  },
  {
    key: 'grease_pins',
    name: 'Grease the pins of the cylinders',
    work: 'grease',
    points: ['fold_cylinder_upper_pin', 'fold_cylinder_lower_pin', 'lift_cylinder_pins'],
    every: { lift_cycles: 400, days: 90 },
    overrunEffect: 'no',
    functions: ['wheel_lift'],
    severity: { heavy_use: 1.5, salt: 1.25 },
    cautions: [atRest, onBlocks, makersManual],
  },
  {
    key: 'grease_mast',
    name: 'Grease the pads and tracks of the mast',
    work: 'grease',
    points: ['upper_pad_fittings', 'lower_pad_tracks'],
    every: { fold_cycles: 250, days: 60 },
    severity: { dust: 1.5, salt: 1.25 },
    cautions: [atRest, onBlocks, makersManual],
  },
];

const oilAndTrying: readonly PatternTask[] = [
  {
    key: 'oil_level',
    name: 'Check the hydraulic oil',
    work: 'fill',
    points: ['oil_tank'],
    every: { pto_hours: 40, days: 30 },
    cautions: [makersManual],
  },
  {
    key: 'change_filter',
    name: 'Change the return filter',
    work: 'replace',
    points: ['return_filter'],
    every: { pto_hours: 250, months: 12 },
    severity: { dust: 1.5 },
    cautions: [makersManual],
  },
  {
    key: 'change_oil',
    name: 'Change the hydraulic oil',
    work: 'replace',
    points: ['oil_tank', 'return_filter'],
    every: { pto_hours: 1000, months: 24 },
    overrunEffect: 'none',
    cautions: [makersManual],
  },
  {
    key: 'try_controls',
    name: 'Try the controls and the locks without a load',
    work: 'test',
    points: ['controls', 'arm_locks', 'fold_lock'],
    every: { days: 60 },
    overrunEffect: 'limited',
    functions: ['wheel_lift'],
    cautions: [clearOfPinch, makersManual],
  },
  {
    key: 'yearly_inspection',
    name: 'Yearly inspection by a competent person',
    work: 'look',
    points: ['steelwork', 'arm_left', 'arm_right', 'mast_bolts', 'safety_chains', 'load_plate'],
    every: { months: 12 },
    statutory: true,
    overrunEffect: 'no',
    functions: ['wheel_lift'],
    cautions: [atRest, makersManual],
  },
  {
    key: 'look_hoses',
    name: 'Look over the cylinders, and the hoses last',
    work: 'look',
    points: ['lift_cylinder', 'arm_cylinders', 'hoses_arms', 'hoses_mast'],
    every: { pto_hours: 100, fold_cycles: 600, days: 90 },
    cautions: [makersManual],
  },
];

/**
 * A wheel lift that folds upright, with two powered L-arms, a centring detent and a crossbar pivot
 * that is held by bolts from below. Invented; common practice, no source.
 */
export const armLift: PatternDocument = {
  name: 'Upright wheel lift with power arms',
  assetKind: 'lift',
  servicePoints: armPoints,
  tasks: [...workOnSteel, ...greasing, ...oilAndTrying],
  wearParts: [
    washers,
    pad('mast_upper_pad', 'Upper pad of the mast', ['mast_upper_pads'], 'fold_cycles'),
    pad('mast_lower_pad', 'Lower pad of the mast', ['mast_lower_pads'], 'fold_cycles'),
  ],
  functionNeeds,
  symptomRules: symptomRulesOf({
    greaseSlides: 'grease_mast',
    greasePivots: 'grease_pivots',
    greasePins: 'grease_pins',
    measurePads: 'measure_pads',
    pads: ['mast_upper_pads', 'mast_lower_pads'],
    slides: ['lower_pad_tracks', 'upper_pad_fittings'],
    foldPins: ['fold_cylinder_upper_pin', 'fold_cylinder_lower_pin'],
    cylinders: ['lift_cylinder', 'arm_cylinders'],
    hoses: ['hoses_arms', 'hoses_mast'],
  }),
};
