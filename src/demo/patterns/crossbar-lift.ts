import { atRest, clearOfPinch, makersManual, onBlocks, type PatternDocument } from './caution.ts';
import { crossbarPoints } from './crossbar-points.ts';

/**
 * A wheel lift with a boom that slides and forks set by hand. Invented; common practice, no
 * source.
 */
export const crossbarLift: PatternDocument = {
  name: 'Sliding-boom wheel lift with hand-set forks',
  assetKind: 'lift',
  servicePoints: crossbarPoints,
  tasks: [
    {
      key: 'grease_joints',
      name: 'Grease the fold and crossbar pivots',
      points: ['fold_pivot', 'crossbar_pivot'],
      every: { pto_hours: 40, lift_cycles: 150, days: 30 },
      severity: { salt: 1.5, dust: 1.5 },
      cautions: [atRest, onBlocks, makersManual],
    },
    {
      key: 'grease_boom',
      name: 'Wipe and grease the inner boom',
      points: ['boom_grease', 'boom_foot_pin'],
      every: { reach_cycles: 250, days: 45 },
      severity: { dust: 2, salt: 1.5 },
      cautions: [onBlocks, makersManual],
    },
    {
      key: 'measure_slides',
      name: 'Measure the slides of the boom',
      points: ['boom_slides'],
      every: { reach_cycles: 1500, days: 180 },
      severity: { dust: 1.5 },
      cautions: [onBlocks, makersManual],
    },
    {
      key: 'look_forks',
      name: 'Look over the wheel forks and their pins',
      points: ['fork_left', 'fork_right', 'fork_pins'],
      every: { lift_cycles: 300, days: 60 },
      overrunEffect: 'no',
      functions: ['wheel_lift'],
      cautions: [makersManual],
    },
    {
      key: 'check_frame_bolts',
      name: 'Check the bolts of the subframe',
      points: ['frame_bolts_left', 'frame_bolts_right'],
      every: { pto_hours: 120, days: 120 },
      overrunEffect: 'limited',
      functions: ['wheel_lift'],
      cautions: [atRest, makersManual],
    },
    {
      key: 'look_rams_hoses',
      name: 'Look over the rams and hoses',
      points: ['reach_ram', 'lift_ram', 'hoses'],
      every: { pto_hours: 80, days: 90 },
      severity: { dust: 1.25 },
      cautions: [onBlocks, makersManual],
    },
    {
      key: 'oil_level',
      name: 'Check the oil of the pump',
      points: ['pump_oil'],
      every: { pto_hours: 30, days: 30 },
      cautions: [makersManual],
    },
    {
      key: 'check_cables',
      name: 'Check the cables of the pump',
      points: ['pump_cables'],
      every: { fold_cycles: 500, days: 120 },
      severity: { salt: 1.5 },
      cautions: [atRest, makersManual],
    },
    {
      key: 'look_straps_chains',
      name: 'Look over straps, chains and hooks',
      points: ['ratchets', 'chains'],
      every: { lift_cycles: 250, days: 30 },
      overrunEffect: 'no',
      functions: ['wheel_lift'],
      cautions: [makersManual],
    },
    {
      key: 'try_functions',
      name: 'Try every function without a load',
      points: ['reach_ram', 'lift_ram', 'fold_pivot'],
      every: { days: 60 },
      overrunEffect: 'limited',
      functions: ['wheel_lift'],
      cautions: [clearOfPinch, makersManual],
    },
    {
      key: 'yearly_inspection',
      name: 'Yearly inspection by a competent person',
      points: ['frame_bolts_left', 'frame_bolts_right', 'fork_left', 'fork_right', 'chains'],
      every: { months: 12 },
      statutory: true,
      overrunEffect: 'no',
      functions: ['wheel_lift'],
      cautions: [makersManual],
    },
  ],
  wearParts: [
    {
      key: 'boom_slide',
      name: 'Slide of the boom',
      points: ['boom_slides'],
      meters: ['reach_cycles'],
      unit: 'mm',
      nominal: 12,
      limit: 8,
    },
  ],
};
