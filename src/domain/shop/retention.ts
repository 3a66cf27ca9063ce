import { addMonths, daysBetween } from '../usage/local-day.ts';

/**
 * How long records of a unit must be kept. Periods are calendar months; a month that is too short
 * ends the period on its last day (common practice, no source). The rules of 49 CFR part 396 apply
 * where the unit is a commercial motor vehicle; nothing is purged because a period is over.
 */
export const RETENTION_KINDS = [
  'upkeep',
  'walk_round',
  'officer_report',
  'yearly_inspection',
  'inspector',
  'wear',
  'other',
] as const;
export type RetentionKind = (typeof RETENTION_KINDS)[number];

interface RetentionRule {
  /** Months from the record's own day; null: no rule that we know of asks for it. */
  months: number | null;
  /** Months after the unit leaves control, where that is later. */
  monthsAfterControl: number | null;
  source: string;
  words: string;
}

export const retentionRules: Readonly<Record<RetentionKind, RetentionRule>> = {
  upkeep: {
    months: 12,
    monthsAfterControl: 6,
    source: '49 CFR 396.3(c)',
    words: 'A year, and six months after the unit leaves control.',
  },
  walk_round: {
    months: 3,
    monthsAfterControl: null,
    source: '49 CFR 396.11(a)(4)',
    words: 'Three months, with the certification of repair and the review by the driver.',
  },
  officer_report: {
    months: 12,
    monthsAfterControl: null,
    source: '49 CFR 396.9(d)',
    words: 'Twelve months from the inspection.',
  },
  yearly_inspection: {
    months: 14,
    monthsAfterControl: null,
    source: '49 CFR 396.21(b)',
    words: 'Fourteen months from the report.',
  },
  inspector: {
    months: 12,
    monthsAfterControl: null,
    source: '49 CFR 396.19(b)',
    words: 'As long as the person inspects, and a year.',
  },
  wear: {
    months: null,
    monthsAfterControl: null,
    source: 'our own rule',
    words: 'No rule asks for it; it is kept all the same, because wear is reckoned from it.',
  },
  other: {
    months: null,
    monthsAfterControl: null,
    source: 'our own rule',
    words: 'No rule asks for it; it is kept all the same.',
  },
};

export interface Kept {
  /** The last day on which it must be kept, as far as that is known; null: no rule asks for it. */
  through: string | null;
  /** It may be longer: the unit has not left control yet, or an order holds it. */
  mayBeLonger: boolean;
}

const later = (a: string, b: string) => (a > b ? a : b);

/**
 * Until when a record of a day must be kept. `controlEnded`: the day on which the unit left control
 * for good so far; null while it is controlled.
 */
export function keptThrough(
  kind: RetentionKind,
  recordDay: string,
  controlEnded: string | null,
): Kept {
  const { months, monthsAfterControl } = retentionRules[kind];
  if (months === null) return { through: null, mayBeLonger: false };
  const own = addMonths(recordDay, months);
  if (monthsAfterControl === null) return { through: own, mayBeLonger: false };
  if (controlEnded === null) return { through: own, mayBeLonger: true };
  return { through: later(own, addMonths(controlEnded, monthsAfterControl)), mayBeLonger: false };
}

/** From a day to the day on which the unit left; null: it is still there. Both days inside. */
export interface ControlPeriod {
  fromDay: string;
  endedDay: string | null;
}

/** When the unit last left control; null while it is there, or where nobody said anything. */
export function controlEnded(periods: readonly ControlPeriod[]): string | null {
  const days = periods.map((each) => each.endedDay);
  if (days.length === 0 || days.includes(null)) return null;
  return (days as string[]).reduce(later);
}

const monthOfDays = 30;

/** Whether it was controlled for thirty days on end, from which on 396.3(b) asks for records. */
export const controlledForAMonth = (period: ControlPeriod, today: string): boolean =>
  daysBetween(period.fromDay, period.endedDay ?? today) + 1 >= monthOfDays;

/** An order that records be preserved; it holds back every purge until it is lifted. */
export interface Preservation {
  unitId: string | null;
  liftedAtMs: number | null;
}

/** Whether an order holds the records of a unit; one without a unit holds those of all. */
export const isPreserved = (orders: readonly Preservation[], unitId: string): boolean =>
  orders.some(
    (order) => order.liftedAtMs === null && (order.unitId === null || order.unitId === unitId),
  );
