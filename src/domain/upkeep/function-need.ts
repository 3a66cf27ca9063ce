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

/**
 * What a function of the unit rests on: other functions, without which it cannot be had, and
 * service points that must be sound for it though they serve another. A lift that does not lock
 * folded takes the road away.
 */
export interface FunctionNeed {
  function: UnitFunction;
  functions: UnitFunction[];
  points: string[];
  /** Why, for whoever asks why the function is not to be had. */
  words: string;
}

export const NEED_KEYS = ['function', 'functions', 'points', 'words'];
export const MAX_NEEDS = 20;
export const MAX_NEED_POINTS = 100;

export function readFunctionNeed(report: Report, path: string, value: unknown): FunctionNeed {
  const o = readObject(report, path, value, NEED_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const need: FunctionNeed = {
    function: readChoice(report, at('function'), o.function, UNIT_FUNCTIONS),
    functions: readChoices(report, at('functions'), o.functions, UNIT_FUNCTIONS),
    points: readList(report, at('points'), o.points, { max: MAX_NEED_POINTS }, (p, v) =>
      readKey(report, p, v),
    ),
    words: readText(report, at('words'), o.words, MAX_SENTENCE),
  };
  noteRepeats(report, at('points'), need.points);
  if (need.functions.length === 0 && need.points.length === 0) {
    note(report, path, 'must name functions or points that it rests on');
  }
  return need;
}

/** A function that rests on itself, also by way of others, could never be told. */
export function noteCircles(report: Report, path: string, needs: readonly FunctionNeed[]): void {
  needs.forEach((need, i) => {
    const reached = new Set<UnitFunction>(need.functions);
    for (const each of reached) {
      for (const other of needs) {
        if (other.function !== each) continue;
        for (const further of other.functions) reached.add(further);
      }
    }
    if (reached.has(need.function)) {
      note(report, `${path}/${i}/functions`, `"${need.function}" would rest on itself`);
    }
  });
}
