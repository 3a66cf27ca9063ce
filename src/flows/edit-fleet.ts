import type { Cause } from '../domain/events/cause.ts';
import { instantText } from '../domain/instant.ts';
import { Problem } from '../errors.ts';
import { countHolders } from '../store/competence.ts';
import {
  endLastYard,
  lastYard,
  unitsEverOfYard,
  updateAsset,
  updateGateway,
  updateUnit,
  updateYard,
  type YardRole,
} from '../store/edit.ts';
import { findFleet, updateFleet } from '../store/fleet.ts';
import { installsOnUnits } from '../store/install.ts';
import { findPattern } from '../store/lift-pattern.ts';
import { insertUnitYard } from '../store/unit.ts';
import { markUnits } from '../store/unit-mark.ts';
import { findYard } from '../store/yard.ts';
import { earliestMs } from './keep-fleet.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import { absent, mustFindAsset, mustFindGateway, mustFindUnit } from './must-find.ts';
import { keepPatternMove } from './pattern-versions.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

type Changes = Record<string, { from: unknown; to: unknown }>;

/** The fields of a change that say something new. */
function differences(before: object, set: object): Changes {
  const was = before as Record<string, unknown>;
  return Object.fromEntries(
    Object.entries(set)
      .filter(([name, to]) => to !== undefined && to !== was[name])
      .map(([name, to]) => [name, { from: was[name] ?? null, to }]),
  );
}

/** Tells what was changed; what may name people stays out of the chain. */
function tellEdit(work: Work, by: Recorder, subject: string, changes: Changes): void {
  const { note, furnishedBy, ...data } = changes;
  const type = `${subject.split('/')[0]}.changed`;
  const personal = {
    by: by.name,
    ...(note ? { note } : {}),
    ...(furnishedBy ? { furnishedBy } : {}),
  };
  work.record({ type, subject, data, personal, occurredAtMs: work.nowMs });
}

/** Has the use of everything on the units placed anew on local days, from an instant on. */
async function refold(work: Work, unitIds: readonly string[], cause: Cause): Promise<void> {
  const there = await installsOnUnits(work.tx, work.fleetId, unitIds);
  const assetIds = [...new Set(there.flatMap(({ assetId }) => assetId ?? []))];
  const movedFromMs = cause.sinceMs;
  await linkMeterSources(work, { unitIds, assetIds, movedFromMs, causes: [cause] });
}

/**
 * Another name of the fleet; or that one person alone works on it, which must be so.
 *
 * @throws Problem not_alone
 */
export async function editFleet(
  work: Work,
  by: Recorder,
  set: { name?: string | undefined; oneMan?: boolean | undefined },
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const changes = differences(await findFleet(tx, fleetId), set);
  if (Object.keys(changes).length === 0) return;
  if (set.oneMan && changes.oneMan) {
    const holders = await countHolders(tx, fleetId, ['lift_work', 'lift_check'], nowMs);
    if (holders > 1) {
      throw new Problem('not_alone', `${holders} people here may work on lifts or check that.`);
    }
  }
  await updateFleet(tx, fleetId, set);
  tellEdit(work, by, `fleet/${fleetId}`, changes);
}

/**
 * Another name, or the right time zone: what was said of it before was wrong, so the days of all
 * units at home there are reckoned anew from the beginning.
 */
export async function editYard(
  work: Work,
  by: Recorder,
  yardId: string,
  set: { name?: string | undefined; timeZone?: string | undefined },
): Promise<void> {
  const { tx, fleetId } = work;
  const before = await findYard(tx, fleetId, yardId);
  if (!before) throw absent('yard');
  const changes = differences(before, set);
  if (Object.keys(changes).length === 0) return;
  await updateYard(tx, fleetId, yardId, set);
  const subject = `yard/${yardId}`;
  tellEdit(work, by, subject, changes);
  work.changed('bring-in');
  if (!changes.timeZone) return;
  const units = await unitsEverOfYard(tx, fleetId, yardId);
  await refold(work, units, { what: 'yard_corrected', subject, sinceMs: earliestMs });
}

async function moveUnit(
  work: Work,
  unitId: string,
  role: YardRole,
  yardId: string,
  atMs: number,
): Promise<void> {
  const { tx, fleetId } = work;
  if (!(await findYard(tx, fleetId, yardId))) {
    throw new Problem('reference_unknown', `${role}YardId names no yard of this fleet.`);
  }
  const last = await lastYard(tx, fleetId, unitId, role);
  if (last && atMs < last.during.fromMs) {
    const since = instantText(last.during.fromMs);
    throw new Problem('time_invalid', `It is at its last ${role} yard since ${since}.`);
  }
  if (last) await endLastYard(tx, fleetId, unitId, role, last.during, atMs);
  const during = { fromMs: atMs, toMs: null };
  await insertUnitYard(tx, { fleetId, unitId, role, yardId, during });
}

export interface UnitEdit {
  number?: string | undefined;
  note?: string | null | undefined;
  /** Who furnishes it, where the fleet does not own it. */
  furnishedBy?: string | null | undefined;
  homeYardId?: string | undefined;
  presentYardId?: string | undefined;
  /** When it came to the yard. */
  atMs: number;
}

/** Another number or note, or another yard from an instant on; the home yard gives the days. */
export async function editUnit(
  work: Work,
  by: Recorder,
  unitId: string,
  { atMs, ...set }: UnitEdit,
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const before = await mustFindUnit(tx, fleetId, unitId, nowMs);
  if (atMs < earliestMs || atMs > nowMs) {
    throw new Problem('time_invalid', 'A unit is moved at a time of the past, from 2000 on.');
  }
  const changes = differences(before, set);
  if (Object.keys(changes).length === 0) return;
  const { number, note, furnishedBy } = set;
  if (changes.number || changes.note || changes.furnishedBy) {
    await updateUnit(tx, fleetId, unitId, { number, note, furnishedBy });
  }
  const { homeYardId, presentYardId } = set;
  if (changes.homeYardId) await moveUnit(work, unitId, 'home', homeYardId as string, atMs);
  if (changes.presentYardId) await moveUnit(work, unitId, 'present', presentYardId as string, atMs);
  const subject = `unit/${unitId}`;
  const moved = changes.homeYardId || changes.presentYardId;
  const at = moved ? { at: { from: null, to: instantText(atMs) } } : {};
  tellEdit(work, by, subject, { ...changes, ...at });
  work.changed('bring-in');
  if (!changes.homeYardId) return;
  await refold(work, [unitId], { what: 'unit_moved', subject, sinceMs: atMs });
}

export interface AssetEdit {
  serial?: string | undefined;
  note?: string | null | undefined;
  make?: string | null | undefined;
  modelYear?: number | null | undefined;
  tireSize?: string | null | undefined;
  patternId?: string | undefined;
  patternVersion?: number | undefined;
}

/** The version of a pattern that an asset is to follow. @throws Problem reference_unknown */
async function patternFor(
  work: Work,
  asset: { kind: string; patternId: string | null },
  set: AssetEdit,
): Promise<{ patternId: string; patternVersion: number } | null> {
  if (set.patternId === undefined && set.patternVersion === undefined) return null;
  const patternId = set.patternId ?? asset.patternId;
  if (patternId === null) throw new Problem('reference_unknown', 'It follows no pattern yet.');
  const { tx, fleetId } = work;
  const pattern = await findPattern(tx, fleetId, patternId, set.patternVersion ?? null);
  if (!pattern) throw new Problem('reference_unknown', 'There is no such pattern version.');
  if (pattern.assetKind !== asset.kind) {
    throw new Problem('reference_unknown', `That pattern is for a ${pattern.assetKind}.`);
  }
  return { patternId, patternVersion: pattern.version };
}

/** The right serial, a note, or another version of its pattern, by which it is assessed anew. */
export async function editAsset(
  work: Work,
  by: Recorder,
  assetId: string,
  set: AssetEdit,
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const before = await mustFindAsset(tx, fleetId, assetId, nowMs);
  const { serial, note, make, modelYear, tireSize } = set;
  const all = { serial, note, make, modelYear, tireSize, ...(await patternFor(work, before, set)) };
  const changes = differences(before, all);
  if (Object.keys(changes).length === 0) return;
  await updateAsset(tx, fleetId, assetId, all);
  if (changes.patternId || changes.patternVersion) {
    const { patternId, patternVersion } = all as Required<typeof all>;
    await keepPatternMove(work, by, before, { patternId: patternId!, version: patternVersion! });
  }
  tellEdit(work, by, `asset/${assetId}`, changes);
  if (before.unitId === null || !(changes.patternId || changes.patternVersion)) return;
  for (const shard of await markUnits(tx, fleetId, [before.unitId], nowMs)) {
    work.wake('assess', shard);
  }
}

/** The right serial, or a note. Its key and its counters stay. */
export async function editGateway(
  work: Work,
  by: Recorder,
  gatewayId: string,
  set: { serial?: string | undefined; note?: string | null | undefined },
): Promise<void> {
  const { tx, fleetId } = work;
  const before = await mustFindGateway(tx, fleetId, gatewayId);
  const changes = differences(before, set);
  if (Object.keys(changes).length === 0) return;
  await updateGateway(tx, fleetId, gatewayId, set);
  tellEdit(work, by, `gateway/${gatewayId}`, changes);
}
