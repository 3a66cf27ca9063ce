import type { Tx } from './tx.ts';

/**
 * The units where a controller counts: that of the gateway which brought its last reading, as it
 * sat at that moment; before there is one, those where a gateway with its counters sits between
 * the two instants. Null when nothing of that name counts in the fleet.
 */
async function unitsOfController(
  tx: Tx,
  fleetId: number,
  controller: string,
  span: { fromMs: number; toMs: number },
): Promise<string[] | null> {
  const { rows } = await tx.query(
    `with lines as (
       select line_id from liftwright.fold_line where fleet_id = $1 and controller = $2),
     latest as (
       select p.line_id, p.last_at from liftwright.line_progress p
       where p.fleet_id = $1 and p.last_at is not null
         and p.line_id in (select line_id from lines)
       order by p.last_at desc limit 1),
     brought as (
       select i.unit_id from latest l
       cross join lateral (
         select f.end_ordinal from liftwright.fold_segment f
         where f.fleet_id = $1 and f.line_id = l.line_id
         order by f.start_ordinal desc, f.start_seq desc limit 1) head
       join liftwright.stream s
         on s.fleet_id = $1 and s.line_id = l.line_id and s.ordinal = head.end_ordinal
       join liftwright.counter c on c.fleet_id = $1 and c.counter_id = s.counter_id
       join liftwright.install i
         on i.fleet_id = $1 and i.gateway_id = c.gateway_id and i.during @> l.last_at),
     declared as (
       select i.unit_id from liftwright.counter c
       join liftwright.install i on i.fleet_id = $1 and i.gateway_id = c.gateway_id
         and i.during && tstzrange(to_timestamp($3::float8 / 1000), to_timestamp($4::float8 / 1000))
       where c.fleet_id = $1 and c.line_id in (select line_id from lines))
     select exists (select from lines) as known, array(
       select unit_id from brought
       union select unit_id from declared where not exists (select from brought)) as units`,
    [fleetId, controller, span.fromMs, span.toMs],
  );
  return rows[0].known ? rows[0].units : null;
}

/**
 * Whether a gateway sits, between the two instants, on a unit where the controller counts; also
 * when no such controller is known yet.
 */
export async function sitsWithController(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  controller: string,
  span: { fromMs: number; toMs: number },
): Promise<boolean> {
  const units = await unitsOfController(tx, fleetId, controller, span);
  if (units === null) return true;
  const { rows } = await tx.query(
    `select exists (
       select from liftwright.install i
       where i.fleet_id = $1 and i.gateway_id = $2 and i.unit_id = any ($3::uuid[])
         and i.during && tstzrange(to_timestamp($4::float8 / 1000), to_timestamp($5::float8 / 1000))
     ) as sits`,
    [fleetId, gatewayId, units, span.fromMs, span.toMs],
  );
  return rows[0].sits;
}
