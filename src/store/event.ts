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
