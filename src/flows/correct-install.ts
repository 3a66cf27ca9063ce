import { v7 as uuid } from 'uuid';
import type { Cause } from '../domain/events/cause.ts';
import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { firstDifference, type Period } from '../domain/usage/link-sources.ts';
import type { AssetKind } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { kindsOfAssets } from '../store/asset.ts';
import {
  type CorrectionRow,
  correctionsOf,
  donesWithin,
  findInstall,
  type InstallRow,
  insertInstall,
  installsOnUnits,
  lockInstalls,
} from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { findUnit } from '../store/unit.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import type { Recorder } from './record-upkeep.ts';
import { checkPeriod, type Rewriting, rewriteInstall } from './rewrite-install.ts';
import type { Work } from './work.ts';

const donesShown = 50;

const subjectOf = ({ assetId, gatewayId }: InstallRow): string =>
  assetId === null ? `gateway/${gatewayId}` : `asset/${assetId}`;

/** From when on it is elsewhere than was said; null when only words changed. */
function movedFrom(before: InstallRow, after: InstallRow | null): number | null {
  if (!after) return before.during.fromMs;
  if (after.unitId !== before.unitId) return Math.min(before.during.fromMs, after.during.fromMs);
  return firstDifference([before.during], [after.during]);
}

/** The times at which it is no more where it was said to be. */
function leftOut(before: InstallRow, after: InstallRow | null): Period[] {
  const { fromMs, toMs } = before.during;
  if (!after || after.unitId !== before.unitId) return [before.during];
  const kept = after.during;
  const head = { fromMs, toMs: Math.min(kept.fromMs, toMs ?? Infinity) };
  const tail = { fromMs: Math.max(fromMs, kept.toMs ?? Infinity), toMs };
  return [head, tail].filter((p) => p.fromMs < (p.toMs ?? Infinity) && p.fromMs !== Infinity);
}

/**
 * Work recorded on the asset while it was thought to be there. It stands as it was signed; a person
 * may see that it was done on another asset.
 */
async function donesToReview(tx: Tx, before: InstallRow, after: InstallRow | null) {
  const { fleetId, assetId } = before;
  if (assetId === null) return [];
  const found: string[] = [];
  for (const period of leftOut(before, after)) {
    found.push(...(await donesWithin(tx, fleetId, assetId, period, donesShown - found.length)));
  }
  return found;
}

const showState = (row: InstallRow | null) =>
  row && {
    unitId: row.unitId,
    from: instantText(row.during.fromMs),
    to: instantTextOrNull(row.during.toMs),
  };

const types: Record<CorrectionRow['kind'], string> = {
  changed: 'install.corrected',
  ended: 'install.ended',
  moved: 'install.moved',
  swapped: 'install.swapped',
  withdrawn: 'install.withdrawn',
};

/** One thing set right, told, with what must then be linked anew. */
async function setRight(work: Work, by: Recorder, rewriting: Rewriting, more: object = {}) {
  const { kind, before, after, reason } = rewriting;
  const correction = await rewriteInstall(work, by, rewriting);
  const { correctionId } = correction;
  const { installId } = before;
  work.record({
    type: types[kind],
    subject: subjectOf(before),
    data: {
      installId,
      correctionId,
      before: showState(before),
      after: showState(after),
      ...more,
      donesToReview: await donesToReview(work.tx, before, after),
    },
    personal: { by: by.name, reason },
    occurredAtMs: work.nowMs,
  });
  const sinceMs = movedFrom(before, after);
  const subject = `install/${installId}`;
  const cause: Cause | null =
    sinceMs === null ? null : { what: 'install_corrected', subject, id: correctionId, sinceMs };
  return { correction, cause };
}

/** Holds the installs of the fleet. @throws Problem not_found, install_withdrawn */
async function takeInstall(work: Work, installId: string): Promise<InstallRow> {
  const { tx, fleetId } = work;
  await lockInstalls(tx, fleetId);
  const row = await findInstall(tx, fleetId, installId);
  if (row) return row;
  const known = await correctionsOf(tx, fleetId, installId, 1);
  if (known.length > 0) throw new Problem('install_withdrawn', 'It never was, as was said before.');
  throw new Problem('not_found', 'There is no such install in this fleet.');
}

async function relink(work: Work, cause: Cause, before: InstallRow, after: InstallRow | null) {
  await linkMeterSources(work, {
    unitIds: [...new Set([before.unitId, after?.unitId ?? before.unitId])],
    assetIds: before.assetId === null ? [] : [before.assetId],
    movedFromMs: cause.sinceMs,
    causes: [cause],
  });
}

export interface InstallChange {
  unitId?: string | undefined;
  fromMs?: number | undefined;
  /** Null: still there. */
  toMs?: number | null | undefined;
  note?: string | null | undefined;
  reason: string;
}

/**
 * Says afterwards where something was and from when to when. Use moves to the asset that it belongs
 * to; work recorded as done stays as it was signed.
 *
 * @throws Problem not_found, install_withdrawn, reference_unknown, time_invalid, install_overlaps
 */
export async function correctInstall(
  work: Work,
  by: Recorder,
  installId: string,
  change: InstallChange,
): Promise<InstallRow> {
  const { tx, fleetId, nowMs } = work;
  const before = await takeInstall(work, installId);
  const { unitId = before.unitId, note = before.note, reason } = change;
  const { fromMs = before.during.fromMs, toMs = before.during.toMs } = change;
  checkPeriod(fromMs, toMs, nowMs);
  if (unitId !== before.unitId && !(await findUnit(tx, fleetId, unitId, nowMs))) {
    throw new Problem('reference_unknown', 'unitId names no unit of this fleet.');
  }
  const after = { ...before, unitId, note, during: { fromMs, toMs } };
  if (movedFrom(before, after) === null && note === before.note) return before;
  const { cause } = await setRight(work, by, { kind: 'changed', before, after, reason });
  if (cause) await relink(work, cause, before, after);
  return after;
}

/**
 * Takes an asset or a gateway off its unit.
 *
 * @throws Problem not_found, install_withdrawn, install_ended, time_invalid
 */
export async function endInstall(
  work: Work,
  by: Recorder,
  installId: string,
  { atMs, reason }: { atMs: number; reason: string | null },
): Promise<InstallRow> {
  const before = await takeInstall(work, installId);
  const { fromMs, toMs } = before.during;
  if (toMs !== null && toMs <= atMs) {
    throw new Problem('install_ended', `It ended at ${instantText(toMs)}.`);
  }
  checkPeriod(fromMs, atMs, work.nowMs);
  const after = { ...before, during: { fromMs, toMs: atMs } };
  const rewriting = {
    kind: 'ended',
    before,
    after,
    reason: reason ?? 'It was taken off.',
  } as const;
  const { cause } = await setRight(work, by, rewriting);
  if (cause) await relink(work, cause, before, after);
  return after;
}

/**
 * Says that an install never was. It is known from its corrections alone from then on.
 *
 * @throws Problem not_found, install_withdrawn
 */
export async function withdrawInstall(
  work: Work,
  by: Recorder,
  installId: string,
  reason: string,
): Promise<InstallRow> {
  const before = await takeInstall(work, installId);
  const { cause } = await setRight(work, by, { kind: 'withdrawn', before, after: null, reason });
  if (cause) await relink(work, cause, before, null);
  return before;
}

export interface Swap {
  unitIds: readonly [string, string];
  /** The assets of one kind, or the gateways. */
  what: AssetKind | 'gateway';
  atMs: number;
  reason: string;
}

/** What of the wanted kind sits on the two units at the moment. */
async function swapped(tx: Tx, fleetId: number, { unitIds, what, atMs }: Swap) {
  const there = (await installsOnUnits(tx, fleetId, unitIds)).filter(
    ({ during }) => during.fromMs <= atMs && atMs < (during.toMs ?? Infinity),
  );
  if (what === 'gateway') return there.filter((row) => row.gatewayId !== null);
  const ids = there.flatMap((row) => (row.assetId === null ? [] : [row.assetId]));
  const kinds = await kindsOfAssets(tx, fleetId, ids);
  const wanted = new Set(kinds.filter(({ kind }) => kind === what).map((each) => each.assetId));
  return there.filter((row) => row.assetId !== null && wanted.has(row.assetId));
}

/**
 * Two units exchange their assets of one kind, or their gateways, at one moment: both or neither.
 * What was put there at that very moment was put on the other one instead.
 *
 * @throws Problem reference_unknown, time_invalid, nothing_to_swap
 */
export async function swapInstalls(work: Work, by: Recorder, swap: Swap): Promise<InstallRow[]> {
  const { tx, fleetId, nowMs } = work;
  const { unitIds, atMs, reason } = swap;
  await lockInstalls(tx, fleetId);
  checkPeriod(atMs, null, nowMs);
  for (const unitId of unitIds) {
    if (await findUnit(tx, fleetId, unitId, nowMs)) continue;
    throw new Problem('reference_unknown', 'unitIds names no unit of this fleet.');
  }
  const held = await swapped(tx, fleetId, swap);
  if (!unitIds.every((unitId) => held.some((row) => row.unitId === unitId))) {
    throw new Problem('nothing_to_swap', 'Each of the two must have one there at that moment.');
  }
  const causes: Cause[] = [];
  const now: InstallRow[] = [];
  for (const before of held) {
    const unitId = before.unitId === unitIds[0] ? unitIds[1] : unitIds[0];
    const { fromMs, toMs } = before.during;
    const after =
      fromMs === atMs ? { ...before, unitId } : { ...before, during: { fromMs, toMs: atMs } };
    const next: InstallRow | null =
      fromMs === atMs
        ? null
        : {
            ...before,
            installId: uuid(),
            unitId,
            during: { fromMs: atMs, toMs },
            createdAtMs: nowMs,
          };
    const more = next === null ? {} : { nextInstallId: next.installId };
    const rewriting = { kind: 'swapped', before, after, reason } as const;
    const { cause } = await setRight(work, by, rewriting, { ...more, unitId });
    if (next) await insertInstall(tx, next);
    if (cause) causes.push(cause);
    now.push(next ?? after);
  }
  await linkMeterSources(work, {
    unitIds,
    assetIds: held.flatMap((row) => (row.assetId === null ? [] : [row.assetId])),
    movedFromMs: atMs,
    causes,
  });
  return now;
}
