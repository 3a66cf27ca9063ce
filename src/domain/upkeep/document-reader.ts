/**
 * Reading a document somebody else wrote, without trusting any of it. Readers note what is wrong
 * at a JSON pointer (RFC 6901) and go on with a stand-in value, so that one pass finds all
 * problems; a document with problems is never used, so the stand-ins never leave.
 */
export interface Problem {
  path: string;
  reason: string;
}

export interface Report {
  problems: Problem[];
  /** Problems found after `MAX_PROBLEMS`; counted, not kept. */
  omitted: number;
}

export const MAX_PROBLEMS = 100;
const MAX_PATH_STEP = 80;
export const KEY_PATTERN = '^[a-z][a-z0-9_]{0,47}$';
const KEY_SHAPE = new RegExp(KEY_PATTERN, 'u');
const DECIMAL_SHAPE = /^(\d+)(?:\.(\d{1,6}))?$/;

export type JsonObject = Readonly<Record<string, unknown>>;

export function newReport(): Report {
  return { problems: [], omitted: 0 };
}

export function note(report: Report, path: string, reason: string): void {
  if (report.problems.length < MAX_PROBLEMS) report.problems.push({ path, reason });
  else report.omitted += 1;
}

/** `path` with one more step, escaped and cut to a readable length. */
export function below(path: string, step: string | number): string {
  const text = String(step).slice(0, MAX_PATH_STEP);
  return `${path}/${text.replaceAll('~', '~0').replaceAll('/', '~1')}`;
}

/** An object with no keys but `known`; null when it is none. */
export function readObject(
  report: Report,
  path: string,
  value: unknown,
  known: readonly string[],
): JsonObject | null {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    note(report, path, 'must be an object');
    return null;
  }
  for (const key of Object.keys(value)) {
    if (!known.includes(key)) note(report, below(path, key), 'is not a known key');
  }
  // A copy without a prototype: "constructor" is then as absent as any other key.
  return Object.assign(Object.create(null), value) as JsonObject;
}

/** Each element through `read`; an absent list is empty unless `min` says otherwise. */
export function readList<T>(
  report: Report,
  path: string,
  value: unknown,
  bounds: { min?: number; max: number },
  read: (path: string, element: unknown) => T,
): T[] {
  if (value === undefined && !bounds.min) return [];
  if (!Array.isArray(value)) {
    note(report, path, value === undefined ? 'is missing' : 'must be a list');
    return [];
  }
  if (value.length < (bounds.min ?? 0)) note(report, path, `needs at least ${bounds.min}`);
  if (value.length > bounds.max) {
    note(report, path, `has ${value.length} entries; at most ${bounds.max} are allowed`);
  }
  return value.slice(0, bounds.max).map((element, i) => read(below(path, i), element));
}

export function readText(report: Report, path: string, value: unknown, max: number): string {
  if (value === undefined) note(report, path, 'is missing');
  else if (typeof value !== 'string') note(report, path, 'must be text');
  else if (value.trim() === '') note(report, path, 'must not be empty');
  else if (isLonger(value, max)) note(report, path, `is longer than ${max} characters`);
  else if (/\p{Cc}/u.test(value)) note(report, path, 'must not hold control characters');
  else if (!value.isWellFormed()) note(report, path, 'must not hold half of a character');
  else return value.trim();
  return '';
}

/** By characters, as a JSON Schema counts them, not by the units that they are stored in. */
function isLonger(text: string, max: number): boolean {
  return text.length > max && (text.length > 2 * max || [...text].length > max);
}

/** A short name used by other parts of the document: 'crossbar_pivot'. */
export function readKey(report: Report, path: string, value: unknown): string {
  if (typeof value === 'string' && KEY_SHAPE.test(value)) return value;
  const reason = 'must be a key: a lower-case letter, then up to 47 letters, digits or _';
  note(report, path, value === undefined ? 'is missing' : reason);
  return '';
}

export function readFlag(report: Report, path: string, value: unknown): boolean {
  if (value === undefined || typeof value === 'boolean') return value ?? false;
  note(report, path, 'must be true or false');
  return false;
}

/** One of a closed list; `fallback` when absent, or a problem when there is none. */
export function readChoice<T extends string>(
  report: Report,
  path: string,
  value: unknown,
  choices: readonly T[],
  fallback?: T,
): T {
  if (value === undefined && fallback !== undefined) return fallback;
  const chosen = choices.find((choice) => choice === value);
  if (chosen !== undefined) return chosen;
  note(report, path, value === undefined ? 'is missing' : `must be one of: ${choices.join(', ')}`);
  return choices[0]!;
}

/** Distinct members of a closed list, in the order given. */
export function readChoices<T extends string>(
  report: Report,
  path: string,
  value: unknown,
  choices: readonly T[],
  min = 0,
): T[] {
  const bounds = { min, max: choices.length };
  const list = readList(report, path, value, bounds, (at, v) => readChoice(report, at, v, choices));
  noteRepeats(report, path, list);
  return list;
}

export function noteRepeats(report: Report, path: string, keys: readonly string[]): void {
  const seen = new Set<string>();
  keys.forEach((key, i) => {
    if (key !== '' && seen.has(key)) note(report, below(path, i), `repeats "${key}"`);
    seen.add(key);
  });
}

/** Entries of a list whose key another entry has already. */
export function noteRepeatedKeys(
  report: Report,
  path: string,
  list: readonly { key: string }[],
): void {
  const seen = new Set<string>();
  list.forEach(({ key }, i) => {
    if (key !== '' && seen.has(key)) note(report, `${path}/${i}/key`, `repeats "${key}"`);
    seen.add(key);
  });
}

/** A whole number of `1 / scale` parts, between the bounds given in whole units. */
export function readScaled(
  report: Report,
  path: string,
  value: unknown,
  scale: number,
  bounds: { min: number; max: number; above?: boolean },
): number {
  const low = bounds.above ? 'above' : 'at least';
  const range = `must be a number ${low} ${bounds.min} and at most ${bounds.max}`;
  if (typeof value !== 'number' || !(value <= bounds.max)) {
    note(report, path, value === undefined ? 'is missing' : range);
  } else if (bounds.above ? !(value > bounds.min) : !(value >= bounds.min)) {
    note(report, path, range);
  } else {
    const parts = exactParts(value, scale);
    if (parts !== null) return parts;
    note(report, path, `must be a whole multiple of 1/${scale}`);
  }
  return 0;
}

/**
 * value × scale as an integer, worked out on the decimal digits that the author wrote: 0.05 × 3600
 * is 180, where binary floating point would only come close. Null when it is no integer, when the
 * value is negative, or when it has more than 6 decimals.
 */
export function exactParts(value: number, scale: number): number | null {
  const parts = DECIMAL_SHAPE.exec(String(value));
  if (!parts) return null;
  const decimals = parts[2] ?? '';
  const divisor = 10 ** decimals.length;
  const product = Number(parts[1] + decimals) * scale;
  if (!Number.isSafeInteger(product) || product % divisor !== 0) return null;
  return product / divisor;
}
