import { clearOfPinch, type PatternPoint } from './caution.ts';
import {
  chains,
  cylinder,
  filter,
  fitting,
  fluid,
  hose,
  other,
  pin,
  ring,
  steel,
  straps,
  throughBolts,
  track,
  wearSurface,
} from './point-kinds.ts';

const atWork = { fold: 'unfolded', height: 'mid', blocked: true };
const armsDown = { fold: 'unfolded', height: 'down', arms: 'fitted' };

/** What is looked at before anything else. */
const looked: readonly PatternPoint[] = [
  steel({
    key: 'steelwork',
    name: 'Mast, crossbar and their welds',
    place: 'All round; kneel behind it for the underside.',
    liftPosition: atWork,
    serves: ['wheel_lift', 'road'],
  }),
  steel({
    key: 'arm_left',
    name: 'L-arm, left',
    side: 'left',
    place: 'Left end of the crossbar; look into the bend.',
    liftPosition: armsDown,
    doneWhen: 'no crack at the bend and no bent leg against a straight edge',
  }),
  steel({
    key: 'arm_right',
    name: 'L-arm, right',
    side: 'right',
    place: 'Right end of the crossbar; look into the bend.',
    liftPosition: armsDown,
    doneWhen: 'no crack at the bend and no bent leg against a straight edge',
  }),
  chains({
    key: 'safety_chains',
    name: 'Safety chains and hooks',
    place: 'Both sides of the crossbar.',
  }),
  straps({
    key: 'tie_straps',
    name: 'Wheel straps and their ratchets',
    place: 'In the left box.',
  }),
  other('label', {
    key: 'load_plate',
    name: 'Load plate and warning signs',
    place: 'On the mast and beside the controls.',
    oftenMissed: true,
    doneWhen: 'all can be read from a step away',
  }),
];

const measured: readonly PatternPoint[] = [
  wearSurface({
    key: 'mast_upper_pads',
    name: 'Upper pads of the mast',
    place: 'Where the inner mast runs in the outer one, above.',
    liftPosition: atWork,
  }),
  wearSurface({
    key: 'mast_lower_pads',
    name: 'Lower pads of the mast',
    place: 'Where the inner mast runs in the outer one, below.',
    liftPosition: atWork,
  }),
  wearSurface({
    key: 'pivot_washers',
    name: 'Thrust washers of the crossbar pivot',
    place: 'Above and below the crossbar eye; kneel behind it.',
    liftPosition: { ...atWork, reach: 'slightly_out' },
    liftCritical: true,
    usualMistake: 'Measured with the detent in: lift it out so that the crossbar swings free.',
  }),
];

const fastened: readonly PatternPoint[] = [
  ring({
    key: 'pivot_bolts',
    name: 'Bolts of the crossbar pivot, from below',
    place: 'Under the crossbar, in a ring round its fitting.',
    liftPosition: atWork,
    torque: { nm: 110, thread: 'thread_locker' },
    fastener: { head: 'socket_cap', count: 6 },
    fits: '3/8 in hex key',
    usualMistake: 'Grease has run into the sockets: clean each one out, or the key slips.',
    limits: [{ key: 'torque', name: 'Torque', unit: 'nm', least: 105, most: 120 }],
  }),
  throughBolts({
    key: 'tension_bolts',
    name: 'Tension bolts of the crossbar pivot',
    place: 'Two, through the eye of the crossbar, left and right of the pivot.',
    // Run out a little, the crossbar swings free and its drag can be felt.
    liftPosition: { ...atWork, reach: 'slightly_out' },
    torque: { nm: 45, thread: 'oiled' },
    fastener: { head: 'hex', count: 2, order: 'any' },
    fits: '24 mm hex',
    taps: ['mark_whole', 'taken_up', 'tightened', 'mark_moved', 'loose', 'fastener_missing'],
    doneWhen: 'the crossbar swings by hand with an even drag and the detent catches it square',
    usualMistake: 'Checked with the lift run in, where the crossbar cannot swing.',
  }),
  throughBolts({
    key: 'mast_bolts',
    name: 'Bolts of the mast on the frame',
    place: 'Eight through the frame rails, four a side; from below.',
    liftPosition: { fold: 'folded' },
    serves: ['wheel_lift', 'road'],
    torque: { nm: 210, thread: 'dry' },
    fastener: { head: 'hex', count: 8 },
    fits: '24 mm hex',
  }),
];

const greased: readonly PatternPoint[] = [
  fitting(4, {
    key: 'mast_hinge_left',
    name: 'Mast hinge, left',
    side: 'left',
    place: 'Behind the left rear lamp, at knee height; stand beside the wheel.',
    liftPosition: atWork,
  }),
  fitting(4, {
    key: 'mast_hinge_right',
    name: 'Mast hinge, right',
    side: 'right',
    place: 'Behind the right rear lamp, at knee height; stand beside the wheel.',
    liftPosition: atWork,
  }),
  fitting(6, {
    key: 'crossbar_pivot',
    name: 'Crossbar centre pivot',
    place: 'Under the crossbar, in the middle; kneel behind it.',
    liftPosition: { ...atWork, crossbar: 'straight' },
    liftCritical: true,
    doneWhen: 'grease shows at both washers; swing it to both stops and grease again',
    usualMistake: 'Greased on one side only; swing the crossbar and grease again.',
  }),
  fitting(2, {
    key: 'centring_detent',
    name: 'Centring detent of the crossbar',
    place: 'Above the crossbar, ahead of the pivot.',
    liftPosition: { ...atWork, crossbar: 'straight' },
    doneWhen: 'grease shows round the plunger and it snaps in by its spring',
  }),
  pin(3, {
    key: 'fold_cylinder_upper_pin',
    name: 'Upper pin of the fold cylinder',
    place: 'At the mast, seen from behind.',
    liftPosition: { fold: 'folded', blocked: true },
  }),
  pin(3, {
    key: 'fold_cylinder_lower_pin',
    name: 'Lower pin of the fold cylinder',
    place: 'Between the rails below the deck: lie down to see it.',
    liftPosition: { fold: 'folded', blocked: true },
    oftenMissed: true,
    usualMistake: 'It is the one most often missed: nobody sees it standing.',
  }),
  pin(2, {
    key: 'lift_cylinder_pins',
    name: 'Pins of the lift cylinder',
    place: 'Both ends of the lift cylinder, under the mast.',
    liftPosition: atWork,
  }),
  fitting(3, {
    key: 'upper_pad_fittings',
    name: 'Fittings of the upper pads',
    place: 'Two, through the holes in the outer mast.',
    // Only then do the holes stand over the fittings.
    liftPosition: { reach: 'in', fold: 'slightly_folded', blocked: true },
  }),
  track({
    key: 'lower_pad_tracks',
    name: 'Tracks of the lower pads',
    place: 'Along both sides of the inner mast, over its whole travel.',
    liftPosition: atWork,
    usualMistake: 'New grease over grit: wipe it off first.',
  }),
];

/**
 * Two arm cylinders: a fitting at both ends of each and one at each L-arm pin, six in all.
 */
const armFittings: readonly PatternPoint[] = (['left', 'right'] as const).flatMap((side) => [
  fitting(2, {
    key: `arm_cylinder_${side}_inner`,
    name: `Arm cylinder, ${side}, inner end`,
    side,
    place: `Behind the crossbar, near its middle, ${side} of the pivot.`,
    liftPosition: armsDown,
    cautions: [clearOfPinch],
  }),
  fitting(2, {
    key: `arm_cylinder_${side}_outer`,
    name: `Arm cylinder, ${side}, outer end`,
    side,
    place: `Behind the crossbar, at the ${side} arm.`,
    liftPosition: armsDown,
    cautions: [clearOfPinch],
  }),
  fitting(3, {
    key: `arm_pin_${side}`,
    name: `L-arm pin, ${side}`,
    side,
    place: `On top of the ${side} end of the crossbar.`,
    liftPosition: armsDown,
    liftCritical: true,
    cautions: [clearOfPinch],
    doneWhen: 'grease shows at the washer and the arm swings without a catch',
  }),
]);

const tried: readonly PatternPoint[] = [
  fluid({
    key: 'oil_tank',
    name: 'Hydraulic oil',
    side: 'left',
    place: 'Tank behind the cab, left; sight glass on its side.',
    liftPosition: { fold: 'folded' },
    lubricant: 'hydraulic oil ISO VG 32',
    doneWhen: 'the level is between the marks with all cylinders in, and the oil is clear',
  }),
  filter({
    key: 'return_filter',
    name: 'Return filter',
    side: 'left',
    place: 'On top of the oil tank.',
    liftPosition: { fold: 'folded' },
    tool: 'strap wrench',
    doneWhen: 'it is dry after two minutes of running',
  }),
  other('control', {
    key: 'controls',
    name: 'Controls at the rear, and the remote',
    side: 'right',
    place: 'In the right box and in the cab; the person at them sees the whole lift.',
    cautions: [clearOfPinch],
    doneWhen: 'every lever goes back by itself and the lift stops when it is let go',
  }),
  other('control', {
    key: 'arm_locks',
    name: 'Valves that lock the arms',
    place: 'On both arm cylinders.',
    liftPosition: armsDown,
    liftCritical: true,
    oftenMissed: true,
    cautions: [clearOfPinch],
    doneWhen: 'neither arm gives way against a pull with the lever let go',
  }),
  other('control', {
    key: 'fold_lock',
    name: 'Lock that holds it upright',
    place: 'Right of the mast, at the deck.',
    liftPosition: { fold: 'folded' },
    liftCritical: true,
    serves: ['wheel_lift', 'road'],
    cautions: [clearOfPinch],
    doneWhen: 'it falls in by itself and holds against the fold cylinder',
  }),
];

/** Looked at when everything has moved and warmed up. */
const lookedLast: readonly PatternPoint[] = [
  cylinder({
    key: 'lift_cylinder',
    name: 'Lift cylinder',
    place: 'Under the mast.',
    liftPosition: atWork,
    liftCritical: true,
  }),
  cylinder({
    key: 'arm_cylinders',
    name: 'Rods of the arm cylinders',
    place: 'Behind the crossbar, both sides.',
    liftPosition: armsDown,
  }),
  hose({
    key: 'hoses_arms',
    name: 'Hoses to the arms',
    place: 'Along the crossbar, under the cover.',
    liftPosition: { fold: 'unfolded', height: 'down', crossbar: 'straight' },
    oftenMissed: true,
    doneWhen: 'they move freely as the crossbar swings, and nothing is wet',
  }),
  hose({
    key: 'hoses_mast',
    name: 'Hoses at the mast',
    place: 'From the valve to both cylinders; look along their whole length.',
    liftPosition: { fold: 'unfolded', height: 'down' },
    doneWhen: 'no cut, bulge, wet end or rubbed cover that shows the braid',
  }),
];

/** Service points of the lift with power arms. Common practice, no source. */
export const armPoints: readonly PatternPoint[] = [
  ...looked,
  ...measured,
  ...fastened,
  ...greased,
  ...armFittings,
  ...tried,
  ...lookedLast,
];
