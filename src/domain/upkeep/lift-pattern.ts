import { type AssetKind, assetKinds, type Meter } from '../usage/meter.ts';
import {
  below,
  newReport,
  note,
  noteRepeats,
  type Problem,
  type Report,
  readChoice,
  readKey,
  readList,
  readObject,
  readScaled,
  readText,
} from './document-reader.ts';
import { MAX_NAME, readServicePoint, type ServicePoint } from './service-point.ts';
import { taskCautions } from './task-cautions.ts';
import { MAX_METERS_PER_TASK, MAX_POINTS, readTaskRule, type TaskRule } from './task-rule.ts';

export const WEAR_UNITS = ['mm', 'nm', 'turns', 'percent'] as const;

/** A part whose wear is measured or aged. Figures are thousandths of `unit`. */
export interface WearPart {
  key: string;
  name: string;
  points: string[];
  meters: string[];
  unit: (typeof WEAR_UNITS)[number];
  nominalThousandths?: number;
  limitThousandths?: number;
}

/** The description of one kind of equipment. Versions of it are kept by whoever stores it. */
export interface LiftPattern {
  name: string;
  assetKind: AssetKind;
  servicePoints: ServicePoint[];
  tasks: TaskRule[];
  wearParts: WearPart[];
}

/** `omitted` counts the problems found beyond the first 100. */
export type ParsedLiftPattern =
  | { ok: true; pattern: LiftPattern }
  | { ok: false; problems: Problem[]; omitted: number };

const KEYS = ['name', 'assetKind', 'servicePoints', 'tasks', 'wearParts'];
const WEAR_KEYS = ['key', 'name', 'points', 'meters', 'unit', 'nominal', 'limit'];
const MAX_TASKS = 200;
const MAX_WEAR_PARTS = 200;

/**
 * Reads a pattern document. Nothing is guessed and no key is skipped: whatever is not understood is
 * a problem with its JSON pointer. Intervals become integer grains, fractions become thousandths.
 * `meters` are all meters that the fleet has.
 */
export function parseLiftPattern(value: unknown, meters: readonly Meter[]): ParsedLiftPattern {
  const report = newReport();
  const o = readObject(report, '', value, KEYS) ?? {};
  const assetKind = readChoice(report, '/assetKind', o.assetKind, assetKinds);
  // While the kind itself is wrong, holding meters against it would only add noise.
  const allowed = o.assetKind === assetKind ? meters : meters.map((m) => ({ ...m, assetKind }));
  const pattern: LiftPattern = {
    name: readText(report, '/name', o.name, MAX_NAME),
    assetKind,
    servicePoints: readList(
      report,
      '/servicePoints',
      o.servicePoints,
      { min: 1, max: MAX_POINTS },
      (at, v) => readServicePoint(report, at, v),
    ),
    tasks: readList(report, '/tasks', o.tasks, { max: MAX_TASKS }, (at, v) =>
      readTaskRule(report, at, v, assetKind, allowed),
    ),
    wearParts: readList(report, '/wearParts', o.wearParts, { max: MAX_WEAR_PARTS }, (at, v) =>
      readWearPart(report, at, v, assetKind, allowed),
    ),
  };
  noteCrossReferences(report, pattern);
  if (report.problems.length === 0) return { ok: true, pattern: withAllCautions(pattern) };
  return { ok: false, problems: report.problems, omitted: report.omitted };
}

/** Each task with the cautions of its points besides its own. */
function withAllCautions(pattern: LiftPattern): LiftPattern {
  const points = new Map(pattern.servicePoints.map((point) => [point.key, point]));
  const tasks = pattern.tasks.map((task) => ({ ...task, cautions: taskCautions(task, points) }));
  return { ...pattern, tasks };
}

function readWearPart(
  report: Report,
  path: string,
  value: unknown,
  assetKind: AssetKind,
  meters: readonly Meter[],
): WearPart {
  const o = readObject(report, path, value, WEAR_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const own = meters.filter((m) => m.assetKind === assetKind).map((m) => m.name);
  const size = (key: string) =>
    readScaled(report, at(key), o[key], 1000, { min: 0, max: 1_000_000 });
  const keys = (key: string, bounds: { min: number; max: number }) =>
    readList(report, at(key), o[key], bounds, (p, v) => readKey(report, p, v));
  const part: WearPart = {
    key: readKey(report, at('key'), o.key),
    name: readText(report, at('name'), o.name, MAX_NAME),
    points: keys('points', { min: 1, max: MAX_POINTS }),
    meters: keys('meters', { min: 1, max: MAX_METERS_PER_TASK }),
    unit: readChoice(report, at('unit'), o.unit, WEAR_UNITS, 'mm'),
  };
  part.meters.forEach((meter, i) => {
    if (meter !== '' && !own.includes(meter)) {
      note(report, below(at('meters'), i), `is not a meter of a ${assetKind}`);
    }
  });
  noteRepeats(report, at('points'), part.points);
  noteRepeats(report, at('meters'), part.meters);
  if (o.nominal !== undefined) part.nominalThousandths = size('nominal');
  if (o.limit !== undefined) part.limitThousandths = size('limit');
  if (o.nominal !== undefined && o.limit === o.nominal) {
    note(report, at('limit'), 'is the nominal value: nothing would be left to wear');
  }
  return part;
}

/** Keys are unique in their list, and every point that is named exists. */
function noteCrossReferences(report: Report, pattern: LiftPattern): void {
  const points = new Set(pattern.servicePoints.map((point) => point.key));
  noteRepeatedKeys(report, '/servicePoints', pattern.servicePoints);
  for (const list of ['tasks', 'wearParts'] as const) {
    noteRepeatedKeys(report, `/${list}`, pattern[list]);
    pattern[list].forEach((entry, i) => {
      entry.points.forEach((point, j) => {
        if (point !== '' && !points.has(point)) {
          note(report, `/${list}/${i}/points/${j}`, `no service point has the key "${point}"`);
        }
      });
    });
  }
}

function noteRepeatedKeys(report: Report, path: string, list: readonly { key: string }[]): void {
  const seen = new Set<string>();
  list.forEach(({ key }, i) => {
    if (key !== '' && seen.has(key)) note(report, `${path}/${i}/key`, `repeats "${key}"`);
    seen.add(key);
  });
}
