import { grainsPerUnit, type Meter } from '../usage/meter.ts';
import {
  below,
  exactParts,
  type JsonObject,
  note,
  noteRepeats,
  type Report,
  readChoice,
  readChoices,
  readFlag,
  readKey,
  readList,
  readObject,
  readScaled,
  readText,
} from './document-reader.ts';
import { MAX_NAME, readCautions, UNIT_FUNCTIONS, type UnitFunction } from './service-point.ts';
import { SEVERITY_KINDS, type SeverityFactors } from './severity.ts';
import { WORK_KINDS, type WorkKind } from './task-work.ts';

export interface MeterInterval {
  meter: string;
  grains: number;
}

/** Yard days, or calendar months kept to the month's end. */
export type CalendarInterval = { days: number } | { months: number };

/** What being past the limit does to readiness, mildest first. */
export const OVERRUN_EFFECTS = ['none', 'warn', 'limited', 'no'] as const;
export type OverrunEffect = (typeof OVERRUN_EFFECTS)[number];

export const EXTENDING_ROLES = ['nobody', 'lead', 'admin'] as const;
export type ExtendingRole = (typeof EXTENDING_ROLES)[number];

/**
 * One upkeep task of a pattern. The window edges are thousandths of the interval and belong inside:
 * `ahead` below opens, `in_window` from opens to limit, `overrun` beyond limit. A statutory task
 * counts calendar months only, from the day it was done, and its limit is its full interval.
 */
export interface TaskRule {
  key: string;
  name: string;
  points: string[];
  meters: MeterInterval[];
  calendar: CalendarInterval | null;
  opensThousandths: number;
  limitThousandths: number;
  statutory: boolean;
  overrunEffect: OverrunEffect;
  functions: UnitFunction[];
  mayExtend: ExtendingRole;
  severity: SeverityFactors;
  /** Null: at each point what is usual for its kind; see `workOn`. */
  work: WorkKind | null;
  /** Of a whole pattern: those of its points too. */
  cautions: string[];
}

export const TASK_KEYS = [
  'key',
  'name',
  'points',
  'every',
  'opens',
  'limit',
  'statutory',
  'overrunEffect',
  'functions',
  'mayExtend',
  'severity',
  'work',
  'cautions',
];
export const MAX_POINTS = 500;
export const MAX_METERS_PER_TASK = 6;
export const MAX_UNITS = 1_000_000;
export const MAX_DAYS = 3660;
export const MAX_MONTHS = 240;
/** Names that `every`, or a measure of a task, already uses for something else. */
const RESERVED = ['days', 'months', 'calendar', 'deferral', 'call'];

/** `meters` are all meters of the fleet; those of another kind of asset are refused by name. */
export function readTaskRule(
  report: Report,
  path: string,
  value: unknown,
  assetKind: string,
  meters: readonly Meter[],
): TaskRule {
  const o = readObject(report, path, value, TASK_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const statutory = readFlag(report, at('statutory'), o.statutory);
  const points = readList(report, at('points'), o.points, { max: MAX_POINTS }, (p, v) =>
    readKey(report, p, v),
  );
  noteRepeats(report, at('points'), points);
  const every = readEvery(report, at('every'), o.every, assetKind, meters);
  const rule: TaskRule = {
    key: readKey(report, at('key'), o.key),
    name: readText(report, at('name'), o.name, MAX_NAME),
    points,
    ...every,
    opensThousandths: readEdge(report, at('opens'), o.opens, 900, { min: 0.5, max: 1 }),
    limitThousandths: readEdge(report, at('limit'), o.limit, statutory ? 1000 : 1100, {
      min: 1,
      max: 1.5,
    }),
    statutory,
    overrunEffect: readChoice(
      report,
      at('overrunEffect'),
      o.overrunEffect,
      OVERRUN_EFFECTS,
      'warn',
    ),
    functions: readChoices(report, at('functions'), o.functions, UNIT_FUNCTIONS),
    mayExtend: readChoice(
      report,
      at('mayExtend'),
      o.mayExtend,
      EXTENDING_ROLES,
      statutory ? 'nobody' : 'lead',
    ),
    severity: readSeverity(report, at('severity'), o.severity),
    work: o.work === undefined ? null : readChoice(report, at('work'), o.work, WORK_KINDS),
    cautions: readCautions(report, at('cautions'), o.cautions),
  };
  if (statutory) noteStatutory(report, path, rule, o);
  const stops = rule.overrunEffect === 'limited' || rule.overrunEffect === 'no';
  if (stops && rule.functions.length === 0 && o.functions === undefined) {
    note(report, at('functions'), `must name what "${rule.overrunEffect}" takes away`);
  }
  return rule;
}

function readEdge(
  report: Report,
  path: string,
  value: unknown,
  fallback: number,
  bounds: { min: number; max: number },
): number {
  return value === undefined ? fallback : readScaled(report, path, value, 1000, bounds);
}

function readEvery(
  report: Report,
  path: string,
  value: unknown,
  assetKind: string,
  meters: readonly Meter[],
): { meters: MeterInterval[]; calendar: CalendarInterval | null } {
  const own = meters.filter((m) => m.assetKind === assetKind && !RESERVED.includes(m.name));
  const foreign = new Map(meters.map((m) => [m.name, m.assetKind]));
  const intervals: MeterInterval[] = [];
  const none = { meters: intervals, calendar: null };
  if (value === undefined) {
    note(report, path, 'is missing');
    return none;
  }
  const allowed = [...meters.map((m) => m.name), 'days', 'months'];
  const o = readObject(report, path, value, allowed);
  if (!o) return none;
  for (const key of Object.keys(o)) {
    const meter = own.find((m) => m.name === key);
    if (meter) intervals.push(readInterval(report, below(path, key), o[key], meter));
    else if (foreign.has(key) && key !== 'days' && key !== 'months') {
      const owner = foreign.get(key);
      note(report, below(path, key), `counts use of a ${owner}, not of a ${assetKind}`);
    }
  }
  if (intervals.length > MAX_METERS_PER_TASK) {
    note(report, path, `names more than ${MAX_METERS_PER_TASK} meters`);
  }
  const calendar = readCalendar(report, path, o);
  if (Object.keys(o).length === 0) note(report, path, 'must name a meter, days or months');
  return { meters: intervals, calendar };
}

function readCalendar(report: Report, path: string, o: JsonObject): CalendarInterval | null {
  if (o.days !== undefined && o.months !== undefined) {
    note(report, below(path, 'months'), 'cannot stand beside days: give one of the two');
  }
  const whole = (key: string, max: number) =>
    readScaled(report, below(path, key), o[key], 1, { min: 1, max });
  if (o.months !== undefined) return { months: whole('months', MAX_MONTHS) };
  if (o.days !== undefined) return { days: whole('days', MAX_DAYS) };
  return null;
}

function readInterval(report: Report, path: string, value: unknown, meter: Meter): MeterInterval {
  if (typeof value !== 'number' || !(value > 0) || value > MAX_UNITS) {
    note(report, path, `must be a number above 0 and at most ${MAX_UNITS}`);
    return { meter: meter.name, grains: 0 };
  }
  const scale = grainsPerUnit[meter.dimension];
  const grains = exactParts(value, scale);
  if (grains === null) {
    note(report, path, `must be a whole multiple of 1/${scale}`);
  }
  return { meter: meter.name, grains: grains ?? 0 };
}

function readSeverity(report: Report, path: string, value: unknown): SeverityFactors {
  if (value === undefined) return {};
  const o = readObject(report, path, value, SEVERITY_KINDS) ?? {};
  const factors: Partial<Record<(typeof SEVERITY_KINDS)[number], number>> = {};
  for (const kind of SEVERITY_KINDS) {
    if (o[kind] === undefined) continue;
    factors[kind] = readScaled(report, below(path, kind), o[kind], 1000, { min: 1, max: 5 });
  }
  return factors;
}

function noteStatutory(report: Report, path: string, rule: TaskRule, o: JsonObject): void {
  const at = (key: string) => below(path, key);
  if (rule.meters.length > 0 || !rule.calendar || !('months' in rule.calendar)) {
    note(report, at('every'), 'a statutory task counts calendar months, and nothing else');
  }
  if (o.limit !== undefined && o.limit !== 1) {
    note(report, at('limit'), 'a statutory task has no plus: its limit is the full interval');
  }
  if (Object.keys(rule.severity).length > 0) {
    note(report, at('severity'), 'a statutory interval is the same for every unit');
  }
  if (rule.mayExtend !== 'nobody') {
    note(report, at('mayExtend'), 'nobody may extend a statutory task');
  }
}
