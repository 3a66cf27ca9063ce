import type { Share } from '../domain/usage/segment.ts';
import type { Tx } from './tx.ts';

export interface UsageChange extends Share {
  /** Grains more than before; negative when fewer. */
  change: number;
}

/** Notes changes to days that were closed, one entry a day. */
export async function insertClosedDayEntries(
  tx: Tx,
  fleetId: number,
  meter: string,
  changes: readonly UsageChange[],
  reason: string,
  atMs: number,
): Promise<void> {
  if (changes.length === 0) return;
  await tx.query(
    `insert into liftwright.usage_entry
       (fleet_id, asset_id, meter, day, kind, grains, reason, recorded_at)
     select $1, u.asset_id, $2, u.day, 'closed_day_changed', u.grains, $3,
       to_timestamp($4::float8 / 1000)
     from unnest($5::uuid[], $6::date[], $7::bigint[]) as u (asset_id, day, grains)`,
    [
      fleetId,
      meter,
      reason,
      atMs,
      changes.map((each) => each.assetId),
      changes.map((each) => each.day),
      changes.map((each) => each.change),
    ],
  );
}

export interface UsageDayRow {
  meter: string;
  day: string;
  grains: number;
  /** What of it people adjusted. */
  adjusted: number;
}

/** Use as it was counted, and as people adjusted it: asset_id, meter, day, grains, adjusted. */
export const ledgerSql = `(
  select fleet_id, asset_id, meter, day, grains, 0 as adjusted from liftwright.usage_day
  union all
  select fleet_id, asset_id, meter, day, grains, grains from liftwright.usage_entry
  where kind = 'adjustment')`;

/** What one line counted for an asset on a day. */
export async function lineUseOfDay(
  tx: Tx,
  fleetId: number,
  of: { assetId: string; meter: string; lineId: number; day: string },
): Promise<number> {
  const { rows } = await tx.query(
    `select grains::float8 from liftwright.usage_day
     where fleet_id = $1 and asset_id = $2 and meter = $3 and day = $4 and line_id = $5`,
    [fleetId, of.assetId, of.meter, of.day, of.lineId],
  );
  return rows[0]?.grains ?? 0;
}

/** Use of an asset by meter and day, all its lines together, oldest first. */
export async function usageDays(
  tx: Tx,
  fleetId: number,
  assetId: string,
  range: { fromDay: string; toDay: string; meter?: string | undefined },
  limit: number,
): Promise<UsageDayRow[]> {
  const { rows } = await tx.query(
    `select meter, day::text, sum(grains)::bigint as grains, sum(adjusted)::bigint as adjusted
     from ${ledgerSql} l
     where fleet_id = $1 and asset_id = $2 and day between $3 and $4
       and ($5::text is null or meter = $5)
     group by meter, day having sum(grains) <> 0 or sum(adjusted) <> 0
     order by day, meter limit $6`,
    [fleetId, assetId, range.fromDay, range.toDay, range.meter ?? null, limit],
  );
  return rows.map((row) => ({
    meter: row.meter,
    day: row.day,
    grains: Number(row.grains),
    adjusted: Number(row.adjusted),
  }));
}

export interface UsageTotal {
  assetId: string;
  meter: string;
  grains: number;
  /** What of it people adjusted. */
  adjusted: number;
}

/** Total use of assets by meter since the beginning. */
export async function usageTotals(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<UsageTotal[]> {
  const { rows } = await tx.query(
    `select asset_id, meter, sum(grains)::bigint as grains, sum(adjusted)::bigint as adjusted
     from ${ledgerSql} l where fleet_id = $1 and asset_id = any ($2::uuid[])
     group by asset_id, meter order by asset_id, meter`,
    [fleetId, [...assetIds]],
  );
  return rows.map((row) => ({
    assetId: row.asset_id,
    meter: row.meter,
    grains: Number(row.grains),
    adjusted: Number(row.adjusted),
  }));
}

/** Total use of an asset by meter on the days before one. */
export async function usageBefore(
  tx: Tx,
  fleetId: number,
  assetId: string,
  day: string,
): Promise<Map<string, number>> {
  const { rows } = await tx.query({
    name: 'usage_before',
    text: `select meter, sum(grains)::float8 as grains from ${ledgerSql} l
      where fleet_id = $1 and asset_id = $2 and day < $3 group by meter`,
    values: [fleetId, assetId, day],
  });
  return new Map(rows.map((row) => [row.meter, row.grains]));
}
