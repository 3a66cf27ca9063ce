import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { limitsText } from '../domain/shop/limit.ts';
import type { FunctionReadiness, FunctionReason } from '../domain/shop/readiness.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import type { UnitReadiness } from './read-readiness.ts';

const showReason = (reason: FunctionReason, nowMs: number) => ({
  what: reason.what,
  id: reason.id,
  kind: reason.kind,
  effect: reason.effect,
  text: reason.text,
  through: reason.through,
  since: instantTextOrNull(reason.sinceMs),
  until: instantTextOrNull(reason.untilMs),
  whoCanClear: reason.whoCanClear,
  knownAt: instantText(reason.dataAtMs),
  ageOfData: Math.max(0, Math.floor((nowMs - reason.dataAtMs) / 1000)),
});

const showFunction = (of: FunctionReadiness, nowMs: number, most: number) => ({
  function: of.function,
  answer: of.answer,
  limits: of.limits,
  limitsText: limitsText(of.limits),
  until: instantTextOrNull(of.untilMs),
  reasons: of.reasons.slice(0, most).map((reason) => showReason(reason, nowMs)),
  moreReasons: Math.max(0, of.reasons.length - most),
  notes: of.notes.slice(0, most).map((note) => showReason(note, nowMs)),
  moreNotes: Math.max(0, of.notes.length - most),
});

/** A unit's readiness, all functions or one of them, with at most so many reasons for each. */
export const showReadiness = (
  { unit, functions }: UnitReadiness,
  only: UnitFunction | null,
  nowMs: number,
  most: number,
) => ({
  unitId: unit.unitId,
  number: unit.number,
  yardId: unit.presentYardId,
  yardName: unit.presentYardName,
  heardAt: instantTextOrNull(unit.heardAtMs),
  functions: functions
    .filter((each) => only === null || each.function === only)
    .map((each) => showFunction(each, nowMs, most)),
});
