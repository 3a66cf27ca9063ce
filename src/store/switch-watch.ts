import type { Tx } from './tx.ts';

/** A meter of an asset on a unit, counted by a device now, with its use by day. */
export interface MeterOnUnit {
  assetId: string;
  meter: string;
  /** The counter of the gateway asked about that counts it; null: another one does. */
  counter: string | null;
  /** Its last readings are set aside. */
  inDoubt: boolean;
  /** Something of it is not folded yet. */
  waits: boolean;
  /** Days after this one are wholly of this asset, unit and line. */
  afterDay: string;
  /** Use by day, oldest first; days without use are left out. */
  days: [day: string, grains: number][];
}

/** The meters that devices count on a unit now, with their use of the last `daysMost` days. */
export async function metersOnUnit(
  tx: Tx,
  fleetId: number,
  unitId: string,
  gatewayId: string,
  atMs: number,
  daysMost: number,
): Promise<MeterOnUnit[]> {
  const { rows } = await tx.query({
    name: 'meters_on_unit',
    text: `select i.asset_id, m.meter, d.after_day::text,
        (select c.name from liftwright.counter c
          where c.fleet_id = m.fleet_id and c.line_id = m.line_id and c.gateway_id = $3
          order by c.counter_id limit 1) as counter,
        coalesce((select p.in_doubt from liftwright.line_progress p
          where p.fleet_id = m.fleet_id and p.line_id = m.line_id), false) as in_doubt,
        exists (select from liftwright.fold_line l
          join liftwright.line_mark k
            on k.shard = l.shard and k.fleet_id = l.fleet_id and k.line_id = l.line_id
          where l.fleet_id = m.fleet_id and l.line_id = m.line_id) as waits,
        (select coalesce(json_agg(json_build_array(u.day, u.grains) order by u.day), '[]')
          from liftwright.usage_day u
          where u.fleet_id = m.fleet_id and u.asset_id = m.asset_id and u.meter = m.meter
            and u.line_id = m.line_id and u.grains > 0 and u.day > d.after_day) as days
      from liftwright.install i
      join liftwright.meter_source m on m.fleet_id = i.fleet_id and m.asset_id = i.asset_id
        and m.during @> to_timestamp($4::float8 / 1000)
      cross join lateral (select greatest(
          (greatest(lower(i.during), lower(m.during)) at time zone 'UTC')::date,
          (to_timestamp($4::float8 / 1000) at time zone 'UTC')::date - $5::int) as after_day) d
      where i.fleet_id = $1 and i.unit_id = $2 and i.asset_id is not null
        and i.during @> to_timestamp($4::float8 / 1000)
        and not exists (select from liftwright.hand_line h
          where h.fleet_id = m.fleet_id and h.line_id = m.line_id)
      order by m.meter, i.asset_id limit 100`,
    values: [fleetId, unitId, gatewayId, atMs, daysMost],
  });
  return rows.map((row) => ({
    assetId: row.asset_id,
    meter: row.meter,
    counter: row.counter,
    inDoubt: row.in_doubt,
    waits: row.waits,
    afterDay: row.after_day,
    days: row.days,
  }));
}
