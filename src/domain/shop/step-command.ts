import { parseInstant } from '../instant.ts';
import {
  below,
  newReport,
  note,
  type Problem,
  type Report,
  readChoice,
  readFlag,
  readKey,
  readList,
  readObject,
  readText,
} from '../upkeep/document-reader.ts';
import { POINT_TAPS, type PointTap } from '../upkeep/point-tap.ts';
import type { CardStep } from './card-steps.ts';
import { type StepResult, stepResults } from './merge-steps.ts';

/** Why a step was not done. */
export const notDoneReasons = [
  'no_time',
  'waits_for_part',
  'waits_for_tool',
  'cannot_be_reached',
  'not_fitted',
  'found_unfit_elsewhere',
  'unit_wanted',
  'other',
] as const;
export type NotDoneReason = (typeof notDoneReasons)[number];

/** How bad what is not right is: the grades of a finding, without `sound`. */
export const findGrades = ['keep_watch', 'mend_by', 'unfit'] as const;

/** What was found where a step is not right. */
export interface Find {
  grade: (typeof findGrades)[number];
  /** Of a step over a whole asset: where. */
  pointKey: string | null;
  mendByDay: string | null;
}

/** What a phone says of a step, before it is held against the step. */
export interface SaidOfStep {
  clientId: string;
  stepId: string;
  result: StepResult;
  tap: PointTap | null;
  reason: NotDoneReason | null;
  words: string | null;
  find: Find | null;
  measurement: SaidMeasurement | null;
  atMs: number;
  atControls: string | null;
  replaces: string[];
}

/** What a size is told in. */
export const sizeUnits = ['mm', 'in', 'nm', 'turns', 'percent'] as const;

/** A reading taken in a step: its size, or on which side of the gauge it fell. */
export interface SaidMeasurement {
  /** The key of a wear part that is measured at the point. */
  part: string | null;
  /** Thousandths of `unit`. */
  thousandths: number | null;
  unit: (typeof sizeUnits)[number] | null;
  gauge: 'go' | 'near' | 'no_go' | null;
  tool: string | null;
  wiped: boolean | null;
  temperatureTenthsC: number | null;
}

export const MAX_WORDS = 1000;
export const MAX_REPLACED = 20;
const uuidShape = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const dayShape = /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/;

const KEYS = [
  'clientId',
  'stepId',
  'result',
  'tap',
  'reason',
  'words',
  'find',
  'measurement',
  'at',
  'atControls',
  'replaces',
];

function readId(report: Report, path: string, value: unknown): string {
  if (typeof value === 'string' && uuidShape.test(value.toLowerCase())) return value.toLowerCase();
  note(report, path, value === undefined ? 'is missing' : 'must be a UUID');
  return '';
}

/** Half of a character is none: nothing that keeps text takes it. */
function readWords(report: Report, path: string, value: unknown, max: number): string {
  const words = readText(report, path, value, max);
  if (!words.isWellFormed()) note(report, path, 'must be whole characters');
  return words;
}

const optional = <T>(value: unknown, read: (value: unknown) => T): T | null =>
  value === undefined || value === null ? null : read(value);

function readMoment(report: Report, path: string, value: unknown): number {
  const ms = typeof value === 'string' && value.length <= 40 ? parseInstant(value) : null;
  if (ms === null) {
    note(report, path, value === undefined ? 'is missing' : 'must be an instant with an offset');
  }
  // Outside of it nothing is a time of work; the database has its own bounds.
  const bounded = Math.min(Math.max(ms ?? 0, 0), 253_402_300_799_000);
  return bounded;
}

function readFind(report: Report, path: string, value: unknown): Find {
  const o = readObject(report, path, value, ['grade', 'point', 'mendByDay']) ?? {};
  const at = (key: string) => below(path, key);
  const find: Find = {
    grade: readChoice(report, at('grade'), o.grade, findGrades),
    pointKey: optional(o.point, (v) => readKey(report, at('point'), v)),
    mendByDay: optional(o.mendByDay, (v) => readText(report, at('mendByDay'), v, 10)),
  };
  if (find.mendByDay !== null && !dayShape.test(find.mendByDay)) {
    note(report, at('mendByDay'), 'must be a day such as 2026-11-02');
  }
  if (o.grade === 'mend_by' && find.mendByDay === null) {
    note(report, at('mendByDay'), 'must say by which day');
  }
  return find;
}

const MEASURED = ['part', 'value', 'unit', 'gauge', 'tool', 'wiped', 'temperatureC'];
const MAX_VALUE = 1_000_000;

/** Whole thousandths or tenths, from a number that may lie below nothing. */
function readSigned(report: Report, path: string, value: unknown, scale: number): number {
  const scaled = typeof value === 'number' ? Math.round(value * scale) : Number.NaN;
  if (!(Math.abs(scaled) <= MAX_VALUE * scale)) {
    note(report, path, `must be a number between -${MAX_VALUE} and ${MAX_VALUE}`);
    return 0;
  }
  return scaled;
}

function readMeasurement(report: Report, path: string, value: unknown): SaidMeasurement {
  const o = readObject(report, path, value, MEASURED) ?? {};
  const at = (key: string) => below(path, key);
  const read: SaidMeasurement = {
    part: optional(o.part, (v) => readKey(report, at('part'), v)),
    thousandths: optional(o.value, (v) => readSigned(report, at('value'), v, 1000)),
    unit: optional(o.unit, (v) => readChoice(report, at('unit'), v, sizeUnits)),
    gauge: optional(o.gauge, (v) =>
      readChoice(report, at('gauge'), v, ['go', 'near', 'no_go'] as const),
    ),
    tool: optional(o.tool, (v) => readWords(report, at('tool'), v, 120)),
    wiped: optional(o.wiped, (v) => readFlag(report, at('wiped'), v)),
    temperatureTenthsC: optional(o.temperatureC, (v) =>
      readSigned(report, at('temperatureC'), v, 10),
    ),
  };
  if ((read.thousandths === null) === (read.gauge === null)) {
    note(report, path, 'must have a value or a gauge, one of them');
  }
  if (read.thousandths !== null && read.unit === null) note(report, at('unit'), 'is missing');
  return read;
}

export type ReadStepCommand = { ok: true; said: SaidOfStep } | { ok: false; problems: Problem[] };

/** Reads one command of a batch, whatever it is. What is wrong is told with its place in it. */
export function readStepCommand(value: unknown): ReadStepCommand {
  const report = newReport();
  const o = readObject(report, '', value, KEYS) ?? {};
  const said: SaidOfStep = {
    clientId: readId(report, '/clientId', o.clientId),
    stepId: readId(report, '/stepId', o.stepId),
    result: readChoice(report, '/result', o.result, stepResults),
    tap: optional(o.tap, (v) =>
      readChoice(report, '/tap', v, Object.keys(POINT_TAPS) as PointTap[]),
    ),
    reason: optional(o.reason, (v) => readChoice(report, '/reason', v, notDoneReasons)),
    words: optional(o.words, (v) => readWords(report, '/words', v, MAX_WORDS)),
    find: optional(o.find, (v) => readFind(report, '/find', v)),
    measurement: optional(o.measurement, (v) => readMeasurement(report, '/measurement', v)),
    atMs: readMoment(report, '/at', o.at),
    atControls: optional(o.atControls, (v) => readId(report, '/atControls', v)),
    replaces: [
      ...new Set(
        readList(report, '/replaces', o.replaces, { max: MAX_REPLACED }, (at, v) =>
          readId(report, at, v),
        ),
      ),
    ].sort(),
  };
  if (report.problems.length > 0) return { ok: false, problems: report.problems };
  return { ok: true, said };
}

/** Why a command does not fit its step; what is needed, in a sentence. */
export function misfit(said: SaidOfStep, step: CardStep): string | null {
  const { result, tap, reason, find } = said;
  if (tap !== null && !step.taps.includes(tap)) return 'The step has no such tap.';
  if (tap !== null && result !== 'not_done' && POINT_TAPS[tap].result !== result) {
    return `The tap says ${POINT_TAPS[tap].result}, the result says ${result}.`;
  }
  if ((result === 'not_done') !== (reason !== null)) {
    return 'What was not done needs a reason, and nothing else has one.';
  }
  if (reason === 'other' && said.words === null) return 'Say in words why it was not done.';
  if ((result === 'not_right') !== (find !== null)) {
    return 'What is not right needs a find, and nothing else has one.';
  }
  if (result === 'not_right' && tap === null && said.words === null) {
    return 'Say with a tap or in words what is not right.';
  }
  if (find?.pointKey != null && !isPlaceOf(step, find.pointKey)) {
    return 'The find names a point that is not in this step.';
  }
  if (step.needsControls && result === 'done' && said.atControls === null) {
    return 'The lift moved: say in atControls who stood at the controls.';
  }
  if (said.measurement !== null && step.pointKey === null) {
    return 'Nothing is measured in a step over the whole.';
  }
  const { part = null } = said.measurement ?? {};
  if (part !== null && !step.wearParts.some((each) => each.key === part)) {
    return 'No such wear part is measured in this step.';
  }
  return null;
}

const isPlaceOf = (step: CardStep, pointKey: string) =>
  step.pointKey === pointKey || step.points.some((point) => point.key === pointKey);

/** Everything that a command says, always in the same order: what its digest is taken of. */
export function commandText(said: SaidOfStep, personId: string): string {
  const { clientId: _, ...rest } = said;
  return JSON.stringify([personId, ...KEYS.map((key) => textOf(rest, key))]);
}

function textOf(said: Omit<SaidOfStep, 'clientId'>, key: string): unknown {
  if (key === 'at') return said.atMs;
  return (said as Record<string, unknown>)[key] ?? null;
}
