import { and, asc, eq, gt, isNull, or, sql } from 'drizzle-orm';
import { person, personCompetence } from '../../db/schema/index.ts';
import type { Competence } from '../domain/shop/competence.ts';
import { builder, type Tx } from './tx.ts';

// Without the hash of the PIN, which only the check of a signature reads.
const shown = {
  fleetId: person.fleetId,
  personId: person.personId,
  name: person.name,
  leftAtMs: person.leftAtMs,
  createdAtMs: person.createdAtMs,
  pinSetAtMs: person.pinSetAtMs,
};
export type PersonRow = Omit<typeof person.$inferSelect, 'pinHash'>;

const one = (fleetId: number, personId: string) =>
  and(eq(person.fleetId, fleetId), eq(person.personId, personId));

export async function insertPerson(
  tx: Tx,
  row: { fleetId: number; personId: string; name: string; createdAtMs: number },
): Promise<void> {
  await builder(tx).insert(person).values(row);
}

export async function findPerson(
  tx: Tx,
  fleetId: number,
  personId: string,
): Promise<PersonRow | null> {
  const rows = await builder(tx).select(shown).from(person).where(one(fleetId, personId));
  return rows[0] ?? null;
}

/** People by name; `here`: only those who have not left. */
export async function listPeople(
  tx: Tx,
  fleetId: number,
  here: boolean,
  after: [name: string, personId: string] | null,
  limit: number,
): Promise<PersonRow[]> {
  const later = after
    ? or(gt(person.name, after[0]), and(eq(person.name, after[0]), gt(person.personId, after[1])))
    : undefined;
  return builder(tx)
    .select(shown)
    .from(person)
    .where(and(eq(person.fleetId, fleetId), here ? isNull(person.leftAtMs) : undefined, later))
    .orderBy(asc(person.name), asc(person.personId))
    .limit(limit);
}

export async function peopleById(
  tx: Tx,
  fleetId: number,
  ids: readonly string[],
): Promise<Map<string, PersonRow>> {
  const rows = await builder(tx)
    .select(shown)
    .from(person)
    .where(
      and(
        eq(person.fleetId, fleetId),
        sql`${person.personId} = any (${sql.param([...ids])}::uuid[])`,
      ),
    );
  return new Map(rows.map((row) => [row.personId, row]));
}

/** Keeps others from changing a person until the transaction ends. */
export async function lockPerson(tx: Tx, fleetId: number, personId: string): Promise<void> {
  await tx.query(
    `select from liftwright.person where fleet_id = $1 and person_id = $2 for no key update`,
    [fleetId, personId],
  );
}

export async function updatePerson(
  tx: Tx,
  fleetId: number,
  personId: string,
  set: { name?: string | undefined; leftAtMs?: number | null | undefined },
): Promise<void> {
  await builder(tx).update(person).set(set).where(one(fleetId, personId));
}

/** Another PIN, or none. */
export async function setPinHash(
  tx: Tx,
  fleetId: number,
  personId: string,
  pin: { hash: string; atMs: number } | null,
): Promise<void> {
  await builder(tx)
    .update(person)
    .set({ pinHash: pin?.hash ?? null, pinSetAtMs: pin?.atMs ?? null })
    .where(one(fleetId, personId));
}

/** What is needed to check a PIN. */
export async function findPinHash(
  tx: Tx,
  fleetId: number,
  personId: string,
): Promise<{ pinHash: string | null; leftAtMs: number | null } | null> {
  const rows = await builder(tx)
    .select({ pinHash: person.pinHash, leftAtMs: person.leftAtMs })
    .from(person)
    .where(one(fleetId, personId));
  return rows[0] ?? null;
}

/** What a person may do at an instant, and the passes that are missing. */
export interface Held {
  competence: Competence;
  competenceId: string;
  /** Supervised passes that are still needed. */
  passesLeft: number;
}

/** What people may do at an instant. Who may do nothing is not in it. */
export async function competencesAt(
  tx: Tx,
  fleetId: number,
  personIds: readonly string[],
  atMs: number,
): Promise<Map<string, Held[]>> {
  const rows = await builder(tx)
    .select({
      personId: personCompetence.personId,
      competence: personCompetence.competence,
      competenceId: personCompetence.competenceId,
      passesLeft: sql<number>`greatest(0, person_competence.passes_needed - (select count(*)
        from liftwright.supervised_pass p where p.fleet_id = person_competence.fleet_id
          and p.competence_id = person_competence.competence_id
          and p.at <= to_timestamp(${atMs}::float8 / 1000)))::int`,
    })
    .from(personCompetence)
    .where(
      and(
        eq(personCompetence.fleetId, fleetId),
        sql`${personCompetence.personId} = any (${sql.param([...personIds])}::uuid[])`,
        sql`${personCompetence.during} @> to_timestamp(${atMs}::float8 / 1000)`,
      ),
    )
    .orderBy(asc(personCompetence.competence));
  const byPerson = new Map<string, Held[]>();
  for (const { personId, ...held } of rows) {
    byPerson.set(personId, [...(byPerson.get(personId) ?? []), held]);
  }
  return byPerson;
}
