import { and, desc, eq, lt } from 'drizzle-orm';
import { assignment } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type AssignmentRow = typeof assignment.$inferSelect;

export async function insertAssignment(tx: Tx, row: AssignmentRow): Promise<void> {
  await builder(tx).insert(assignment).values(row);
}

/** What a unit was sent to do, the last told first. */
export async function listAssignments(
  tx: Tx,
  fleetId: number,
  unitId: string,
  after: [assignmentId: string] | null,
  limit: number,
): Promise<AssignmentRow[]> {
  return builder(tx)
    .select()
    .from(assignment)
    .where(
      and(
        eq(assignment.fleetId, fleetId),
        eq(assignment.unitId, unitId),
        after ? lt(assignment.assignmentId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(assignment.assignmentId))
    .limit(limit);
}

/** Something that may have changed what a unit may do; `number` null: not yet numbered. */
export interface ReadinessChange {
  number: number | null;
  type: string;
  recordedAtMs: number;
}

/** Types of events that readiness may rest on, as the beginning of their names. */
const telling = '^(stop|finding|install|walk_round)\\.|^task\\.(status_|deferred|called)';

/**
 * What was told since an event of a unit and of whatever was on it since, numbered or not, oldest
 * first. An event that waits for its number counts as later: better one too many.
 */
export async function changesSince(
  tx: Tx,
  fleetId: number,
  of: { unitId: string; event: number; limit: number },
): Promise<ReadinessChange[]> {
  const { rows } = await tx.query({
    name: 'readiness_changes',
    text: `with of as (
        select 'unit/' || $2::uuid as subject
        union select 'asset/' || i.asset_id from liftwright.install i
          where i.fleet_id = $1 and i.unit_id = $2::uuid and i.asset_id is not null)
      select number, type, (extract(epoch from recorded_at) * 1000)::float8 as recorded_ms
      from (
        select e.number, null::bigint as waits, e.type, e.recorded_at from liftwright.event e
          where e.fleet_id = $1 and e.number > $3 and e.subject in (select subject from of)
            and e.type ~ $4
        union all
        select null, o.outbox_id, o.type, o.recorded_at from liftwright.outbox o
          where o.fleet_id = $1 and o.subject in (select subject from of) and o.type ~ $4) all_of
      order by number nulls last, waits limit $5`,
    values: [fleetId, of.unitId, of.event, telling, of.limit],
  });
  return rows.map((row) => ({
    number: row.number === null ? null : Number(row.number),
    type: row.type,
    recordedAtMs: row.recorded_ms,
  }));
}
