import { v7 as uuid } from 'uuid';
import type { Competence } from '../domain/shop/competence.ts';
import { Problem } from '../errors.ts';
import {
  type CompetenceRow,
  endCompetence,
  findCompetence,
  insertCompetence,
  insertPass,
  isHeld,
} from '../store/competence.ts';
import { competencesAt, lockPerson } from '../store/person.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindPerson } from './keep-people.ts';
import { absent } from './must-find.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

/** A lead's word; an admin key may do without, because somebody must be the first lead. */
function mustBeSaid(by: Recorder, signer: Signer | null): void {
  if (signer !== null || by.role === 'admin') return;
  throw new Problem('signature_missing', 'A lead must sign this.');
}

/**
 * Says what a person may do, from-to, and on what evidence.
 *
 * @throws Problem not_found, person_left, competence_held, time_invalid, signature_missing
 */
export async function giveCompetence(
  work: Work,
  by: Recorder,
  signer: Signer | null,
  input: {
    personId: string;
    competence: Competence;
    fromMs: number;
    toMs: number | null;
    evidence: string;
    passesNeeded: number;
  },
): Promise<CompetenceRow> {
  const { tx, fleetId, nowMs } = work;
  mustBeSaid(by, signer);
  const { personId, competence, fromMs, toMs, evidence, passesNeeded } = input;
  if (fromMs < earliestMs || fromMs > nowMs + 366 * 86_400_000) {
    throw new Problem('time_invalid', '`from` must lie between 2000 and a year ahead.');
  }
  if (toMs !== null && toMs <= fromMs) {
    throw new Problem('time_invalid', '`to` must come after `from`.');
  }
  await lockPerson(tx, fleetId, personId);
  const person = await mustFindPerson(tx, fleetId, personId);
  if (person.leftAtMs !== null) throw new Problem('person_left', 'Who has left does nothing here.');
  const during = { fromMs, toMs };
  if (await isHeld(tx, fleetId, personId, competence, during)) {
    throw new Problem('competence_held', 'It was given for part of that time already.');
  }
  const row: CompetenceRow = {
    fleetId,
    competenceId: uuid(),
    personId,
    competence,
    during,
    evidence,
    passesNeeded,
    givenByPerson: signer?.personId ?? null,
    givenBy: `key/${by.keyId}`,
    givenAtMs: nowMs,
    endReason: null,
    endedBy: null,
    endedAtMs: null,
  };
  await insertCompetence(tx, row);
  work.record({
    type: 'competence.given',
    subject: `person/${personId}`,
    data: {
      competenceId: row.competenceId,
      competence,
      from: fromMs,
      to: toMs,
      passesNeeded,
      givenByPerson: row.givenByPerson,
    },
    personal: { evidence, by: signer?.name ?? by.name },
    occurredAtMs: nowMs,
  });
  return row;
}

/**
 * Ends a competence now, before its time; what was signed under it stays signed.
 *
 * @throws Problem not_found, already_ended, signature_missing
 */
export async function takeCompetence(
  work: Work,
  by: Recorder,
  signer: Signer | null,
  input: { personId: string; competenceId: string; reason: string },
): Promise<CompetenceRow> {
  const { tx, fleetId, nowMs } = work;
  mustBeSaid(by, signer);
  const { personId, competenceId, reason } = input;
  await lockPerson(tx, fleetId, personId);
  const row = await findCompetence(tx, fleetId, competenceId);
  if (!row || row.personId !== personId) throw absent('competence');
  const { fromMs, toMs } = row.during;
  if (row.endedAtMs !== null || (toMs !== null && toMs <= nowMs)) {
    throw new Problem('competence_ended', 'It has ended before.');
  }
  const end = {
    // A period cannot be empty: one that was still to begin holds for its first millisecond.
    during: { fromMs, toMs: Math.max(nowMs, fromMs + 1) },
    endReason: reason,
    endedBy: signer === null ? `key/${by.keyId}` : `person/${signer.personId}`,
    endedAtMs: nowMs,
  };
  await endCompetence(tx, fleetId, competenceId, end);
  work.record({
    type: 'competence.ended',
    subject: `person/${personId}`,
    data: { competenceId, competence: row.competence, endedByPerson: signer?.personId ?? null },
    personal: { reason, by: signer?.name ?? by.name },
    occurredAtMs: nowMs,
  });
  return { ...row, ...end };
}

/**
 * Counts a job that a trainee went through under somebody's eyes, told by the countersign. However
 * many steps of one job are countersigned, it counts once. Answers how many are left.
 */
export async function countPass(
  work: Work,
  input: { personId: string; supervisorId: string; cause: { kind: string; id: string } },
): Promise<number> {
  const { tx, fleetId, nowMs } = work;
  const { personId, supervisorId, cause } = input;
  const held = (await competencesAt(tx, fleetId, [personId], nowMs)).get(personId) ?? [];
  const lift = held.find((each) => each.competence === 'lift_work' && each.passesLeft > 0);
  if (!lift) return 0;
  const row = {
    fleetId,
    passId: uuid(),
    competenceId: lift.competenceId,
    supervisedBy: supervisorId,
    causeKind: cause.kind,
    causeId: cause.id,
    atMs: nowMs,
  };
  if (!(await insertPass(tx, row))) return lift.passesLeft;
  work.record({
    type: 'person.pass_counted',
    subject: `person/${personId}`,
    data: {
      passId: row.passId,
      supervisedBy: supervisorId,
      cause: `${cause.kind}/${cause.id}`,
      left: lift.passesLeft - 1,
    },
    occurredAtMs: nowMs,
  });
  return lift.passesLeft - 1;
}
