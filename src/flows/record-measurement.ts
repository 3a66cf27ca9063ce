import { v7 as uuid } from 'uuid';
import type { Limit } from '../domain/upkeep/point-limit.ts';
import {
  comparable,
  type GaugeStep,
  gradeOf,
  type Judged,
  judgeGauge,
  judgePlace,
  judgeSize,
  type MeasureVerdict,
  measureOf,
  type Reading,
  regain,
  type Size,
  usualError,
  type WearLimits,
  wearDirection,
} from '../domain/wear/measurement.ts';
import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import {
  insertMeasurement,
  type MeasurementRow,
  nearestMeasurement,
  takenUpBetween,
} from '../store/measurement.ts';
import { livesAtPlace } from '../store/part-life.ts';
import type { Actor } from './actor.ts';
import { findWear } from './find-wear.ts';
import { MetersAt } from './use-at.ts';
import { mustFindPlace, pastInstant, type WearPlace } from './wear-place.ts';
import type { Work } from './work.ts';

/** A measurement as somebody took it: a size, or what a go/no-go gauge says. */
export interface NewMeasurement {
  assetId: string;
  pointKey: string;
  /** The wear part of the pattern; null: the place itself. */
  part: string | null;
  /** Without a part: which limit of the place; left out: the only one in such a unit. */
  limitKey?: string | null;
  size: Size | null;
  gauge: GaugeStep | null;
  /** What it was measured with. */
  tool: string | null;
  /** Of the size, in its unit; null: as the pattern says, else what is usual. */
  errorThousandths: number | null;
  wiped: boolean | null;
  temperatureTenths: number | null;
  atMs: number;
  note: string | null;
  /** Who measured. */
  measuredBy: { personId: string | null; name: string };
  /** The step of a job card that asked for it. */
  stepId: string | null;
}

export interface RecordedMeasurement {
  row: MeasurementRow;
  verdict: MeasureVerdict;
  /** The part seems to have grown back: a person must say which reading is right. */
  questioned: boolean;
  findingId: string | null;
}

const limitsOf = ({ wearPart }: WearPlace): WearLimits | null => wearPart;

function errorOf(input: NewMeasurement, place: WearPlace): number {
  if (input.errorThousandths !== null) return input.errorThousandths;
  const { unit } = input.size as Size;
  const said = place.wearPart?.gaugeErrorThousandths;
  if (said === undefined || place.wearPart === null) return usualError[unit];
  if (place.wearPart.unit === unit) return said;
  // The pattern speaks of millimetres and it was read in inches, or the other way round.
  const per = measureOf({ thousandths: 1, unit });
  return Math.ceil(measureOf({ thousandths: said, unit: place.wearPart.unit }) / per);
}

/** The limit of the place that is meant. @throws Problem reference_unknown */
function placeLimitOf(input: NewMeasurement, { point, wearPart }: WearPlace): Limit | null {
  const { size, limitKey = null } = input;
  if (wearPart !== null || size === null) return null;
  const fitting = (point?.limits ?? []).filter((each) => comparable(size.unit, each.unit));
  if (limitKey === null) return fitting.length === 1 ? (fitting[0] as Limit) : null;
  const limit = fitting.find((each) => each.key === limitKey);
  if (limit) return limit;
  throw new Problem('reference_unknown', 'limit names no limit of that place in such a unit.');
}

function judged(
  input: NewMeasurement,
  error: number,
  limits: WearLimits | null,
  limit: Limit | null,
): Judged {
  if (input.gauge !== null) return judgeGauge(input.gauge);
  if (limit !== null) return judgePlace(input.size as Size, error, limit);
  if (limits === null) return { verdict: 'not_judged', rule: 'no_limit_known' };
  return judgeSize(input.size as Size, error, limits);
}

const readingOf = (row: MeasurementRow): Reading =>
  row.gauge !== null
    ? { atMs: row.atMs, step: row.gauge }
    : {
        atMs: row.atMs,
        measure: measureOf({ thousandths: row.value as number, unit: row.unit as Size['unit'] }),
        error: measureOf({ thousandths: row.error as number, unit: row.unit as Size['unit'] }),
      };

/** Whether a part was fitted or removed between two instants: its series begins anew. */
async function partChanged(
  work: Work,
  row: MeasurementRow,
  fromMs: number,
  toMs: number,
): Promise<boolean> {
  if (row.part === null) return false;
  const place = { assetId: row.assetId, part: row.part, pointKey: row.pointKey };
  const lives = await livesAtPlace(work.tx, work.fleetId, place);
  return lives.some(({ entry }) =>
    [entry.fittedAtMs, entry.removedAtMs].some((at) => at !== null && at > fromMs && at <= toMs),
  );
}

/**
 * The reading before or after that this one does not agree with: the part seems to have grown back
 * by more than both can be wrong together, and neither was it changed nor its tension taken up.
 */
async function disagrees(
  work: Work,
  row: MeasurementRow,
  limits: WearLimits | null,
): Promise<string | null> {
  const { tx, fleetId } = work;
  const unit = row.gauge === null ? ('size' as const) : ('gauge' as const);
  const place = { assetId: row.assetId, pointKey: row.pointKey, part: row.part, unit };
  const direction = limits && wearDirection(limits);
  for (const side of ['before', 'after'] as const) {
    const other = await nearestMeasurement(tx, fleetId, place, row.atMs, side);
    if (!other) continue;
    const [earlier, later] = side === 'before' ? [other, row] : [row, other];
    if (!regain(readingOf(earlier), readingOf(later), direction)) continue;
    if (await takenUpBetween(tx, fleetId, place, earlier.atMs, later.atMs)) continue;
    if (await partChanged(work, row, earlier.atMs, later.atMs)) continue;
    return other.measurementId;
  }
  return null;
}

function tell(work: Work, by: Actor, row: MeasurementRow, unitId: string | null): void {
  work.record({
    type: row.questionedAgainst === null ? 'measurement.taken' : 'measurement.questioned',
    subject: `asset/${row.assetId}`,
    data: {
      measurementId: row.measurementId,
      unitId,
      point: row.pointKey,
      part: row.part,
      value: row.value,
      unit: row.unit,
      gauge: row.gauge,
      verdict: row.verdict,
      rule: row.rule,
      questionedAgainst: row.questionedAgainst,
      findingId: row.findingId,
      personId: row.personId,
    },
    personal: { measuredBy: row.name, note: row.note, by: by.name },
    occurredAtMs: row.atMs,
  });
}

const wordsOf = (row: MeasurementRow, place: WearPlace): string => {
  const name = place.wearPart?.name ?? place.point?.name ?? row.pointKey;
  const shown = (thousandths: number) => String(thousandths / 1000);
  if (row.gauge !== null) return `${name}: the gauge says ${row.gauge.replace('_', '-')}.`;
  const bounds = [
    ['limit', row.limitValue],
    ['at least', row.least],
    ['at most', row.most],
  ] as const;
  const limits = bounds
    .filter(([, bound]) => bound !== null)
    .map(([word, bound]) => `, ${word} ${shown(bound as number)} ${row.limitUnit ?? ''}`);
  return `${name}: measured ${shown(row.value as number)} ${row.unit}${limits.join('')}.`;
};

/**
 * Records a measurement, held against where the part ends and against what was measured before.
 * What the meters stood at then is looked up. Near its limit it makes a finding to keep watch, past
 * it one that is unfit where a load hangs on it. A reading that does not agree with the ones beside
 * it is kept and marked, and a person decides; it makes its finding all the same.
 *
 * @throws Problem not_found, reference_unknown, time_invalid
 */
export async function recordMeasurement(
  work: Work,
  by: Actor,
  input: NewMeasurement,
): Promise<RecordedMeasurement> {
  const { tx, fleetId, nowMs } = work;
  const place = await mustFindPlace(work, input);
  const atMs = pastInstant(work, input.atMs);
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const limits = limitsOf(place);
  const error = input.size === null ? 0 : errorOf(input, place);
  const limit = placeLimitOf(input, place);
  const { verdict, rule } = judged(input, error, limits, limit);
  const use = await new MetersAt(tx, fleetId, input.assetId).at(place.meters, atMs);
  const row: MeasurementRow = {
    fleetId,
    measurementId: uuid(),
    assetId: input.assetId,
    pointKey: input.pointKey,
    part: input.part,
    atMs,
    value: input.size?.thousandths ?? null,
    unit: input.size?.unit ?? null,
    error: input.size === null ? null : error,
    gauge: input.gauge,
    tool: input.tool,
    wiped: input.wiped,
    temperatureTenths: input.temperatureTenths,
    note: input.note,
    verdict,
    rule,
    nominal: limits?.nominalThousandths ?? null,
    near: limits?.nearThousandths ?? null,
    limitValue: limits?.limitThousandths ?? null,
    limitUnit: limits?.unit ?? limit?.unit ?? null,
    limitKey: limit?.key ?? null,
    least: limit?.leastThousandths ?? null,
    most: limit?.mostThousandths ?? null,
    useThen: use.grains,
    questionedAgainst: null,
    findingId: null,
    stepId: input.stepId,
    personId: input.measuredBy.personId,
    name: input.measuredBy.name,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
  };
  row.questionedAgainst = await disagrees(work, row, limits);
  const grade = gradeOf(verdict, place.point?.liftCritical ?? true);
  row.findingId = await findWear(work, by, place, {
    grade,
    pointKey: row.pointKey,
    part: row.part,
    words: wordsOf(row, place),
    sourceId: row.measurementId,
  });
  await insertMeasurement(tx, row);
  tell(work, by, row, place.asset.unitId);
  return {
    row,
    verdict,
    questioned: row.questionedAgainst !== null,
    findingId: row.findingId,
  };
}
