/**
 * What goes wrong in the history, on which unit and when: data, and what the service should
 * make of it.
 */
import { controllerUnit, rolloverUnit, statutoryUnit, unstatedUnit } from './company.ts';

export type DefectKind =
  | 'duplicates'
  | 'shuffled'
  | 'offline_week'
  | 'controller_replaced'
  | 'rollover'
  | 'reset'
  | 'jitter'
  | 'spike'
  | 'conflict'
  | 'silent'
  | 'fast_clock'
  | 'lift_moved'
  | 'gateway_swapped'
  | 'never_stated'
  | 'statutory_overrun';

export interface Defect {
  readonly kind: DefectKind;
  readonly unit: string;
  /** When it begins and ends, as a share of the history in thousandths. */
  readonly from: number;
  readonly to: number;
  /** The other unit, where there is one. */
  readonly with?: string;
  /** The counter that it shows on, where it is one of them. */
  readonly counters?: readonly string[];
  readonly words: string;
}

export const fastClockMs = 47 * 60_000;

const always = { from: 0, to: 1000 };

export const defects: readonly Defect[] = [
  {
    kind: 'duplicates',
    unit: '12',
    ...always,
    words: 'its answers get lost, so that it sends bodies twice',
  },
  {
    kind: 'shuffled',
    unit: '13',
    ...always,
    words: 'sends its buffer in small batches, in any order',
  },
  {
    kind: 'offline_week',
    unit: '14',
    from: 330,
    to: 372,
    words: 'no radio for a week, then everything at once, the newest first',
  },
  {
    kind: 'controller_replaced',
    unit: '15',
    from: 420,
    to: 1000,
    counters: ['pto_hours', 'lift_cycles', 'fold_cycles', 'arm_cycles'],
    words: 'a new lift controller, which begins at a figure of its own',
  },
  {
    kind: 'rollover',
    unit: rolloverUnit,
    ...always,
    counters: ['pto_hours'],
    words: 'a 16-bit counter passes 65,535',
  },
  {
    kind: 'reset',
    unit: '17',
    from: 500,
    to: 1000,
    counters: ['lift_cycles'],
    words: 'a counter falls to zero and says nothing about it',
  },
  {
    kind: 'jitter',
    unit: '21',
    from: 100,
    to: 900,
    counters: ['pto_hours'],
    words: 'now and then a reading a step or two down',
  },
  {
    kind: 'spike',
    unit: '22',
    from: 250,
    to: 750,
    counters: ['pto_hours'],
    words: 'a reading far too high, and then as before',
  },
  {
    kind: 'conflict',
    unit: '23',
    from: 300,
    to: 700,
    counters: ['pto_hours'],
    words: 'sends a number again with another value',
  },
  {
    kind: 'silent',
    unit: '24',
    from: 930,
    to: 1000,
    words: 'its gateway says nothing any more, while the unit works on',
  },
  {
    kind: 'fast_clock',
    unit: '25',
    from: 550,
    to: 660,
    words: 'its clock is 47 minutes fast for some weeks',
  },
  {
    kind: 'lift_moved',
    unit: '26',
    from: 610,
    to: 1000,
    with: '27',
    words: 'its lift goes onto the chassis of unit 27, and that one back onto 26',
  },
  {
    kind: 'gateway_swapped',
    unit: controllerUnit,
    from: 680,
    to: 1000,
    words: 'a new gateway on the same controller, whose counters go on',
  },
  {
    kind: 'never_stated',
    unit: unstatedUnit,
    ...always,
    words: 'nobody ever said what was done when',
  },
  {
    kind: 'statutory_overrun',
    unit: statutoryUnit,
    ...always,
    words: 'the yearly inspection was forgotten',
  },
];

export function defectOf(unit: string, kind: DefectKind): Defect | undefined {
  return defects.find((defect) => defect.unit === unit && defect.kind === kind);
}
