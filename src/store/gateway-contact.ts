import type { Contact } from './reading.ts';
import type { Tx } from './tx.ts';

/** Notes a post: when, the gateway's habit of posting, what its clock said. */
export async function noteContact(tx: Tx, contact: Contact): Promise<void> {
  await tx.query(
    `insert into liftwright.gateway_contact as c
       (fleet_id, gateway_id, last_post_at, habit_ms, device_offset_ms)
     values ($1, $2, to_timestamp($3::float8 / 1000), 0, $4)
     on conflict (fleet_id, gateway_id) do update
       set last_post_at = greatest(c.last_post_at, excluded.last_post_at),
           habit_ms = liftwright.next_habit_ms(c.habit_ms, c.last_post_at, excluded.last_post_at),
           device_offset_ms = coalesce(excluded.device_offset_ms, c.device_offset_ms)`,
    [contact.fleetId, contact.gatewayId, contact.receivedAtMs, contact.deviceOffsetMs],
  );
}

/** The last recorded fact about a gateway's clock, or null. */
export async function lastClockFact(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<number | null> {
  const { rows } = await tx.query(
    `select offset_ms from liftwright.gateway_clock
     where fleet_id = $1 and gateway_id = $2 order by seen_at desc limit 1`,
    [fleetId, gatewayId],
  );
  return rows[0] ? Number(rows[0].offset_ms) : null;
}

/** Records that the clock was proven to be `offsetMs` fast (0: right again) at `seenAtMs`. */
export async function insertClockFact(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  seenAtMs: number,
  offsetMs: number,
): Promise<void> {
  await tx.query(
    `insert into liftwright.gateway_clock (fleet_id, gateway_id, seen_at, offset_ms)
     values ($1, $2, to_timestamp($3::float8 / 1000), $4) on conflict do nothing`,
    [fleetId, gatewayId, seenAtMs, offsetMs],
  );
}
