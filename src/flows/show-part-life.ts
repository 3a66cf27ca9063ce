import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import {
  type LifeUse,
  type Use,
  type WarrantyStanding,
  warrantyAt,
} from '../domain/wear/part-life.ts';
import {
  entriesOfLife,
  findPartLife,
  listPartLives,
  type PartLife,
  type PartLifeEntryRow,
  type Place,
} from '../store/part-life.ts';
import type { Tx } from '../store/tx.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { absent, mustFindAsset } from './must-find.ts';
import { useOfLife } from './part-life.ts';
import { showUse } from './show-measurement.ts';
import { MetersAt } from './use-at.ts';

export interface PartLifeNow extends PartLife {
  /** Until it was removed, or until now. */
  use: LifeUse[];
  warranty: WarrantyStanding;
}

async function withUse(
  tx: Tx,
  fleetId: number,
  found: PartLife,
  meters: MetersAt,
  nowMs: number,
): Promise<PartLifeNow> {
  const { assetId } = found.life;
  const use = await useOfLife({ tx, fleetId }, found, nowMs, meters);
  const { zone } = await zoneOfAsset(tx, fleetId, assetId, nowMs);
  const { warrantyUntilDay: untilDay, warrantyUntilUse } = found.entry;
  const until = { untilDay, untilUse: warrantyUntilUse as Use };
  return { ...found, use, warranty: warrantyAt(until, localDay(nowMs, zone), use) };
}

/** The parts of an asset with their use until now. @throws Problem not_found */
export async function readPartLives(
  tx: Tx,
  fleetId: number,
  place: Place & { fitted?: boolean | undefined; nowMs: number },
  after: [lifeId: string] | null,
  limit: number,
): Promise<PartLifeNow[]> {
  const { nowMs, assetId } = place;
  await mustFindAsset(tx, fleetId, assetId, nowMs);
  const meters = new MetersAt(tx, fleetId, assetId);
  const shown: PartLifeNow[] = [];
  for (const found of await listPartLives(tx, fleetId, place, after, limit)) {
    shown.push(await withUse(tx, fleetId, found, meters, nowMs));
  }
  return shown;
}

/** One part with all that was ever said of it. @throws Problem not_found */
export async function readPartLife(
  tx: Tx,
  fleetId: number,
  of: { assetId: string; lifeId: string; nowMs: number },
): Promise<PartLifeNow & { entries: PartLifeEntryRow[] }> {
  const found = await findPartLife(tx, fleetId, of.lifeId);
  if (found?.life.assetId !== of.assetId) throw absent('part life');
  const meters = new MetersAt(tx, fleetId, of.assetId);
  const now = await withUse(tx, fleetId, found, meters, of.nowMs);
  return { ...now, entries: await entriesOfLife(tx, fleetId, of.lifeId) };
}

const showOrigin = (entry: PartLifeEntryRow) => ({
  fittedAt: instantText(entry.fittedAtMs),
  priorLife: entry.priorLife,
  priorUse: showUse(entry.priorUse),
  continues: entry.continues,
  makerNumber: entry.makerNumber,
  supplier: entry.supplier,
  lot: entry.lot,
  removed:
    entry.removedAtMs === null
      ? null
      : {
          at: instantText(entry.removedAtMs),
          why: entry.removalReason ?? 'worn',
          movedTo: entry.movedTo,
        },
});

/** A part as it was told, without what is reckoned until now. */
export function showLife({ life, entry }: PartLife) {
  return {
    lifeId: life.lifeId,
    assetId: life.assetId,
    part: life.part,
    point: life.pointKey,
    setId: life.setId,
    state:
      entry.kind === 'voided'
        ? ('voided' as const)
        : entry.removedAtMs === null
          ? ('fitted' as const)
          : ('removed' as const),
    ...showOrigin(entry),
    warrantyUntilDay: entry.warrantyUntilDay,
    recordedAt: instantText(life.recordedAtMs),
  };
}

export function showPartLife({ use, warranty, ...told }: PartLifeNow) {
  const { entry } = told;
  const { warrantyUntilDay: untilDay, recordedAt, ...shown } = showLife(told);
  return {
    ...shown,
    use: use.map(({ meter, grains, known }) => {
      const unit = dimensionOf(meter);
      return { meter, unit, value: formatGrains(grains, unit), known };
    }),
    warranty: {
      ...warranty,
      untilDay,
      untilUse: showUse(entry.warrantyUntilUse),
    },
    recordedAt,
  };
}

export const showEntry = (entry: PartLifeEntryRow) => ({
  entryNo: entry.entryNo,
  kind: entry.kind,
  ...showOrigin(entry),
  warrantyUntilDay: entry.warrantyUntilDay,
  warrantyUntilUse: showUse(entry.warrantyUntilUse),
  words: entry.words,
  personId: entry.personId,
  by: entry.name,
  recordedAt: instantTextOrNull(entry.recordedAtMs) ?? '',
});
