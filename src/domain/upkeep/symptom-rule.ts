import {
  STOP_TIMES,
  type StopTime,
  SYMPTOMS,
  type Symptom,
  usualSymptoms,
} from '../shop/symptom.ts';
import {
  below,
  note,
  noteRepeats,
  type Report,
  readChoice,
  readChoices,
  readKey,
  readList,
  readObject,
  readText,
} from './document-reader.ts';
import { MAX_SENTENCE, UNIT_FUNCTIONS, type UnitFunction } from './service-point.ts';

/** One thing to ask for, and where to look. */
export interface LikelyCause {
  words: string;
  points: string[];
}

/** What to do when somebody reports a symptom of this kind of equipment. */
export interface SymptomRule {
  symptom: Symptom;
  /** Null: the unit may go on. */
  stop: StopTime | null;
  /** What the stop takes away. */
  functions: UnitFunction[];
  /** Keys of tasks that are due from then on. */
  makesDue: string[];
  /** Likely causes, the first one to be asked for first. */
  askFor: LikelyCause[];
}

export const SYMPTOM_RULE_KEYS = ['symptom', 'stop', 'functions', 'makesDue', 'askFor'];
export const CAUSE_KEYS = ['words', 'points'];
export const MAX_MAKES_DUE = 30;
export const MAX_CAUSES = 20;
export const MAX_CAUSE_POINTS = 50;

function readKeys(report: Report, path: string, value: unknown, max: number): string[] {
  const keys = readList(report, path, value, { max }, (p, v) => readKey(report, p, v));
  noteRepeats(report, path, keys);
  return keys;
}

export function readSymptomRule(report: Report, path: string, value: unknown): SymptomRule {
  const o = readObject(report, path, value, SYMPTOM_RULE_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const rule: SymptomRule = {
    symptom: readChoice(report, at('symptom'), o.symptom, SYMPTOMS),
    stop: o.stop === undefined ? null : readChoice(report, at('stop'), o.stop, STOP_TIMES),
    functions: readChoices(report, at('functions'), o.functions, UNIT_FUNCTIONS),
    makesDue: readKeys(report, at('makesDue'), o.makesDue, MAX_MAKES_DUE),
    askFor: readList(report, at('askFor'), o.askFor, { max: MAX_CAUSES }, (p, v) =>
      readCause(report, p, v),
    ),
  };
  if (o.stop !== undefined && (o.functions === undefined || isEmptyList(o.functions))) {
    note(report, at('functions'), 'must name what the stop takes away');
  }
  if (o.stop === undefined && rule.functions.length > 0) {
    note(report, at('stop'), 'is missing: functions are taken away by a stop only');
  }
  return rule;
}

const isEmptyList = (value: unknown): boolean => Array.isArray(value) && value.length === 0;

function readCause(report: Report, path: string, value: unknown): LikelyCause {
  const o = readObject(report, path, value, CAUSE_KEYS) ?? {};
  return {
    words: readText(report, below(path, 'words'), o.words, MAX_SENTENCE),
    points: readKeys(report, below(path, 'points'), o.points, MAX_CAUSE_POINTS),
  };
}

/** What to do about a symptom where the pattern says so, and otherwise what is usual. */
export function symptomRuleOf(rules: readonly SymptomRule[], symptom: Symptom): SymptomRule {
  const own = rules.find((rule) => rule.symptom === symptom);
  if (own) return own;
  const { stop, functions, causes } = usualSymptoms[symptom];
  const askFor = causes.map((words) => ({ words, points: [] }));
  return { symptom, stop, functions: [...functions], makesDue: [], askFor };
}
