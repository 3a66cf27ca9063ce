import { instantText } from '../domain/instant.ts';
import { dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import { type FiredRule, removalCaution } from '../domain/wear/removal.ts';
import type { MeasurementWithWord, RemovalCheckRow, TakeUpRow } from '../store/measurement.ts';
import { measurementState } from './decide-measurement.ts';

/** Use by meter, in units, as it is sent. */
export const showUse = (grains: unknown) =>
  Object.entries(grains as Record<string, number>).map(([meter, value]) => ({
    meter,
    unit: dimensionOf(meter),
    value: formatGrains(value, dimensionOf(meter)),
  }));

const figure = (thousandths: number | null) => (thousandths === null ? null : thousandths / 1000);

const showVoided = (row: Pick<TakeUpRow, 'voidReason' | 'voidedBy' | 'voidedAtMs'>) =>
  row.voidedAtMs === null
    ? null
    : { by: row.voidedBy ?? '', reason: row.voidReason ?? '', at: instantText(row.voidedAtMs) };

/** A measurement as it is sent, with what was said of it since. */
export function showMeasurement(found: MeasurementWithWord) {
  const { row, lifeId, decisions } = found;
  return {
    measurementId: row.measurementId,
    assetId: row.assetId,
    point: row.pointKey,
    part: row.part,
    lifeId,
    at: instantText(row.atMs),
    value: figure(row.value),
    unit: row.unit,
    error: figure(row.error),
    gauge: row.gauge,
    tool: row.tool,
    wiped: row.wiped,
    temperatureC: row.temperatureTenths === null ? null : row.temperatureTenths / 10,
    note: row.note,
    verdict: row.verdict,
    rule: row.rule,
    heldAgainst:
      row.limitUnit === null
        ? null
        : {
            unit: row.limitUnit,
            nominal: figure(row.nominal),
            near: figure(row.near),
            limit: figure(row.limitValue),
            key: row.limitKey,
            least: figure(row.least),
            most: figure(row.most),
          },
    useThen: showUse(row.useThen),
    state: measurementState(found),
    questionedAgainst: row.questionedAgainst,
    decisions: decisions.map((each) => ({
      decision: each.decision,
      by: each.name,
      reason: each.reason,
      at: instantText(each.recordedAtMs),
    })),
    findingId: row.findingId,
    stepId: row.stepId,
    personId: row.personId,
    measuredBy: row.name,
    recordedAt: instantText(row.recordedAtMs),
  };
}

export function showTakeUp(row: TakeUpRow) {
  return {
    takeUpId: row.takeUpId,
    assetId: row.assetId,
    point: row.pointKey,
    part: row.part,
    at: instantText(row.atMs),
    turns: row.turns / 1000,
    gapBefore: figure(row.gapBefore),
    gapAfter: figure(row.gapAfter),
    unit: row.unit,
    error: figure(row.error),
    useThen: showUse(row.useThen),
    note: row.note,
    personId: row.personId,
    doneBy: row.name,
    recordedAt: instantText(row.recordedAtMs),
    voided: showVoided(row),
  };
}

export function showRemovalCheck(row: RemovalCheckRow) {
  return {
    checkId: row.checkId,
    assetId: row.assetId,
    point: row.pointKey,
    at: instantText(row.atMs),
    subject: row.subject,
    look: row.look as Record<string, unknown>,
    decision: row.decision,
    fired: row.fired as FiredRule[],
    cutOffMayCure: row.cutOffMayCure,
    caution: removalCaution,
    useThen: showUse(row.useThen),
    findingId: row.findingId,
    stepId: row.stepId,
    note: row.note,
    personId: row.personId,
    checkedBy: row.name,
    recordedAt: instantText(row.recordedAtMs),
    voided: showVoided(row),
  };
}
