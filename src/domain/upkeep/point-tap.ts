import { type Report, readChoices } from './document-reader.ts';
import type { PointKind } from './service-point.ts';

/** What a tap says of the step: it is done, or something is not right there. */
export interface TapMeaning {
  result: 'done' | 'not_right';
  words: string;
}

const done = (words: string): TapMeaning => ({ result: 'done', words });
const wrong = (words: string): TapMeaning => ({ result: 'not_right', words });

/**
 * Everything that can be told about a service point with one tap of a gloved finger. A closed list;
 * what is in none of these goes into words.
 */
export const POINT_TAPS = {
  sound: done('Looked at, sound.'),
  cleaned: done('Clean.'),
  took_grease: done('It took grease, fresh grease shows.'),
  film_laid: done('A film of grease laid by hand.'),
  mark_whole: done('The witness mark is unbroken.'),
  tightened: done('At torque, marked anew.'),
  taken_up: done('Taken up.'),
  measured: done('Measured.'),
  level_right: done('The level is right.'),
  topped_up: done('Topped up to the mark.'),
  changed: done('Changed for a new one.'),
  works: done('It works as it should.'),
  one_side_only: wrong('Grease came out on one side only.'),
  took_none: wrong('It took no grease.'),
  fitting_missing: wrong('The fitting is missing.'),
  fitting_broken: wrong('The fitting is broken.'),
  mark_moved: wrong('The witness mark has moved.'),
  mark_missing: wrong('There is no witness mark.'),
  loose: wrong('It is loose.'),
  fastener_missing: wrong('A fastener is missing.'),
  thread_damaged: wrong('A thread or recess is damaged.'),
  keeper_missing: wrong('The keeper is missing.'),
  bent: wrong('Bent.'),
  cracked: wrong('Cracked.'),
  missing: wrong('Missing.'),
  worn: wrong('Worn.'),
  has_play: wrong('It has play.'),
  gouged: wrong('Gouged or scored.'),
  wet: wrong('It is wet with oil.'),
  rubbed: wrong('Rubbed through or cut.'),
  bulged: wrong('Bulged, soft or kinked.'),
  wires_broken: wrong('Broken wires.'),
  crushed: wrong('Crushed or kinked.'),
  stretched: wrong('Stretched.'),
  frayed: wrong('Cut, frayed or burnt.'),
  unreadable: wrong('It cannot be read.'),
  level_low: wrong('The level was low.'),
  oil_cloudy: wrong('The oil is cloudy or dirty.'),
  sticks: wrong('It sticks.'),
  does_not_hold: wrong('It does not hold.'),
  corroded: wrong('Corroded.'),
} as const satisfies Record<string, TapMeaning>;
export type PointTap = keyof typeof POINT_TAPS;
export const POINT_TAP_NAMES = Object.keys(POINT_TAPS) as PointTap[];

const ofSteel: readonly PointTap[] = ['bent', 'cracked', 'missing', 'worn'];

/** The taps of a point whose pattern names none of its own. */
const usualTaps: Readonly<Record<PointKind, readonly PointTap[]>> = {
  grease_fitting: [
    'took_grease',
    'one_side_only',
    'took_none',
    'fitting_missing',
    'fitting_broken',
  ],
  fastener: [
    'mark_whole',
    'tightened',
    'mark_moved',
    'mark_missing',
    'loose',
    'fastener_missing',
    'thread_damaged',
  ],
  wear_surface: ['measured', 'sound', 'film_laid', 'worn', 'gouged', 'missing'],
  hose: ['sound', 'changed', 'wet', 'rubbed', 'bulged'],
  rope: ['sound', 'changed', 'wires_broken', 'crushed', 'worn', 'corroded'],
  pin: ['sound', 'took_grease', 'took_none', 'keeper_missing', 'has_play', ...ofSteel],
  bearing: ['sound', 'took_grease', 'took_none', 'has_play', 'worn'],
  chain: ['sound', 'changed', 'stretched', 'unreadable', ...ofSteel],
  hook: ['sound', 'changed', 'keeper_missing', ...ofSteel],
  strap: ['sound', 'changed', 'frayed', 'unreadable', 'missing'],
  cylinder: ['sound', 'wet', 'gouged', 'bent', 'does_not_hold'],
  valve: ['works', 'wet', 'sticks', 'does_not_hold'],
  filter: ['changed', 'sound', 'wet'],
  fluid: ['level_right', 'topped_up', 'changed', 'level_low', 'oil_cloudy'],
  wheel: ['sound', 'changed', 'loose', ...ofSteel],
  brake: ['works', 'sticks', 'does_not_hold', 'worn'],
  electrical: ['sound', 'cleaned', 'loose', 'rubbed', 'corroded'],
  control: ['works', 'sticks', 'does_not_hold', 'unreadable', 'missing'],
  structure: ['sound', 'cleaned', 'corroded', ...ofSteel],
  label: ['sound', 'changed', 'unreadable', 'missing'],
};

/** The taps of a point: its own, or those usual for its kind. */
export function readTaps(
  report: Report,
  path: string,
  value: unknown,
  kind: PointKind,
): PointTap[] {
  if (value === undefined) return [...usualTaps[kind]];
  return readChoices(report, path, value, POINT_TAP_NAMES, 1);
}
