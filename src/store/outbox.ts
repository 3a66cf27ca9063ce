import type { Tx } from './tx.ts';

/**
 * Something that happened, not yet numbered. `personal` never enters the chain, only its digest.
 */
export interface NewEvent {
  type: string;
  /** What it is about: `unit/<id>`, `asset/<id>`, `gateway/<id>`, `yard/<id>`, `fleet/<n>` … */
  subject: string;
  data: Record<string, unknown>;
  personal?: Record<string, unknown>;
  occurredAtMs: number;
}

/** Writes events in the transaction of their cause. */
export async function insertEvents(
  tx: Tx,
  fleetId: number,
  recordedAtMs: number,
  events: readonly NewEvent[],
): Promise<void> {
  if (events.length === 0) return;
  await tx.query(
    `insert into liftwright.outbox
       (fleet_id, type, subject, data, personal, occurred_at, recorded_at)
     select $1, e.type, e.subject, e.data, e.personal, to_timestamp(e.at::float8 / 1000),
       to_timestamp($2::float8 / 1000)
     from unnest($3::text[], $4::text[], $5::jsonb[], $6::jsonb[], $7::bigint[])
       with ordinality as e (type, subject, data, personal, at, n)
     order by e.n`,
    [
      fleetId,
      recordedAtMs,
      events.map((event) => event.type),
      events.map((event) => event.subject),
      events.map((event) => JSON.stringify(event.data)),
      events.map((event) => (event.personal ? JSON.stringify(event.personal) : null)),
      events.map((event) => event.occurredAtMs),
    ],
  );
}
