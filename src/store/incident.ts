import { and, desc, eq, isNotNull, isNull, lt } from 'drizzle-orm';
import { incident } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type IncidentRow = typeof incident.$inferSelect;

export async function insertIncident(tx: Tx, row: IncidentRow): Promise<void> {
  await builder(tx).insert(incident).values(row);
}

export async function findIncident(
  tx: Tx,
  fleetId: number,
  incidentId: string,
): Promise<IncidentRow | null> {
  const rows = await builder(tx)
    .select()
    .from(incident)
    .where(and(eq(incident.fleetId, fleetId), eq(incident.incidentId, incidentId)));
  return rows[0] ?? null;
}

/** The incidents of a unit, the last told first. */
export async function listIncidents(
  tx: Tx,
  fleetId: number,
  { unitId, open }: { unitId: string; open: boolean | undefined },
  after: [incidentId: string] | null,
  limit: number,
): Promise<IncidentRow[]> {
  const closed = incident.closedAtMs;
  return builder(tx)
    .select()
    .from(incident)
    .where(
      and(
        eq(incident.fleetId, fleetId),
        eq(incident.unitId, unitId),
        open === undefined ? undefined : open ? isNull(closed) : isNotNull(closed),
        after ? lt(incident.incidentId, after[0]) : undefined,
      ),
    )
    .orderBy(desc(incident.incidentId))
    .limit(limit);
}
