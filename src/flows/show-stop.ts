import { instantText, instantTextOrNull } from '../domain/instant.ts';
import type { Limits } from '../domain/shop/limit.ts';
import { whoClearsStop } from '../domain/shop/readiness-reason.ts';
import { hasRunOut } from '../domain/shop/stop.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import { dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import type { FindingReportRow, FindingRow } from '../store/finding.ts';
import type { StopActRow, StopRow } from '../store/stop.ts';

/** A stop as it is at an instant. */
export const showStop = (row: StopRow, nowMs: number) => ({
  stopId: row.stopId,
  unitId: row.unitId,
  assetId: row.assetId,
  findingId: row.findingId,
  kind: row.kind,
  state: row.state !== 'cleared' && hasRunOut(row, nowMs) ? ('run_out' as const) : row.state,
  effect: row.effect,
  functions: row.functions as UnitFunction[],
  limits: row.limits as Limits,
  effective: row.effective,
  reason: row.reason,
  cause:
    row.causeKind === null || row.causeId === null
      ? null
      : { kind: row.causeKind, id: row.causeId },
  until: instantTextOrNull(row.untilAtMs),
  placedAt: instantText(row.placedAtMs),
  placedBy: { personId: row.placedByPerson, name: row.placedByName },
  whoCanClear: whoClearsStop(row),
  droppedAt: instantTextOrNull(row.droppedAtMs),
  clearedAt: instantTextOrNull(row.clearedAtMs),
});

export const showStopAct = (row: StopActRow) => ({
  actId: row.actId,
  act: row.act,
  until: instantTextOrNull(row.untilAtMs),
  words: row.words,
  by: { personId: row.byPerson, name: row.byName },
  at: instantText(row.recordedAtMs),
});

const showClosing = (row: FindingRow) => {
  if (row.closedAtMs === null || row.closedHow === null) return null;
  const by =
    row.closedByName === null ? null : { personId: row.closedByPerson, name: row.closedByName };
  return {
    how: row.closedHow,
    at: instantText(row.closedAtMs),
    words: row.closedWords ?? '',
    by,
    cardId: row.cardId,
  };
};

/** Amounts by meter in its unit, from grains. */
export const showUse = (use: Readonly<Record<string, number>>): Record<string, number> =>
  Object.fromEntries(
    Object.entries(use).map(([meter, grains]) => [meter, formatGrains(grains, dimensionOf(meter))]),
  );

export const showFinding = (row: FindingRow) => ({
  findingId: row.findingId,
  unitId: row.unitId,
  assetId: row.assetId,
  point: row.pointKey,
  part: row.part,
  grade: row.grade,
  words: row.words,
  functions: row.functions as UnitFunction[],
  mendByDay: row.mendByDay,
  mendByUse: showUse(row.mendByUse),
  reports: row.reports,
  foundAt: instantText(row.foundAtMs),
  gradedAt: instantText(row.gradedAtMs),
  closed: showClosing(row),
});

export const showFindingReport = (row: FindingReportRow) => ({
  reportId: row.reportId,
  grade: row.grade,
  words: row.words,
  source: { kind: row.source, id: row.sourceId },
  by: { personId: row.byPerson, name: row.byName },
  at: instantText(row.recordedAtMs),
});
