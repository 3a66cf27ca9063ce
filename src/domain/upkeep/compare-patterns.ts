import type { LiftPattern } from './lift-pattern.ts';
import {
  type Entry,
  needWords,
  pointWords,
  type SaidList,
  symptomWords,
  taskWords,
  wearWords,
} from './pattern-words.ts';

export const PATTERN_PARTS = [
  'pattern',
  'service_point',
  'task',
  'wear_part',
  'function_need',
  'symptom_rule',
] as const;

/** One thing that is otherwise in the later version, as a technician would say it. */
export interface PatternChange {
  part: (typeof PATTERN_PARTS)[number];
  /** Of the entry; null: of the whole list or pattern. */
  key: string | null;
  what: 'added' | 'removed' | 'changed' | 'reordered';
  /** The field of the document; null: the entry as a whole. */
  field: string | null;
  words: string;
}

type Part = PatternChange['part'];

const partWords = {
  service_point: ['Service point', 'service points'],
  task: ['Task', 'tasks'],
  wear_part: ['Wear part', 'wear parts'],
  function_need: ['Need', 'needs of functions'],
  symptom_rule: ['Rule for a symptom', 'rules for symptoms'],
} as const;

/** What is otherwise in `to`, part by part, in the order of the later version. */
export function comparePatterns(from: LiftPattern, to: LiftPattern): PatternChange[] {
  const names = namesOf(from, to);
  const [before, after] = [entriesOf(from, names), entriesOf(to, names)];
  const changes: PatternChange[] = [];
  if (from.name !== to.name) {
    const words = `The pattern is called "${to.name}", no longer "${from.name}".`;
    changes.push({ part: 'pattern', key: null, what: 'changed', field: 'name', words });
  }
  for (const part of Object.keys(partWords) as (keyof typeof partWords)[]) {
    changes.push(...compareLists(part, before[part], after[part]));
  }
  return changes;
}

/** How service points and tasks are called, by key; what was renamed has its later name. */
function namesOf(from: LiftPattern, to: LiftPattern) {
  const point = new Map<string, string>();
  const task = new Map<string, string>();
  for (const { servicePoints, tasks } of [from, to]) {
    for (const { key, name } of servicePoints) point.set(key, name);
    for (const { key, name } of tasks) task.set(key, name);
  }
  const seen = new Map<string, number>();
  for (const name of point.values()) seen.set(name, (seen.get(name) ?? 0) + 1);
  for (const [key, name] of point) {
    if ((seen.get(name) ?? 0) > 1) point.set(key, `${name} (${key})`);
  }
  return {
    point: (key: string) => point.get(key) ?? key,
    task: (key: string) => task.get(key) ?? key,
  };
}

function entriesOf(
  pattern: LiftPattern,
  names: ReturnType<typeof namesOf>,
): Record<keyof typeof partWords, Entry[]> {
  const points = new Map(pattern.servicePoints.map((point) => [point.key, point]));
  return {
    service_point: pattern.servicePoints.map(pointWords),
    task: pattern.tasks.map((each) => taskWords(each, points, names.point)),
    wear_part: pattern.wearParts.map((each) => wearWords(each, names.point)),
    function_need: needWords(pattern.functionNeeds, names.point),
    symptom_rule: pattern.symptomRules.map((each) => symptomWords(each, names)),
  };
}

function compareLists(
  part: keyof typeof partWords,
  before: readonly Entry[],
  after: readonly Entry[],
): PatternChange[] {
  const [one, many] = partWords[part];
  const was = new Map(before.map((entry) => [entry.key, entry]));
  const is = new Set(after.map(({ key }) => key));
  const changes: PatternChange[] = [];
  for (const { key, name } of before) {
    if (is.has(key)) continue;
    const words = `${one} gone: ${name}.`;
    changes.push({ part, key, what: 'removed', field: null, words });
  }
  for (const entry of after) {
    const old = was.get(entry.key);
    const { key, name } = entry;
    if (old) changes.push(...compareEntries(part, old, entry));
    else {
      const words = `${one} added: ${name}.`;
      changes.push({ part, key, what: 'added', field: null, words });
    }
  }
  const order = (list: readonly Entry[], other: (key: string) => boolean) =>
    list.flatMap(({ key }) => (other(key) ? [key] : [])).join(' ');
  if (order(before, (key) => is.has(key)) !== order(after, (key) => was.has(key))) {
    const words = `The ${many} come in another order.`;
    changes.push({ part, key: null, what: 'reordered', field: null, words });
  }
  return changes;
}

function compareEntries(part: Part, old: Entry, entry: Entry): PatternChange[] {
  const { key, name } = entry;
  const changes: PatternChange[] = [];
  const say = (what: PatternChange['what'], field: string, words: string) =>
    changes.push({ part, key, what, field, words });
  if (old.name !== name) say('changed', 'name', `${old.name}: now called "${name}".`);
  entry.said.forEach(({ field, label, value }, i) => {
    const before = old.said[i]?.value ?? null;
    if (before === value) return;
    const lead = label === '' ? '' : `${label} `;
    const words = `${name}: ${lead}${before ?? 'not said'} -> ${value ?? 'not said'}`;
    say('changed', field, words);
  });
  entry.lists.forEach((list, i) => {
    const before = old.lists[i]?.values ?? [];
    for (const [what, words] of compareValues(before, list)) {
      say(what, list.field, `${name}: ${words}`);
    }
  });
  return changes;
}

function compareValues(
  before: readonly string[],
  { label, values, ordered }: SaidList,
): ['added' | 'removed' | 'reordered', string][] {
  const gone = before.filter((value) => !values.includes(value));
  const come = values.filter((value) => !before.includes(value));
  const kept = (list: readonly string[]) =>
    list.filter((value) => before.includes(value) && values.includes(value)).join('\n');
  return [
    ...gone.map((value) => ['removed', `${label} gone: ${value}`] as ['removed', string]),
    ...come.map((value) => ['added', `${label} added: ${value}`] as ['added', string]),
    ...(ordered && kept(before) !== kept(values)
      ? [['reordered', `another order (${label}): ${values.join('; ')}`] as ['reordered', string]]
      : []),
  ];
}
