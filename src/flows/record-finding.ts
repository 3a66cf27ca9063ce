import { v7 as uuid } from 'uuid';
import {
  earlierDay,
  type FindingEnding,
  type FindingGrade,
  type FindingSource,
  isWorse,
  servedFunctions,
} from '../domain/shop/finding.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { builtInMeter } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { findAsset } from '../store/asset.ts';
import {
  type FindingRow,
  insertFinding,
  insertFindingReport,
  lockFinding,
  openFindingAt,
  updateFinding,
} from '../store/finding.ts';
import { lockFaults, lockStopsOfFinding, type StopRow } from '../store/stop.ts';
import { assetWork } from '../store/unit-work.ts';
import type { Actor } from './actor.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { clearStopRow } from './clear-stop.ts';
import { UseLookup } from './look-up-use.ts';
import { absent } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import { setStop } from './set-stop.ts';
import type { Work } from './work.ts';

export interface NewFinding {
  unitId: string;
  assetId: string | null;
  /** A service point of the asset's pattern. */
  pointKey: string | null;
  /** A part, where the point does not say which. */
  part: string | null;
  grade: FindingGrade;
  words: string;
  mendByDay: string | null;
  /** {meter: grains that may be used from now on} */
  mendByUse: Readonly<Record<string, number>> | null;
  source: { kind: FindingSource; id: string | null };
}

export interface RecordedFinding {
  finding: FindingRow;
  /** What an unfit place stops, at once. */
  stop: StopRow | null;
  /** It was open already, and this is one more report of it. */
  joined: boolean;
}

/** What the place serves, by the pattern that the asset follows now. */
async function functionsOf(work: Work, input: NewFinding): Promise<UnitFunction[]> {
  const { tx, fleetId, nowMs } = work;
  if (input.assetId === null) return servedFunctions(null);
  const asset = await findAsset(tx, fleetId, input.assetId, nowMs);
  if (!asset) throw new Problem('reference_unknown', 'assetId names no asset of this fleet.');
  const pattern = await patternOf(tx, fleetId, asset);
  const point = pattern?.servicePoints.find((each) => each.key === input.pointKey);
  return servedFunctions({ kind: asset.kind, serves: point?.serves ?? [] });
}

function mustBeSound(input: NewFinding): void {
  const meters = Object.keys(input.mendByUse ?? {});
  if (input.grade === 'mend_by' && input.mendByDay === null && meters.length === 0) {
    throw new Problem('finding_impossible', 'Say by which day or use it must be mended.');
  }
  const unknown = meters.find((meter) => !builtInMeter(meter));
  if (unknown !== undefined) {
    throw new Problem('meter_unknown', `There is no meter "${unknown.slice(0, 40)}".`);
  }
  if (meters.length > 0 && input.assetId === null) {
    throw new Problem('finding_impossible', 'Use is counted of an asset: say which.');
  }
}

/** The day on which it is graded, and what was used on it before: that is not counted. */
async function gradedNow(
  work: Work,
  { assetId, mendByUse }: NewFinding,
): Promise<Pick<FindingRow, 'gradedAtMs' | 'gradedDay' | 'useBefore'>> {
  const { tx, fleetId, nowMs } = work;
  const meters = Object.keys(mendByUse ?? {});
  if (assetId === null || meters.length === 0) {
    return { gradedAtMs: nowMs, gradedDay: null, useBefore: {} };
  }
  const { zone } = await zoneOfAsset(tx, fleetId, assetId, nowMs);
  const { sources } = await assetWork(tx, fleetId, assetId, 0);
  const lookup = new UseLookup(tx, { fleetId, assetId, zone }, sources, [], false);
  const useBefore: Record<string, number> = {};
  for (const meter of meters) useBefore[meter] = await lookup.until(meter, nowMs);
  return { gradedAtMs: nowMs, gradedDay: localDay(nowMs, zone), useBefore };
}

async function stopUnfit(work: Work, by: Actor, found: FindingRow): Promise<StopRow | null> {
  const { tx, fleetId } = work;
  const standing = await lockStopsOfFinding(tx, fleetId, found.findingId);
  if (found.grade !== 'unfit' || standing.length > 0) return null;
  return setStop(work, by, {
    unitId: found.unitId,
    assetId: found.assetId,
    kind: 'defect',
    functions: found.functions as UnitFunction[],
    effect: 'no',
    limits: {},
    effective: 'at_once',
    reason: found.words || 'A place was found unfit.',
    cause: { kind: 'finding', id: found.findingId },
    untilMs: null,
    findingId: found.findingId,
  });
}

/**
 * One more report of an open finding; the worse grade stands. To be mended by another day or use:
 * the stricter day, and the use that was told last, from now on.
 */
async function join(
  work: Work,
  input: NewFinding,
  open: FindingRow,
  functions: readonly UnitFunction[],
): Promise<FindingRow> {
  const raised = isWorse(input.grade, open.grade);
  const dated = input.grade === 'mend_by' && !isWorse(open.grade, 'mend_by');
  const told = Object.keys(input.mendByUse ?? {}).length > 0;
  const change: Partial<FindingRow> = {
    reports: open.reports + 1,
    functions: [...new Set([...open.functions, ...functions])],
    ...(raised ? { grade: input.grade, words: input.words, gradedAtMs: work.nowMs } : {}),
    ...(dated ? { mendByDay: earlierDay(open.mendByDay, input.mendByDay) } : {}),
    ...(dated && told ? { mendByUse: { ...input.mendByUse } } : {}),
    ...(dated && told ? await gradedNow(work, input) : {}),
  };
  await updateFinding(work.tx, work.fleetId, open.findingId, change);
  return { ...open, ...change };
}

async function begin(
  work: Work,
  input: NewFinding,
  functions: readonly UnitFunction[],
): Promise<FindingRow> {
  const sound = input.grade === 'sound';
  const dated = input.grade === 'mend_by';
  const row: FindingRow = {
    fleetId: work.fleetId,
    findingId: uuid(),
    unitId: input.unitId,
    assetId: input.assetId,
    pointKey: input.pointKey,
    part: input.part,
    grade: input.grade,
    words: input.words,
    functions: [...functions],
    mendByDay: dated ? input.mendByDay : null,
    mendByUse: dated ? { ...input.mendByUse } : {},
    reports: 1,
    foundAtMs: work.nowMs,
    ...(await gradedNow(work, dated ? input : { ...input, mendByUse: null })),
    closedAtMs: sound ? work.nowMs : null,
    closedHow: sound ? 'sound' : null,
    closedWords: null,
    closedByPerson: null,
    closedByKey: null,
    closedByName: null,
    cardId: null,
  };
  await insertFinding(work.tx, row);
  return row;
}

/**
 * Records how a place was found. The same fault told again (same asset, point and part, still open)
 * joins the open finding, which takes the worse grade; where neither point nor part is named it is
 * always a new one. `unfit` stops the functions that the place serves, at once.
 *
 * @throws Problem finding_impossible, reference_unknown
 */
export async function recordFinding(
  work: Work,
  by: Actor,
  input: NewFinding,
): Promise<RecordedFinding> {
  const { tx, fleetId, nowMs } = work;
  mustBeSound(input);
  const functions = await functionsOf(work, input);
  await lockFaults(tx, fleetId, input.unitId);
  const named = input.pointKey !== null || input.part !== null;
  const open = named && input.grade !== 'sound' ? await openFindingAt(tx, fleetId, input) : null;
  const finding = open
    ? await join(work, input, open, functions)
    : await begin(work, input, functions);
  await insertFindingReport(tx, {
    fleetId,
    reportId: uuid(),
    findingId: finding.findingId,
    grade: input.grade,
    words: input.words,
    source: input.source.kind,
    sourceId: input.source.id,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    recordedAtMs: nowMs,
  });
  work.record({
    type: open ? 'finding.reported_again' : 'finding.recorded',
    subject: `unit/${input.unitId}`,
    data: {
      findingId: finding.findingId,
      assetId: finding.assetId,
      point: finding.pointKey,
      part: finding.part,
      grade: finding.grade,
      before: open?.grade ?? null,
      reports: finding.reports,
      source: input.source,
      mendByDay: finding.mendByDay,
      personId: by.personId,
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: nowMs,
  });
  work.changed('readiness');
  return { finding, stop: await stopUnfit(work, by, finding), joined: open !== null };
}

/** The finding is of this unit, or of what is on it now. @throws Problem not_found */
export async function mustBeFindingOf(
  work: Work,
  { unitId, findingId }: { unitId: string; findingId: string },
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const row = await lockFinding(tx, fleetId, findingId);
  if (!row) throw absent('finding');
  if (row.unitId === unitId) return;
  const asset = row.assetId === null ? null : await findAsset(tx, fleetId, row.assetId, nowMs);
  if (asset?.unitId !== unitId) throw absent('finding');
}

/**
 * Closes a finding: a lead's act, whose signature the caller has checked, or the end of a card that
 * a lead signed off. The defect stops that it set are cleared with it.
 *
 * @throws Problem not_found, finding_closed
 */
export async function closeFinding(
  work: Work,
  by: Actor,
  input: { findingId: string; how: FindingEnding; cardId: string | null; words: string },
): Promise<FindingRow> {
  const { tx, fleetId, nowMs } = work;
  const row = await lockFinding(tx, fleetId, input.findingId);
  if (!row) throw absent('finding');
  if (row.closedAtMs !== null) throw new Problem('finding_closed', 'It was closed before.');
  const change = {
    closedAtMs: nowMs,
    closedHow: input.how,
    closedWords: input.words,
    closedByPerson: by.personId,
    closedByKey: by.keyId,
    closedByName: by.name,
    cardId: input.cardId,
  };
  await updateFinding(tx, fleetId, row.findingId, change);
  work.record({
    type: 'finding.closed',
    subject: `unit/${row.unitId}`,
    data: {
      findingId: row.findingId,
      assetId: row.assetId,
      how: input.how,
      cardId: input.cardId,
      personId: by.personId,
    },
    personal: { by: by.name, words: input.words },
    occurredAtMs: nowMs,
  });
  for (const stop of await lockStopsOfFinding(tx, fleetId, row.findingId)) {
    if (stop.kind === 'defect') {
      await clearStopRow(work, by, stop, { act: 'clear_by_repair', words: input.words });
    }
  }
  work.changed('readiness');
  return { ...row, ...change };
}
