import { SYMPTOMS } from '../shop/symptom.ts';
import { type AssetKind, assetKinds, type Meter } from '../usage/meter.ts';
import {
  newReport,
  note,
  noteRepeatedKeys,
  type Problem,
  type Report,
  readChoice,
  readList,
  readObject,
  readText,
} from './document-reader.ts';
import { type FunctionNeed, MAX_NEEDS, noteCircles, readFunctionNeed } from './function-need.ts';
import { MAX_NAME, readServicePoint, type ServicePoint } from './service-point.ts';
import { readSymptomRule, type SymptomRule } from './symptom-rule.ts';
import { taskCautions } from './task-cautions.ts';
import { MAX_POINTS, readTaskRule, type TaskRule } from './task-rule.ts';
import { readWearPart, type WearPart } from './wear-part.ts';

/** The description of one kind of equipment. Versions of it are kept by whoever stores it. */
export interface LiftPattern {
  name: string;
  assetKind: AssetKind;
  servicePoints: ServicePoint[];
  tasks: TaskRule[];
  wearParts: WearPart[];
  functionNeeds: FunctionNeed[];
  /** At most one for each symptom. */
  symptomRules: SymptomRule[];
}

/** `omitted` counts the problems found beyond the first 100. */
export type ParsedLiftPattern =
  | { ok: true; pattern: LiftPattern }
  | { ok: false; problems: Problem[]; omitted: number };

export const PATTERN_KEYS = [
  'name',
  'assetKind',
  'servicePoints',
  'tasks',
  'wearParts',
  'functionNeeds',
  'symptomRules',
];
export const MAX_TASKS = 200;
export const MAX_WEAR_PARTS = 200;

/**
 * Reads a pattern document. Nothing is guessed and no key is skipped: whatever is not understood is
 * a problem with its JSON pointer. Intervals become integer grains, fractions become thousandths.
 * `meters` are all meters that the fleet has.
 */
export function parseLiftPattern(value: unknown, meters: readonly Meter[]): ParsedLiftPattern {
  const report = newReport();
  const o = readObject(report, '', value, PATTERN_KEYS) ?? {};
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
    functionNeeds: readList(
      report,
      '/functionNeeds',
      o.functionNeeds,
      { max: MAX_NEEDS },
      (at, v) => readFunctionNeed(report, at, v),
    ),
    symptomRules: readList(
      report,
      '/symptomRules',
      o.symptomRules,
      { max: SYMPTOMS.length },
      (at, v) => readSymptomRule(report, at, v),
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

/** Keys are unique in their list, and every point and task that is named exists. */
function noteCrossReferences(report: Report, pattern: LiftPattern): void {
  const pointKeys = new Set(pattern.servicePoints.map((point) => point.key));
  const taskKeys = new Set(pattern.tasks.map((task) => task.key));
  const mustExist = (path: string, keys: readonly string[], known: Set<string>, what: string) =>
    keys.forEach((key, i) => {
      if (key !== '' && !known.has(key)) {
        note(report, `${path}/${i}`, `no ${what} has the key "${key}"`);
      }
    });
  const points = (path: string, keys: readonly string[]) =>
    mustExist(path, keys, pointKeys, 'service point');
  noteRepeatedKeys(report, '/servicePoints', pattern.servicePoints);
  for (const list of ['tasks', 'wearParts'] as const) {
    noteRepeatedKeys(report, `/${list}`, pattern[list]);
    pattern[list].forEach((entry, i) => {
      points(`/${list}/${i}/points`, entry.points);
    });
  }
  pattern.wearParts.forEach(({ takeUp }, i) => {
    if (takeUp) points(`/wearParts/${i}/takeUp/points`, takeUp.points);
  });
  pattern.functionNeeds.forEach((need, i) => {
    points(`/functionNeeds/${i}/points`, need.points);
  });
  noteCircles(report, '/functionNeeds', pattern.functionNeeds);
  const said = new Set<string>();
  pattern.symptomRules.forEach((rule, i) => {
    const path = `/symptomRules/${i}`;
    if (said.has(rule.symptom)) note(report, `${path}/symptom`, `repeats "${rule.symptom}"`);
    said.add(rule.symptom);
    mustExist(`${path}/makesDue`, rule.makesDue, taskKeys, 'task');
    rule.askFor.forEach((cause, j) => {
      points(`${path}/askFor/${j}/points`, cause.points);
    });
  });
}
