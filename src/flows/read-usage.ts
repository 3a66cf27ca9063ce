import { instantText } from '../domain/instant.ts';
import { dayOf, ordinalOf } from '../domain/upkeep/calendar.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { type Dimension, dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import type { AssetOnUnit } from '../store/asset.ts';
import { assetsOnUnit } from '../store/install.ts';
import { startsOfAssets } from '../store/meter-start.ts';
import type { Tx } from '../store/tx.ts';
import { usageDays, usageTotals } from '../store/usage.ts';
import { homeYardAt } from './asset-zone.ts';
import { mustFindAsset, mustFindUnit } from './must-find.ts';

export interface UsageRange {
  from?: string | undefined;
  to?: string | undefined;
  meter?: string | undefined;
}

export interface ShownUsage {
  assetId: string;
  kind: AssetOnUnit['kind'];
  serial: string;
  from: string;
  to: string;
  /** What meters stood at when the asset was brought in. */
  startingValues: { meter: string; unit: Dimension; value: number; at: string }[];
  meters: {
    meter: string;
    unit: Dimension;
    total: number;
    totalGrains: number;
    adjusted: number;
    days: { day: string; use: number; grains: number; adjusted?: number }[];
  }[];
}

const daysDefault = 30;
const daysMost = 400;
const rowsMost = daysMost * 40;

/** The days asked for, bounded. @throws Problem query_invalid */
export function boundUsageRange(
  range: UsageRange,
  today: string,
): { fromDay: string; toDay: string } {
  const toDay = range.to ?? today;
  const fromDay = range.from ?? dayOf(ordinalOf(toDay) - daysDefault);
  const length = ordinalOf(toDay) - ordinalOf(fromDay);
  if (length < 0 || length >= daysMost) {
    throw new Problem('query_invalid', `from must not be after to, at most ${daysMost} days.`);
  }
  return { fromDay, toDay };
}

/** Use by meter from rows of totals (`day` null) and of days, in units and exact. */
export function shownUse(
  rows: readonly { meter: string; day: string | null; grains: number; adjusted: number }[],
  meter: string | undefined,
): ShownUsage['meters'] {
  return rows
    .filter((row) => row.day === null && (meter === undefined || row.meter === meter))
    .map((total) => {
      const unit = dimensionOf(total.meter);
      const shown = (grains: number) => formatGrains(grains, unit);
      const days = rows.flatMap(({ meter: of, day, grains, adjusted }) => {
        if (of !== total.meter || day === null) return [];
        const moved = adjusted === 0 ? {} : { adjusted: shown(adjusted) };
        return [{ day, use: shown(grains), grains, ...moved }];
      });
      const { grains } = total;
      return {
        meter: total.meter,
        unit,
        total: shown(grains),
        totalGrains: grains,
        adjusted: shown(total.adjusted),
        days,
      };
    });
}

async function usageOf(
  tx: Tx,
  fleetId: number,
  asset: Pick<AssetOnUnit, 'assetId' | 'kind' | 'serial'>,
  days: { fromDay: string; toDay: string },
  meter: string | undefined,
): Promise<ShownUsage> {
  const { assetId, kind, serial } = asset;
  const rows = await usageDays(tx, fleetId, assetId, { ...days, meter }, rowsMost);
  const totals = await usageTotals(tx, fleetId, [assetId]);
  const meters = shownUse([...totals.map((each) => ({ ...each, day: null })), ...rows], meter);
  const starts = await startsOfAssets(tx, fleetId, [assetId]);
  const startingValues = starts
    .filter((start) => meter === undefined || start.meter === meter)
    .map((start) => {
      const unit = dimensionOf(start.meter);
      const value = formatGrains(start.grains, unit);
      return { meter: start.meter, unit, value, at: instantText(start.atMs) };
    });
  const { fromDay: from, toDay: to } = days;
  return { assetId, kind, serial, from, to, startingValues, meters };
}

/** Use of an asset by meter and local day. @throws Problem not_found, query_invalid */
export async function readAssetUsage(
  tx: Tx,
  fleetId: number,
  assetId: string,
  range: UsageRange,
  nowMs: number,
): Promise<ShownUsage> {
  const asset = await mustFindAsset(tx, fleetId, assetId, nowMs);
  const yard = asset.unitId ? await homeYardAt(tx, fleetId, asset.unitId, nowMs) : null;
  const today = localDay(nowMs, yard?.timeZone ?? 'UTC');
  return usageOf(tx, fleetId, asset, boundUsageRange(range, today), range.meter);
}

/** Use of every asset that is on a unit now. @throws Problem not_found, query_invalid */
export async function readUnitUsage(
  tx: Tx,
  fleetId: number,
  unitId: string,
  range: UsageRange,
  nowMs: number,
): Promise<ShownUsage[]> {
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const yard = await homeYardAt(tx, fleetId, unitId, nowMs);
  const days = boundUsageRange(range, localDay(nowMs, yard?.timeZone ?? 'UTC'));
  const shown: ShownUsage[] = [];
  for (const asset of await assetsOnUnit(tx, fleetId, unitId, nowMs)) {
    shown.push(await usageOf(tx, fleetId, asset, days, range.meter));
  }
  return shown;
}
