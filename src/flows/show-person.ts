import { instantText, instantTextOrNull } from '../domain/instant.ts';
import type { CompetenceRow, PassRow } from '../store/competence.ts';
import { competencesAt, type PersonRow } from '../store/person.ts';
import type { SignInRow } from '../store/sign-in.ts';
import type { Tx } from '../store/tx.ts';
import { mustFindPerson } from './keep-people.ts';

/** A person without anything secret. */
export const showPerson = (row: PersonRow) => ({
  personId: row.personId,
  name: row.name,
  pinSetAt: instantTextOrNull(row.pinSetAtMs),
  leftAt: instantTextOrNull(row.leftAtMs),
  createdAt: instantText(row.createdAtMs),
});

/** A person and what that person may do at an instant. @throws Problem not_found */
export async function showPersonNow(tx: Tx, fleetId: number, personId: string, nowMs: number) {
  const row = await mustFindPerson(tx, fleetId, personId);
  const mayNow = (await competencesAt(tx, fleetId, [personId], nowMs)).get(personId) ?? [];
  return { ...showPerson(row), mayNow };
}

export const showCompetence = (row: CompetenceRow) => ({
  competenceId: row.competenceId,
  personId: row.personId,
  competence: row.competence,
  from: instantText(row.during.fromMs),
  to: instantTextOrNull(row.during.toMs),
  evidence: row.evidence,
  passesNeeded: row.passesNeeded,
  givenByPersonId: row.givenByPerson,
  givenAt: instantText(row.givenAtMs),
  ended:
    row.endedAtMs === null
      ? null
      : { reason: row.endReason as string, at: instantText(row.endedAtMs) },
});

export const showPass = (row: PassRow) => ({
  passId: row.passId,
  competenceId: row.competenceId,
  supervisedByPersonId: row.supervisedBy,
  cause: `${row.causeKind}/${row.causeId}`,
  at: instantText(row.atMs),
});

export const showSignIn = (row: Omit<SignInRow, 'tokenSha256'>) => ({
  signInId: row.signInId,
  personId: row.personId,
  keyId: row.keyId,
  beganAt: instantText(row.beganAtMs),
  endsAt: instantText(row.endsAtMs),
});
