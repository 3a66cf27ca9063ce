import { v7 as uuid } from 'uuid';
import { hasLimit, type Limits, limitsText } from '../domain/shop/limit.ts';
import {
  ALL_FUNCTIONS,
  firstStopState,
  type StopEffect,
  type StopEffective,
  type StopKind,
} from '../domain/shop/stop.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import { Problem } from '../errors.ts';
import { insertStop, insertStopAct, type StopRow } from '../store/stop.ts';
import type { Actor } from './actor.ts';
import type { Work } from './work.ts';

export interface NewStop {
  unitId: string;
  /** The stop goes with it; null: it is the unit's own. */
  assetId: string | null;
  kind: StopKind;
  /** Of a work lock always all of them. */
  functions: readonly UnitFunction[];
  effect: StopEffect;
  /** What is still allowed; only where the effect is `limited`. */
  limits: Limits;
  effective: StopEffective;
  reason: string;
  cause: { kind: string; id: string } | null;
  /** A restriction ends then; of the others it is only expected. */
  untilMs: number | null;
  findingId: string | null;
}

/** A person is in it: nothing of the unit may move, whatever was asked for. */
const asWorkLock = (input: NewStop): NewStop => ({
  ...input,
  functions: ALL_FUNCTIONS,
  effect: 'no',
  limits: {},
  effective: 'at_once',
});

function mustBeSound(input: NewStop, by: Actor, nowMs: number): void {
  if (input.kind === 'work_lock' && by.personId === null) {
    throw new Problem('stop_impossible', 'A work lock is placed by a person, who signs.');
  }
  if (input.functions.length === 0) {
    throw new Problem('stop_impossible', 'Say which functions it takes.');
  }
  if (input.effect === 'limited' && !hasLimit(input.limits)) {
    throw new Problem('stop_impossible', 'Say in `limits` what is still allowed.');
  }
  if (input.untilMs !== null && input.untilMs <= nowMs) {
    throw new Problem('time_invalid', '`until` must lie ahead.');
  }
}

/**
 * Takes functions of a unit away, or limits them. Counts from the commit on; readiness is read from
 * these rows. Callers have checked that the unit and the asset are of the fleet.
 *
 * @throws Problem stop_impossible, time_invalid
 */
export async function setStop(work: Work, by: Actor, given: NewStop): Promise<StopRow> {
  const { tx, fleetId, nowMs } = work;
  const input = given.kind === 'work_lock' ? asWorkLock(given) : given;
  mustBeSound(input, by, nowMs);
  const row: StopRow = {
    fleetId,
    stopId: uuid(),
    unitId: input.unitId,
    assetId: input.assetId,
    findingId: input.findingId,
    kind: input.kind,
    effect: input.effect,
    functions: ALL_FUNCTIONS.filter((each) => input.functions.includes(each)),
    limits: input.effect === 'limited' ? input.limits : {},
    effective: input.effective,
    state: firstStopState(input.effective),
    reason: input.reason,
    causeKind: input.cause?.kind ?? null,
    causeId: input.cause?.id ?? null,
    untilAtMs: input.untilMs,
    placedAtMs: nowMs,
    placedByPerson: by.personId,
    placedByKey: by.keyId,
    placedByName: by.name,
    droppedAtMs: null,
    clearedAtMs: null,
  };
  await insertStop(tx, row);
  await insertStopAct(tx, {
    fleetId,
    actId: uuid(),
    stopId: row.stopId,
    act: 'set',
    untilAtMs: row.untilAtMs,
    words: row.reason,
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    recordedAtMs: nowMs,
  });
  work.record({
    type: 'stop.set',
    subject: `unit/${row.unitId}`,
    data: {
      stopId: row.stopId,
      assetId: row.assetId,
      kind: row.kind,
      effect: row.effect,
      functions: row.functions,
      limits: limitsText(row.limits as Limits),
      effective: row.effective,
      cause: input.cause,
      findingId: row.findingId,
      until: row.untilAtMs,
      personId: by.personId,
    },
    personal: { by: by.name, reason: row.reason },
    occurredAtMs: nowMs,
  });
  work.changed('readiness');
  return row;
}
