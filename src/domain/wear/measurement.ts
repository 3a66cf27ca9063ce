/**
 * What was measured of a part, held against where the part ends and against what was measured
 * before. Whole numbers only: sizes are thousandths of their unit, and what is compared is brought
 * to ten-thousandths, because an inch is 25.4 mm exactly and a limit must not hang on a rounding.
 */
export const MEASURE_UNITS = [
  'mm',
  'in',
  'nm',
  'turns',
  'percent',
  'bar',
  'celsius',
  'seconds',
] as const;
export type MeasureUnit = (typeof MEASURE_UNITS)[number];

export interface Size {
  /** Thousandths of the unit. */
  thousandths: number;
  unit: MeasureUnit;
}

/** What a go/no-go gauge says: `near` is its middle step, where it has one. */
export const GAUGE_STEPS = ['go', 'near', 'no_go'] as const;
export type GaugeStep = (typeof GAUGE_STEPS)[number];

/** Where a part begins and ends, in thousandths of `unit`; what is not known is left out. */
export interface WearLimits {
  unit: MeasureUnit;
  /** Whether it grows with wear, as a clearance does; left out: as nominal and limit say. */
  grows?: boolean | undefined;
  nominalThousandths?: number | undefined;
  nearThousandths?: number | undefined;
  limitThousandths?: number | undefined;
}

export const MEASURE_VERDICTS = ['sound', 'near_limit', 'beyond_limit', 'not_judged'] as const;
export type MeasureVerdict = (typeof MEASURE_VERDICTS)[number];

/** Which rule said so; shown with the verdict. */
export const MEASURE_RULES = [
  'past_the_limit',
  'at_the_limit_within_the_gauge',
  'past_near',
  'past_four_fifths',
  'before_near',
  'within_its_limits',
  'gauge_no_go',
  'gauge_near',
  'gauge_go',
  'no_limit_known',
  'no_direction_known',
  'other_unit',
] as const;
export type MeasureRule = (typeof MEASURE_RULES)[number];

export interface Judged {
  verdict: MeasureVerdict;
  rule: MeasureRule;
}

/** Ten-thousandths of a millimetre in a thousandth of the unit; of others, of the unit itself. */
const tenThousandths: Readonly<Record<MeasureUnit, number>> = {
  mm: 10,
  in: 254,
  nm: 10,
  turns: 10,
  percent: 10,
  bar: 10,
  celsius: 10,
  seconds: 10,
};

const lengths: readonly MeasureUnit[] = ['mm', 'in'];

/** Whether two sizes are of one kind: millimetres and inches are. */
export const comparable = (a: MeasureUnit, b: MeasureUnit): boolean =>
  a === b || (lengths.includes(a) && lengths.includes(b));

/** What one reading can be wrong by, where nobody says; common practice, no source. */
export const usualError: Readonly<Record<MeasureUnit, number>> = {
  mm: 50,
  in: 2,
  nm: 2_000,
  turns: 50,
  percent: 1_000,
  bar: 2_000,
  celsius: 2_000,
  seconds: 1_000,
};

/** A size in the whole number that sizes of its kind are compared in. */
export const measureOf = ({ thousandths, unit }: Size): number =>
  thousandths * tenThousandths[unit];

/** 1: it grows with wear (a clearance); -1: it shrinks (a thickness); null: nobody says. */
export type WearDirection = 1 | -1 | null;

export function wearDirection(limits: WearLimits): WearDirection {
  const { limitThousandths: limit, grows } = limits;
  if (grows !== undefined) return grows ? 1 : -1;
  const start = limits.nominalThousandths ?? limits.nearThousandths;
  if (limit === undefined || start === undefined || start === limit) return null;
  return limit > start ? 1 : -1;
}

/**
 * A size against its limits. At the limit is not past it, but a reading that its own error could
 * put past the limit is `near_limit`. Where the pattern says no `near`, four fifths of the way from
 * nominal to limit is near (common practice, no source).
 */
export function judgeSize(size: Size, errorThousandths: number, limits: WearLimits): Judged {
  const not = (rule: MeasureRule): Judged => ({ verdict: 'not_judged', rule });
  if (limits.limitThousandths === undefined) return not('no_limit_known');
  if (!comparable(size.unit, limits.unit)) return not('other_unit');
  const direction = wearDirection(limits);
  if (direction === null) return not('no_direction_known');
  const of = (thousandths: number) => direction * measureOf({ thousandths, unit: limits.unit });
  const value = direction * measureOf(size);
  const error = measureOf({ thousandths: errorThousandths, unit: size.unit });
  const limit = of(limits.limitThousandths);
  if (value > limit) return { verdict: 'beyond_limit', rule: 'past_the_limit' };
  if (value + error >= limit) {
    return { verdict: 'near_limit', rule: 'at_the_limit_within_the_gauge' };
  }
  if (limits.nearThousandths !== undefined) {
    const past = value >= of(limits.nearThousandths);
    return past
      ? { verdict: 'near_limit', rule: 'past_near' }
      : { verdict: 'sound', rule: 'before_near' };
  }
  if (limits.nominalThousandths === undefined) return { verdict: 'sound', rule: 'before_near' };
  const nominal = of(limits.nominalThousandths);
  const past = 5 * (value - nominal) >= 4 * (limit - nominal);
  return past
    ? { verdict: 'near_limit', rule: 'past_four_fifths' }
    : { verdict: 'sound', rule: 'before_near' };
}

/** Where a place must stay: at least, at most, or between, in thousandths of `unit`. */
export interface PlaceLimit {
  unit: MeasureUnit;
  leastThousandths?: number | undefined;
  mostThousandths?: number | undefined;
}

/** A size against the limits of its place; the edges themselves are still good. */
export function judgePlace(size: Size, errorThousandths: number, limit: PlaceLimit): Judged {
  if (!comparable(size.unit, limit.unit)) return { verdict: 'not_judged', rule: 'other_unit' };
  const { unit, leastThousandths, mostThousandths } = limit;
  const value = measureOf(size);
  const error = measureOf({ thousandths: errorThousandths, unit: size.unit });
  const of = (thousandths: number) => measureOf({ thousandths, unit });
  const least = leastThousandths === undefined ? -Infinity : of(leastThousandths);
  const most = mostThousandths === undefined ? Infinity : of(mostThousandths);
  if (value < least || value > most) return { verdict: 'beyond_limit', rule: 'past_the_limit' };
  if (value - error < least || value + error > most) {
    return { verdict: 'near_limit', rule: 'at_the_limit_within_the_gauge' };
  }
  return { verdict: 'sound', rule: 'within_its_limits' };
}

export function judgeGauge(step: GaugeStep): Judged {
  switch (step) {
    case 'no_go':
      return { verdict: 'beyond_limit', rule: 'gauge_no_go' };
    case 'near':
      return { verdict: 'near_limit', rule: 'gauge_near' };
    case 'go':
      return { verdict: 'sound', rule: 'gauge_go' };
  }
}

/** A reading among others of the same part in the same place. */
export type Reading = { atMs: number } & (
  | { measure: number; error: number; step?: undefined }
  | { step: GaugeStep; measure?: undefined; error?: undefined }
);

export interface Regain {
  /** Ten-thousandths by which the later one is healthier; null for a go/no-go gauge. */
  by: number | null;
}

/**
 * Whether a part seems to have grown back between two readings by more than both readings can be
 * wrong together: the square root of the sum of the squares, compared as squares. Of a go/no-go
 * gauge only a whole turn from no-go to go is more than its doubt.
 */
export function regain(earlier: Reading, later: Reading, direction: WearDirection): Regain | null {
  if (earlier.step !== undefined || later.step !== undefined) {
    return earlier.step === 'no_go' && later.step === 'go' ? { by: null } : null;
  }
  if (direction === null) return null;
  const by = direction * (earlier.measure - later.measure);
  if (by <= 0) return null;
  const doubt = BigInt(earlier.error) ** 2n + BigInt(later.error) ** 2n;
  return BigInt(by) ** 2n > doubt ? { by } : null;
}

/** Days until which what is past its limit must be mended, where no load hangs on it; our own. */
const mendWithinDays = 14;

export type MeasuredGrade =
  | { grade: 'unfit' | 'keep_watch' }
  | { grade: 'mend_by'; withinDays: number };

/** What a reading says of its place; null: nothing that must be found again. */
export function gradeOf(verdict: MeasureVerdict, liftCritical: boolean): MeasuredGrade | null {
  if (verdict === 'near_limit') return { grade: 'keep_watch' };
  if (verdict !== 'beyond_limit') return null;
  return liftCritical ? { grade: 'unfit' } : { grade: 'mend_by', withinDays: mendWithinDays };
}

/** The same for what was held against removal benchmarks. */
export function gradeOfRemoval(decision: string): MeasuredGrade | null {
  if (decision === 'keep') return null;
  return { grade: decision === 'keep_watch' ? 'keep_watch' : 'unfit' };
}
