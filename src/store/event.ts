import { and, asc, eq, gt, inArray } from 'drizzle-orm';
import type pg from 'pg';
import { event, eventChain, eventPersonal, outbox } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type OutboxRow = typeof outbox.$inferSelect;
export type EventRow = typeof event.$inferSelect;

const fleetsMax = 10_000;

/** Fleets of which something waits to be numbered, a bounded number of them. */
export async function fleetsWithOutbox(scheduler: pg.Pool): Promise<number[]> {
  const { rows } = await scheduler.query(
    'select distinct fleet_id from liftwright.outbox limit $1',
    [fleetsMax],
  );
  return rows.map((row) => row.fleet_id);
}

/** Locks a fleet's chain; one sequencer at a time. */
export async function lockChain(
  tx: Tx,
  fleetId: number,
): Promise<{ lastNumber: number; lastHash: Buffer } | null> {
  const rows = await builder(tx)
    .select()
    .from(eventChain)
    .where(eq(eventChain.fleetId, fleetId))
    .for('update');
  return rows[0] ?? null;
}

export async function waitingEvents(tx: Tx, fleetId: number, limit: number): Promise<OutboxRow[]> {
  return builder(tx)
    .select()
    .from(outbox)
    .where(eq(outbox.fleetId, fleetId))
    .orderBy(asc(outbox.outboxId))
    .limit(limit);
}

export async function insertNumbered(
  tx: Tx,
  events: readonly EventRow[],
  personal: readonly (typeof eventPersonal.$inferInsert)[],
): Promise<void> {
  await builder(tx)
    .insert(event)
    .values([...events]);
  if (personal.length > 0)
    await builder(tx)
      .insert(eventPersonal)
      .values([...personal]);
}

/**
 * Gives the works of these events their numbers: each is known from its first event on. On the last
 * batch works without any event get the first number of it, so that nothing stays unknown for ever.
 */
export async function numberWorks(
  tx: Tx,
  fleetId: number,
  numbered: readonly { workNo: number; number: number }[],
  withoutEventsAs: number | null,
): Promise<void> {
  await tx.query({
    name: 'number_works',
    text: `with first as (
        select work_no, min(number) as number
        from unnest($2::bigint[], $3::bigint[]) as e (work_no, number) group by work_no)
      update liftwright.record_work w set number = coalesce(f.number, $4::bigint)
      from liftwright.record_work o
      left join first f on f.work_no = o.work_no
      where w.fleet_id = $1 and o.fleet_id = $1 and w.work_no = o.work_no and o.number is null
        and (f.number is not null or $4::bigint is not null and not exists (select
          from liftwright.outbox b where b.fleet_id = $1 and b.work_no = o.work_no))`,
    values: [
      fleetId,
      numbered.map((each) => each.workNo),
      numbered.map((each) => each.number),
      withoutEventsAs,
    ],
  });
}

export async function moveChain(
  tx: Tx,
  fleetId: number,
  to: { lastNumber: number; lastHash: Buffer },
  numbered: readonly number[],
): Promise<void> {
  await builder(tx).update(eventChain).set(to).where(eq(eventChain.fleetId, fleetId));
  await builder(tx)
    .delete(outbox)
    .where(and(eq(outbox.fleetId, fleetId), inArray(outbox.outboxId, [...numbered])));
}

export interface ShownEvent extends EventRow {
  personal: unknown;
}

/** Events after a number, in order, with what is known of their personal parts. */
export async function eventsAfter(
  tx: Tx,
  fleetId: number,
  after: number,
  limit: number,
  filter: { subject?: string | undefined; type?: string | undefined },
): Promise<ShownEvent[]> {
  const rows = await builder(tx)
    .select({ event, personal: eventPersonal.personal })
    .from(event)
    .leftJoin(
      eventPersonal,
      and(eq(eventPersonal.fleetId, event.fleetId), eq(eventPersonal.number, event.number)),
    )
    .where(
      and(
        eq(event.fleetId, fleetId),
        gt(event.number, after),
        filter.subject ? eq(event.subject, filter.subject) : undefined,
        filter.type ? eq(event.type, filter.type) : undefined,
      ),
    )
    .orderBy(asc(event.number))
    .limit(limit);
  return rows.map((row) => ({ ...row.event, personal: row.personal }));
}

export async function lastEventNumber(tx: Tx, fleetId: number): Promise<number> {
  const rows = await builder(tx)
    .select({ lastNumber: eventChain.lastNumber })
    .from(eventChain)
    .where(eq(eventChain.fleetId, fleetId));
  return rows[0]?.lastNumber ?? 0;
}

/** What was last said of a subject, or of one task of it. `number` null: not yet numbered. */
export interface Announced {
  subject: string;
  assetId: string | null;
  task: string | null;
  number: number | null;
  recordedAtMs: number;
}

const announcedMax = 5_000;

/** The last events of a type about subjects, one for each asset and task that they name. */
export async function lastAnnounced(
  tx: Tx,
  fleetId: number,
  subjects: readonly string[],
  type: string,
): Promise<Announced[]> {
  const { rows } = await tx.query(
    `select distinct on (1, 2, 3) subject, data ->> 'assetId' as asset_id,
       data ->> 'task' as task, number,
       (extract(epoch from recorded_at) * 1000)::float8 as recorded_ms
     from (
       (select e.subject, e.data, e.number, 0 as waits, e.recorded_at from liftwright.event e
         where e.fleet_id = $1 and e.subject = any ($2) and e.type = $3
         order by e.number desc limit $4)
       union all
       (select o.subject, o.data, null, o.outbox_id, o.recorded_at from liftwright.outbox o
         where o.fleet_id = $1 and o.subject = any ($2) and o.type = $3
         order by o.outbox_id desc limit $4)) said
     order by 1, 2, 3, waits desc, number desc`,
    [fleetId, [...subjects], type, announcedMax],
  );
  return rows.map((row) => ({
    subject: row.subject,
    assetId: row.asset_id,
    task: row.task,
    number: row.number === null ? null : Number(row.number),
    recordedAtMs: row.recorded_ms,
  }));
}
