import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { personCompetence, spanToSql, supervisedPass } from '../../db/schema/index.ts';
import type { Competence } from '../domain/shop/competence.ts';
import type { Period } from '../domain/usage/link-sources.ts';
import { builder, type Tx } from './tx.ts';

export type CompetenceRow = typeof personCompetence.$inferSelect;
export type PassRow = typeof supervisedPass.$inferSelect;

const one = (fleetId: number, competenceId: string) =>
  and(eq(personCompetence.fleetId, fleetId), eq(personCompetence.competenceId, competenceId));

export async function insertCompetence(tx: Tx, row: CompetenceRow): Promise<void> {
  await builder(tx).insert(personCompetence).values(row);
}

export async function findCompetence(
  tx: Tx,
  fleetId: number,
  competenceId: string,
): Promise<CompetenceRow | null> {
  const rows = await builder(tx).select().from(personCompetence).where(one(fleetId, competenceId));
  return rows[0] ?? null;
}

/** Whether a person holds a competence in part of a time already. */
export async function isHeld(
  tx: Tx,
  fleetId: number,
  personId: string,
  competence: Competence,
  during: Period,
): Promise<boolean> {
  const rows = await builder(tx)
    .select({ competenceId: personCompetence.competenceId })
    .from(personCompetence)
    .where(
      and(
        eq(personCompetence.fleetId, fleetId),
        eq(personCompetence.personId, personId),
        eq(personCompetence.competence, competence),
        sql`${personCompetence.during} && ${spanToSql(during)}::tstzrange`,
      ),
    )
    .limit(1);
  return rows.length > 0;
}

export async function endCompetence(
  tx: Tx,
  fleetId: number,
  competenceId: string,
  end: { during: Period; endReason: string; endedBy: string; endedAtMs: number },
): Promise<void> {
  await builder(tx).update(personCompetence).set(end).where(one(fleetId, competenceId));
}

/** What a person may, might and will do, in the order of giving. */
export async function listCompetences(
  tx: Tx,
  fleetId: number,
  personId: string,
  after: [competenceId: string] | null,
  limit: number,
): Promise<CompetenceRow[]> {
  return builder(tx)
    .select()
    .from(personCompetence)
    .where(
      and(
        eq(personCompetence.fleetId, fleetId),
        eq(personCompetence.personId, personId),
        after ? gt(personCompetence.competenceId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(personCompetence.competenceId))
    .limit(limit);
}

/** Counts a job once; false when it was counted before. */
export async function insertPass(tx: Tx, row: PassRow): Promise<boolean> {
  const { rowCount } = await builder(tx).insert(supervisedPass).values(row).onConflictDoNothing();
  return rowCount === 1;
}

/** The supervised jobs of a person, in their order. */
export async function listPasses(
  tx: Tx,
  fleetId: number,
  personId: string,
  after: [passId: string] | null,
  limit: number,
): Promise<PassRow[]> {
  const rows = await builder(tx)
    .select({ pass: supervisedPass })
    .from(supervisedPass)
    .innerJoin(
      personCompetence,
      and(
        eq(personCompetence.fleetId, supervisedPass.fleetId),
        eq(personCompetence.competenceId, supervisedPass.competenceId),
      ),
    )
    .where(
      and(
        eq(supervisedPass.fleetId, fleetId),
        eq(personCompetence.personId, personId),
        after ? gt(supervisedPass.passId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(supervisedPass.passId))
    .limit(limit);
  return rows.map(({ pass }) => pass);
}

/** How many people may do something at an instant; those who have left do not count. */
export async function countHolders(
  tx: Tx,
  fleetId: number,
  competences: readonly Competence[],
  atMs: number,
): Promise<number> {
  const { rows } = await tx.query(
    `select count(distinct c.person_id)::int as n from liftwright.person_competence c
     join liftwright.person p on p.fleet_id = c.fleet_id and p.person_id = c.person_id
     where c.fleet_id = $1 and c.competence = any ($2) and p.left_at is null
       and c.during @> to_timestamp($3::float8 / 1000)`,
    [fleetId, competences, atMs],
  );
  return rows[0].n;
}
