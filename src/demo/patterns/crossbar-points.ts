import { atRest, clearOfPinch, eyes, type PatternPoint } from './caution.ts';
import {
  chains,
  cylinder,
  drum,
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

const blockedOut = { fold: 'unfolded', reach: 'out', height: 'mid', blocked: true };

/** What is looked at before anything else. */
const looked: readonly PatternPoint[] = [
  steel({
    key: 'steelwork',
    name: 'Boom, crossbar and their welds',
    place: 'All round; kneel behind it for the underside.',
    liftPosition: { fold: 'unfolded', height: 'mid', blocked: true },
    serves: ['wheel_lift', 'road'],
  }),
  steel({
    key: 'fork_left',
    name: 'Wheel fork, left',
    side: 'left',
    place: 'Off the crossbar, on the bench.',
    liftPosition: { arms: 'removed' },
    doneWhen: 'no crack at the bend and no bent leg against a straight edge',
  }),
  steel({
    key: 'fork_right',
    name: 'Wheel fork, right',
    side: 'right',
    place: 'Off the crossbar, on the bench.',
    liftPosition: { arms: 'removed' },
    doneWhen: 'no crack at the bend and no bent leg against a straight edge',
  }),
  steel({
    key: 'fork_pins',
    name: 'Pins of the wheel forks and their clips',
    place: 'Ends of the crossbar.',
    liftPosition: { fold: 'unfolded', height: 'down' },
    taps: ['sound', 'bent', 'cracked', 'missing', 'worn', 'keeper_missing'],
    doneWhen: 'straight, with a clip that needs a tool or a firm pull',
  }),
  chains({ key: 'chains', name: 'Safety chains and hooks', place: 'At the crossbar.' }),
  straps({
    key: 'ratchets',
    name: 'Wheel straps and ratchets',
    place: 'On the rack behind the cab.',
  }),
];

const measured: readonly PatternPoint[] = [
  wearSurface({
    key: 'upper_pads',
    name: 'Upper pads of the boom',
    place: 'Two pads above the inner boom where it comes out.',
    liftPosition: blockedOut,
  }),
  wearSurface({
    key: 'lower_pads',
    name: 'Lower pads of the boom',
    place: 'Two pads below the inner boom where it comes out.',
    liftPosition: blockedOut,
  }),
  wearSurface({
    key: 'pivot_washers',
    name: 'Thrust washers of the crossbar pivot',
    place: 'Between boom end and crossbar, front and rear; kneel behind it.',
    liftPosition: { fold: 'unfolded', reach: 'slightly_out', height: 'mid', blocked: true },
    liftCritical: true,
    usualMistake: 'Measured with the weight on one side: swing the crossbar free first.',
  }),
];

const fastened: readonly PatternPoint[] = [
  ring({
    key: 'pivot_screws',
    name: 'Countersunk screws of the crossbar pivot',
    place: 'On top of the boom end, in a ring round the pivot.',
    liftPosition: { fold: 'unfolded', reach: 'half', height: 'mid', blocked: true },
    torque: { nm: 68, thread: 'thread_locker' },
    fastener: { head: 'countersunk', count: 8 },
    fits: '5/16 in hex key',
    usualMistake: 'The key sits on dirt, slips, and rounds the recess: clean each one out first.',
    limits: [{ key: 'torque', name: 'Torque', unit: 'nm', least: 65, most: 75 }],
  }),
  throughBolts({
    key: 'tension_bolts',
    name: 'Tension bolts of the crossbar pivot',
    place: 'Below the boom end, one in front of and one behind the pivot.',
    // Run out a little, the crossbar swings free and its drag can be felt.
    liftPosition: { fold: 'unfolded', reach: 'slightly_out', height: 'mid', blocked: true },
    torque: { nm: 40, thread: 'oiled' },
    fastener: { head: 'hex', count: 2, order: 'any' },
    fits: '15/16 in wrench',
    taps: ['mark_whole', 'taken_up', 'tightened', 'mark_moved', 'loose', 'fastener_missing'],
    doneWhen: 'the crossbar swings by hand with an even drag and comes to rest square',
    usualMistake: 'Checked with the lift run in, where the crossbar cannot swing.',
  }),
  throughBolts({
    key: 'frame_bolts_left',
    name: 'Bolts of the subframe, left',
    side: 'left',
    place: 'Six along the left rail.',
    liftPosition: { fold: 'folded' },
    serves: ['wheel_lift', 'road'],
    torque: { nm: 190, thread: 'oiled' },
    fastener: { head: 'hex', count: 6 },
    fits: '22 mm hex',
  }),
  throughBolts({
    key: 'frame_bolts_right',
    name: 'Bolts of the subframe, right',
    side: 'right',
    place: 'Six along the right rail; two behind the exhaust.',
    liftPosition: { fold: 'folded' },
    serves: ['wheel_lift', 'road'],
    torque: { nm: 190, thread: 'oiled' },
    fastener: { head: 'hex', count: 6 },
    fits: '22 mm hex',
    usualMistake: 'The two behind the exhaust are left out.',
  }),
];

const greased: readonly PatternPoint[] = [
  pin(5, {
    key: 'boom_foot_pin',
    name: 'Foot pin of the boom',
    place: 'Between the frame rails, ahead of the bumper; from below.',
    liftPosition: { fold: 'unfolded', height: 'mid', blocked: true },
  }),
  fitting(4, {
    key: 'fold_pivot',
    name: 'Fold pivot',
    place: 'Both sides of the folding joint; stand beside it, never behind.',
    liftPosition: { fold: 'unfolded', height: 'down' },
    cautions: [clearOfPinch],
    doneWhen: 'grease shows at the washers on both sides',
  }),
  pin(3, {
    key: 'fold_cylinder_upper_pin',
    name: 'Upper pin of the fold cylinder',
    place: 'At the boom, seen from above.',
    liftPosition: { fold: 'unfolded', height: 'mid', blocked: true },
  }),
  pin(3, {
    key: 'fold_cylinder_lower_pin',
    name: 'Lower pin of the fold cylinder',
    place: 'Between the rails, behind the cross member: lie down to see it.',
    liftPosition: { fold: 'unfolded', height: 'mid', blocked: true },
    oftenMissed: true,
    usualMistake: 'It is the one most often missed: nobody sees it standing.',
  }),
  fitting(6, {
    key: 'crossbar_pivot',
    name: 'Crossbar pivot',
    place: 'End of the boom, from above.',
    liftPosition: { fold: 'unfolded', reach: 'half', height: 'mid', blocked: true },
    liftCritical: true,
    doneWhen: 'grease shows at both washers; swing it to both stops and grease again',
  }),
  fitting(3, {
    key: 'upper_pad_fittings',
    name: 'Fittings of the upper pads',
    place: 'Two, through the holes in the outer boom.',
    // Only then do the holes stand over the fittings.
    liftPosition: { reach: 'in', fold: 'slightly_folded', blocked: true },
    usualMistake: 'The boom is not quite in, and the gun finds no fitting behind the hole.',
  }),
  track({
    key: 'lower_pad_tracks',
    name: 'Tracks of the lower pads',
    place: 'Along the underside of the inner boom, over its whole travel.',
    liftPosition: blockedOut,
    usualMistake: 'New grease over grit: wipe it off first.',
  }),
];

const tried: readonly PatternPoint[] = [
  fluid({
    key: 'pump_oil',
    name: 'Oil of the electric pump',
    side: 'right',
    place: 'In the right box, with the lift folded and down.',
    liftPosition: { fold: 'folded' },
    lubricant: 'hydraulic oil ISO VG 32',
    doneWhen: 'the level is at the line with all cylinders in',
  }),
  other('electrical', {
    key: 'pump_cables',
    name: 'Cables and relay of the pump',
    side: 'right',
    place: 'In the right box and at the battery.',
    cautions: [atRest, eyes, 'Take the battery off before a tool comes near its cables.'],
    doneWhen: 'ends clean and tight, no green copper, covers on',
  }),
  other('control', {
    key: 'controls',
    name: 'Levers at the rear',
    side: 'right',
    place: 'In the right box; the person at the controls sees the whole lift.',
    cautions: [clearOfPinch],
    doneWhen: 'every lever goes back by itself and the lift stops when it is let go',
  }),
  other('control', {
    key: 'fold_lock',
    name: 'Lock that holds it folded',
    place: 'Behind the crossbar, left of the boom.',
    liftPosition: { fold: 'folded' },
    liftCritical: true,
    serves: ['wheel_lift', 'road'],
    cautions: [clearOfPinch],
    doneWhen: 'it falls in by itself and holds against the fold cylinder',
  }),
  drum({
    key: 'hose_drum',
    name: 'Hose drum of the boom',
    side: 'right',
    place: 'Beside the outer boom; it turns by its spring as the boom moves.',
    liftPosition: { fold: 'unfolded', reach: 'in', height: 'down' },
    doneWhen: 'it turns evenly by its spring and has no play',
  }),
];

/** Looked at when everything has moved and warmed up. */
const lookedLast: readonly PatternPoint[] = [
  cylinder({
    key: 'reach_cylinder',
    name: 'Reach cylinder',
    place: 'Inside the boom; its rod shows when it is out.',
    liftPosition: { fold: 'unfolded', reach: 'out', height: 'down' },
  }),
  cylinder({
    key: 'lift_cylinder',
    name: 'Lift cylinder',
    place: 'Under the boom.',
    liftPosition: { fold: 'unfolded', height: 'mid', blocked: true },
    liftCritical: true,
  }),
  hose({
    key: 'hoses',
    name: 'Hoses along the boom',
    side: 'right',
    place: 'From the valve over the drum to the cylinders; look along their whole length.',
    liftPosition: { fold: 'unfolded', reach: 'out' },
    doneWhen: 'no cut, bulge, wet end or rubbed cover that shows the braid',
  }),
];

/**
 * Service points of the lift with a sliding boom and hand-set wheel forks. Common practice, no
 * source.
 */
export const crossbarPoints: readonly PatternPoint[] = [
  ...looked,
  ...measured,
  ...fastened,
  ...greased,
  ...tried,
  ...lookedLast,
];
