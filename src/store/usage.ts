import type { Share } from '../domain/usage/segment.ts';
import type { Tx } from './tx.ts';

/** What a line gives to each asset and day from..to, as the projection has it. */
export async function lineDays(
  tx: Tx,
  fleetId: number,
  lineId: number,
  fromDay: string,
  toDay: string,
): Promise<Share[]> {
  const { rows } = await tx.query(
    `select asset_id, day::text, grains from liftwright.usage_day
     where fleet_id = $1 and line_id = $2 and day between $3 and $4`,
    [fleetId, lineId, fromDay, toDay],
  );
  return rows.map((row) => ({
    assetId: row.asset_id,
    day: row.day,
    grains: Number(row.grains),
  }));
}

/** Writes a line's use of assets on days; zero takes the row away. */
export async function saveLineDays(
  tx: Tx,
  fleetId: number,
  lineId: number,
  meter: string,
  days: readonly Share[],
): Promise<void> {
  const kept = days.filter((share) => share.grains > 0);
  const gone = days.filter((share) => share.grains === 0);
  if (kept.length > 0) {
    await tx.query(
      `insert into liftwright.usage_day (fleet_id, asset_id, meter, day, line_id, grains)
       select $1, u.asset_id, $3, u.day, $2, u.grains
       from unnest($4::uuid[], $5::date[], $6::bigint[]) as u (asset_id, day, grains)
       on conflict (fleet_id, asset_id, meter, day, line_id) do update set grains = excluded.grains`,
      [
        fleetId,
        lineId,
        meter,
        kept.map((share) => share.assetId),
        kept.map((share) => share.day),
        kept.map((share) => share.grains),
      ],
    );
  }
  if (gone.length > 0) {
    await tx.query(
      `delete from liftwright.usage_day d
       using unnest($4::uuid[], $5::date[]) as u (asset_id, day)
       where d.fleet_id = $1 and d.line_id = $2 and d.meter = $3
         and d.asset_id = u.asset_id and d.day = u.day`,
      [fleetId, lineId, meter, gone.map((s) => s.assetId), gone.map((s) => s.day)],
    );
  }
}

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
    `select meter, day::text, sum(grains)::bigint as grains from liftwright.usage_day
     where fleet_id = $1 and asset_id = $2 and day between $3 and $4
       and ($5::text is null or meter = $5)
     group by meter, day order by day, meter limit $6`,
    [fleetId, assetId, range.fromDay, range.toDay, range.meter ?? null, limit],
  );
  return rows.map((row) => ({
    meter: row.meter,
    day: row.day,
    grains: Number(row.grains),
  }));
}

/** Total use of assets by meter since the beginning. */
export async function usageTotals(
  tx: Tx,
  fleetId: number,
  assetIds: readonly string[],
): Promise<
  {
    assetId: string;
    meter: string;
    grains: number;
    firstDay: string;
    lastDay: string;
  }[]
> {
  const { rows } = await tx.query(
    `select asset_id, meter, sum(grains)::bigint as grains, min(day)::text as first_day,
       max(day)::text as last_day
     from liftwright.usage_day where fleet_id = $1 and asset_id = any ($2::uuid[])
     group by asset_id, meter order by asset_id, meter`,
    [fleetId, [...assetIds]],
  );
  return rows.map((row) => ({
    assetId: row.asset_id,
    meter: row.meter,
    grains: Number(row.grains),
    firstDay: row.first_day,
    lastDay: row.last_day,
  }));
}
