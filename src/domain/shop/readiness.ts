import type { Day } from '../upkeep/calendar.ts';
import type { FunctionNeed } from '../upkeep/function-need.ts';
import { UNIT_FUNCTIONS, type UnitFunction } from '../upkeep/service-point.ts';
import { nameOf } from '../upkeep/upkeep-reason.ts';
import type { AssetKind } from '../usage/meter.ts';
import { joinLimits, type Limits } from './limit.ts';
import {
  REASON_EFFECTS,
  type ReadinessDeferral,
  type ReadinessFinding,
  type ReadinessNotice,
  type ReadinessReason,
  type ReadinessStop,
  type ReadinessTask,
  type ReasonEffect,
  reasonOfDeferral,
  reasonOfFinding,
  reasonOfNotice,
  reasonOfStop,
  reasonOfTask,
  reasonOfUnassessed,
} from './readiness-reason.ts';

/** Best first, but for `not_fitted`, which is beside them. */
export const READINESS_ANSWERS = ['yes', 'limited', 'unknown', 'no', 'not_fitted'] as const;
export type ReadinessAnswer = (typeof READINESS_ANSWERS)[number];

export interface ReadinessInput {
  nowMs: number;
  /** The unit's day in its home yard. */
  today: Day;
  fitted: readonly UnitFunction[];
  stops: readonly ReadinessStop[];
  findings: readonly ReadinessFinding[];
  tasks: readonly ReadinessTask[];
  deferrals: readonly ReadinessDeferral[];
  notices: readonly ReadinessNotice[];
  /** Assets with tasks that take something away and that were not looked at yet. */
  unassessed: readonly { assetId: string; functions: readonly UnitFunction[] }[];
  /** What functions rest on, by the patterns of what is on the unit. */
  needs: readonly (FunctionNeed & { assetId: string })[];
}

/** A reason as one function has it: `through` is the function that it came by, null its own. */
export interface FunctionReason extends ReadinessReason {
  through: UnitFunction | null;
}

export interface FunctionReadiness {
  function: UnitFunction;
  answer: ReadinessAnswer;
  /** What is still allowed, of all its reasons together. */
  limits: Limits;
  /** When all that decides is expected to be over; null: nobody has said, or there is nothing. */
  untilMs: number | null;
  /** The weightiest first. */
  reasons: FunctionReason[];
  /** What takes nothing away and is to be known. */
  notes: FunctionReason[];
}

/**
 * What a unit is fitted for. Every unit takes the road; a boom is known from the patterns of what
 * carries it, because it is no asset of its own.
 */
export function fittedFunctions(
  assets: readonly { kind: AssetKind; serves: readonly UnitFunction[] }[],
): UnitFunction[] {
  const has = (kind: AssetKind) => assets.some((asset) => asset.kind === kind);
  const fitted: Record<UnitFunction, boolean> = {
    wheel_lift: has('lift'),
    winch: has('winch'),
    boom: assets.some(({ kind, serves }) => kind !== 'chassis' && serves.includes('boom')),
    dollies: has('dolly_set'),
    road: true,
  };
  return UNIT_FUNCTIONS.filter((each) => fitted[each]);
}

const weight = (effect: ReasonEffect) => REASON_EFFECTS.indexOf(effect);

/**
 * That no new call may be taken comes before what nobody knows: whoever reads only the first line
 * must not miss it.
 */
const comesFirst = ({ effect, limits }: ReadinessReason): boolean =>
  effect === 'no' || limits.presentLoadOnly === true;

/** One order for all, whatever order the rows came in. */
function byWeight(a: ReadinessReason, b: ReadinessReason): number {
  const since = (reason: ReadinessReason) => reason.sinceMs ?? Number.NEGATIVE_INFINITY;
  if (comesFirst(a) !== comesFirst(b)) return comesFirst(a) ? -1 : 1;
  if (a.effect !== b.effect) return weight(b.effect) - weight(a.effect);
  if (since(a) !== since(b)) return since(a) < since(b) ? -1 : 1;
  const name = ({ what, id, text }: ReadinessReason) => `${what} ${id} ${text}`;
  return name(a) < name(b) ? -1 : 1;
}

/**
 * A finding whose own stop says the same is not said twice. Only a stop that takes all that the
 * finding would, at once, says the same.
 */
function saidByStop(finding: ReadinessFinding, input: ReadinessInput): boolean {
  return input.stops.some(
    (stop) =>
      stop.findingId === finding.findingId &&
      stop.state === 'standing' &&
      stop.effect === 'no' &&
      stop.kind === 'defect' &&
      stop.assetId === finding.assetId &&
      stop.pointKey === finding.pointKey &&
      finding.functions.every((each) => stop.functions.includes(each)),
  );
}

function allReasons(input: ReadinessInput): ReadinessReason[] {
  const { nowMs, today } = input;
  const findings = input.findings.filter((finding) => !saidByStop(finding, input));
  return [
    ...input.stops.map((stop) => reasonOfStop(stop, nowMs)),
    ...findings.map((finding) => reasonOfFinding(finding, today, nowMs)),
    ...input.tasks.map(reasonOfTask),
    ...input.deferrals.map((deferral) => reasonOfDeferral(deferral, nowMs)),
    ...input.notices.map((notice) => reasonOfNotice(notice, nowMs)),
    ...input.unassessed.map((asset) => reasonOfUnassessed(asset, nowMs)),
  ].filter((reason) => reason !== null);
}

type ByFunction = Map<UnitFunction, Set<ReadinessReason>>;

/** Nothing can be done with a unit that may not go where it is to be done. */
const restsOnRoad = (function_: UnitFunction): UnitFunction[] =>
  function_ === 'road' ? [] : ['road'];

/** What is wrong at a place that another function rests on; upkeep says itself what it takes. */
const sitsAt = (reason: ReadinessReason, need: ReadinessInput['needs'][number]): boolean =>
  reason.assetId === need.assetId &&
  reason.pointKey !== null &&
  need.points.includes(reason.pointKey);

/** Carries reasons to what rests on them, until nothing is added: circles do no harm. */
function carry(of: ByFunction, all: readonly ReadinessReason[], input: ReadinessInput): void {
  for (const need of input.needs) {
    for (const reason of all) if (sitsAt(reason, need)) of.get(need.function)?.add(reason);
  }
  for (let grew = true; grew; ) {
    grew = false;
    for (const [function_, reasons] of of) {
      const own = input.needs.filter((need) => need.function === function_);
      const on = [...restsOnRoad(function_), ...own.flatMap((need) => need.functions)];
      for (const other of on) {
        for (const reason of of.get(other) ?? []) {
          if (reason.effect === 'note' || reasons.has(reason)) continue;
          reasons.add(reason);
          grew = true;
        }
      }
    }
  }
}

/** A function that rests on another one which this unit does not have. */
function missing(input: ReadinessInput): ReadinessReason[] {
  return input.needs.flatMap((need) =>
    need.functions
      .filter((other) => !input.fitted.includes(other))
      .map(
        (other): ReadinessReason => ({
          what: 'not_fitted',
          id: `${need.function} ${other}`,
          kind: null,
          effect: 'no',
          functions: [need.function],
          limits: {},
          text: `It needs the ${nameOf(other)}, which is not fitted: ${need.words}`,
          sinceMs: null,
          untilMs: null,
          whoCanClear: 'whoever fits it',
          dataAtMs: input.nowMs,
          assetId: null,
          pointKey: null,
        }),
      ),
  );
}

/** How a reason reached a function that it does not name itself. */
function asSeenFrom(
  function_: UnitFunction,
  reason: ReadinessReason,
  needs: ReadinessInput['needs'],
): FunctionReason {
  if (reason.functions.includes(function_)) return { ...reason, through: null };
  const through = UNIT_FUNCTIONS.find((each) => reason.functions.includes(each)) ?? null;
  const at = needs.filter((need) => need.function === function_ && sitsAt(reason, need));
  const why = at.map((need) => need.words).sort()[0];
  const head = why ?? `The ${nameOf(function_)} needs the ${nameOf(through ?? 'unit')}`;
  return { ...reason, through, text: `${head.replace(/\.$/, '')}. ${reason.text}` };
}

function answerOf(reasons: readonly ReadinessReason[]): ReadinessAnswer {
  const worst = reasons.reduce((most, { effect }) => Math.max(most, weight(effect)), 0);
  const effect = REASON_EFFECTS[worst]!;
  return effect === 'note' ? 'yes' : effect;
}

function untilOf(answer: ReadinessAnswer, reasons: readonly ReadinessReason[]): number | null {
  const deciding = reasons.filter((reason) => reason.effect === answer);
  if (deciding.length === 0) return null;
  return deciding.reduce<number | null>(
    (latest, { untilMs }) =>
      latest === null || untilMs === null ? null : Math.max(latest, untilMs),
    Number.NEGATIVE_INFINITY,
  );
}

/**
 * What a unit may be sent to do now, by function. Pure: the worst of all reasons gives the answer
 * (`no`, then `unknown`, `limited`, `yes`), so one more reason never makes it better, and the order
 * of the rows says nothing. A function takes over what is wrong with those that it rests on.
 */
export function readinessOf(input: ReadinessInput): FunctionReadiness[] {
  const all = [...allReasons(input), ...missing(input)];
  const of: ByFunction = new Map(
    UNIT_FUNCTIONS.map((each) => [
      each,
      new Set(all.filter((reason) => reason.functions.includes(each))),
    ]),
  );
  if (all.length > 0) carry(of, all, input);
  return UNIT_FUNCTIONS.map((each): FunctionReadiness => {
    const has = of.get(each)!;
    if (!input.fitted.includes(each)) return bare(each, 'not_fitted');
    return has.size === 0 ? bare(each, 'yes') : decided(each, [...has], input);
  });
}

const bare = (function_: UnitFunction, answer: ReadinessAnswer): FunctionReadiness => ({
  function: function_,
  answer,
  limits: {},
  untilMs: null,
  reasons: [],
  notes: [],
});

function decided(
  function_: UnitFunction,
  has: readonly ReadinessReason[],
  input: ReadinessInput,
): FunctionReadiness {
  const seen = [...has].sort(byWeight);
  const shown = seen.map((reason) => asSeenFrom(function_, reason, input.needs));
  const reasons = shown.filter((reason) => reason.effect !== 'note');
  const answer = answerOf(reasons);
  return {
    function: function_,
    answer,
    limits: answer === 'no' ? {} : joinLimits(reasons.map((reason) => reason.limits)),
    untilMs: untilOf(answer, reasons),
    reasons,
    notes: shown.filter((reason) => reason.effect === 'note'),
  };
}
