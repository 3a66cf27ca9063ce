import { v7 as uuid } from 'uuid';
import type { FunctionReadiness, ReadinessAnswer } from '../domain/shop/readiness.ts';
import { UNIT_FUNCTIONS, type UnitFunction } from '../domain/upkeep/service-point.ts';
import { Problem } from '../errors.ts';
import {
  type AssignmentRow,
  changesSince,
  insertAssignment,
  type ReadinessChange,
} from '../store/assignment.ts';
import type { Actor, SignedActor } from './actor.ts';
import { earliestMs } from './keep-fleet.ts';
import { readUnitReadiness, type UnitReadiness } from './read-readiness.ts';
import type { Work } from './work.ts';

export interface NewAssignment {
  unitId: string;
  functions: readonly UnitFunction[];
  /** The number of the event that the readiness rested on which dispatch read. */
  reliedOn: number;
  atMs: number | null;
  /** Dispatch's own number of the call. */
  reference: string | null;
  note: string | null;
  /** Why dispatch sends it though dispatch itself holds it back. */
  override: string | null;
}

export interface LoggedAssignment {
  row: AssignmentRow;
  /** What was told of the unit since the event that it relied on. */
  since: ReadinessChange[];
  readiness: UnitReadiness;
}

const changesShown = 20;

/** A new call is not for a unit that may only finish the one it has. */
const refuses = ({ answer, limits }: FunctionReadiness): boolean =>
  answer === 'no' || answer === 'not_fitted' || limits.presentLoadOnly === true;

/** What stands in the way besides dispatch's own restrictions. */
const besidesRestrictions = ({ reasons }: FunctionReadiness) =>
  reasons
    .filter((each) => each.effect === 'no' || each.limits.presentLoadOnly)
    .filter((each) => each.kind !== 'restriction');

const onlyRestricted = (of: FunctionReadiness): boolean =>
  of.answer !== 'not_fitted' && besidesRestrictions(of).length === 0;

/**
 * A unit that is stopped is not sent, unless only dispatch's own restrictions stand in the way and
 * somebody of dispatch says why. What was sent before the stop was known is logged all the same.
 */
function mustBeReady(
  wanted: readonly FunctionReadiness[],
  signed: SignedActor | null,
  input: NewAssignment,
): void {
  const against = wanted.filter(refuses);
  const first = against.find((each) => !onlyRestricted(each)) ?? against[0];
  if (!first) return;
  const why = besidesRestrictions(first)[0] ?? first.reasons[0];
  const said = why ? `${why.text} Clears it: ${why.whoCanClear}.` : 'It is not fitted.';
  if (input.override === null || !onlyRestricted(first)) {
    throw new Problem('unit_not_ready', `${first.function}: ${said}`.slice(0, 1_000));
  }
  if (signed === null) throw new Problem('signature_missing', 'An override is signed.');
  if (!signed.competences.includes('dispatch')) {
    throw new Problem('competence_missing', 'An override is for somebody of dispatch.');
  }
}

const answersOf = (functions: readonly FunctionReadiness[]): Record<string, ReadinessAnswer> =>
  Object.fromEntries(functions.map((each) => [each.function, each.answer]));

/**
 * Logs what dispatch sends a unit to do, with the event that it relied on; tells what has changed
 * since, and what readiness says now. When nothing changed, a unit that is stopped is refused.
 *
 * @throws Problem not_found, time_invalid, reference_unknown, unit_not_ready, signature_missing,
 *   competence_missing
 */
export async function logAssignment(
  work: Work,
  by: Actor,
  signed: SignedActor | null,
  input: NewAssignment,
): Promise<LoggedAssignment> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, reliedOn } = input;
  const { event, ...readiness } = await readUnitReadiness(tx, fleetId, unitId, nowMs);
  if (reliedOn > event) {
    throw new Problem('reference_unknown', `reliedOn lies ahead: the last event is ${event}.`);
  }
  const atMs = input.atMs ?? nowMs;
  if (atMs > nowMs + 120_000 || atMs < earliestMs) {
    throw new Problem('time_invalid', '`at` must be a time that has been.');
  }
  const since = await changesSince(tx, fleetId, { unitId, event: reliedOn, limit: changesShown });
  const wanted = readiness.functions.filter((each) => input.functions.includes(each.function));
  if (since.length === 0) mustBeReady(wanted, signed, input);
  const row: AssignmentRow = {
    fleetId,
    assignmentId: uuid(),
    unitId,
    functions: UNIT_FUNCTIONS.filter((each) => input.functions.includes(each)),
    reliedOn,
    lastEvent: event,
    answers: answersOf(wanted),
    changed: since.length > 0,
    reference: input.reference,
    note: input.note,
    overrideReason: input.override,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    assignedAtMs: Math.min(atMs, nowMs),
    recordedAtMs: nowMs,
  };
  await insertAssignment(tx, row);
  work.record({
    type: 'unit.assigned',
    subject: `unit/${unitId}`,
    data: {
      assignmentId: row.assignmentId,
      functions: row.functions,
      reliedOn,
      lastEvent: event,
      answers: row.answers,
      changed: row.changed,
      overridden: input.override !== null,
      personId: by.personId,
    },
    personal: {
      by: by.name,
      reference: row.reference,
      note: row.note,
      override: row.overrideReason,
    },
    occurredAtMs: row.assignedAtMs,
  });
  return { row, since, readiness };
}
