import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { patterns } from '../../../src/demo/company.ts';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { liftPatternSchema } from '../../../src/domain/upkeep/lift-pattern-schema.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';
import { firstPatterns } from './first-pattern.ts';
import { richPattern } from './rich-pattern.ts';

const ajv = new Ajv2020({ strict: false, allErrors: false });
const fits = ajv.compile(liftPatternSchema());
const problemsOf = (document: unknown) => {
  const parsed = parseLiftPattern(document, builtInMeters);
  return parsed.ok ? [] : parsed.problems.map(({ path, reason }) => `${path} ${reason}`);
};

/** What only the parser can say, because it needs two places of the document, or arithmetic. */
const beyondASchema: readonly [rule: string, says: RegExp][] = [
  ['keys are unique in their list', / repeats "/],
  ['a point or task that is named exists', / no (service point|task) has the key "/],
  ['a figure is a whole number of the smallest parts of its unit', / must be a whole multiple of /],
  ['a part has something left to wear', / is the nominal value/],
  ['a part wears the way its figures say', / contradicts the figures/],
  ['near lies between nominal and limit', / must lie between nominal and limit$/],
  ['an expected life is by a meter that wears the part', / is not one of the meters that wear it$/],
  ['a limit leaves room', / is less than least/],
  ['no function rests on itself', / would rest on itself$/],
  ['no text holds half of a character', / must not hold half of a character$/],
];

/** The schema is never stricter than the parser, and the parser only by the rules above. */
function agree(document: unknown): { good: boolean; rules: string[] } {
  const problems = problemsOf(document);
  const good = problems.length === 0;
  const fitting = fits(document);
  if (good) {
    expect(fits.errors ?? [], JSON.stringify(document)).toEqual([]);
    expect(fitting).toBe(true);
  }
  if (!fitting || good) return { good, rules: [] };
  const rules = problems.map(
    (problem) => beyondASchema.find(([, says]) => says.test(problem))?.[0] ?? problem,
  );
  const known = beyondASchema.map(([rule]) => rule);
  expect(
    rules.filter((rule) => !known.includes(rule)),
    JSON.stringify(document),
  ).toEqual([]);
  return { good, rules };
}

const clone = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };
interface Place {
  holder: { [key: string]: Json } | Json[];
  key: string | number;
}

function placesOf(value: Json, places: Place[] = []): Place[] {
  if (value === null || typeof value !== 'object') return places;
  const keys = Array.isArray(value) ? value.map((_, i) => i) : Object.keys(value);
  for (const key of keys) {
    places.push({ holder: value as Place['holder'], key });
    placesOf((value as { [key: string]: Json })[key] as Json, places);
  }
  return places;
}

const at = ({ holder, key }: Place): Json => (holder as { [key: string]: Json })[key] as Json;
const put = ({ holder, key }: Place, value: Json) => {
  (holder as { [key: string]: Json })[key] = value;
};

const oddValues: Json[] = [
  [null, true, false, 0, 1, 2, -1, 0.5, 0.0001, 1.1, 2.75, 12, 501, 10_001, 1e9, 1e21],
  ['', ' ', 'x', 'X y', 'a\u0007b', 'pivot', 'wheel_lift', 'road', 'fastener', 'thread_locker'],
  ['lift', 'winch', 'chassis', 'dolly_set', 'winch_cycles', 'no', 'mm', 'at_once', 'leak'],
  ['ü'.repeat(60), '🔧'.repeat(119), '🔧'.repeat(121), 'y'.repeat(301), 'half \ud83d'],
  [[], {}, ['x'], [7], ['pivot', 'pivot'], { days: 1, months: 1 }, { pto_hours: 0.001 }],
].flat(1) as Json[];

interface Change {
  kind: number;
  where: number;
  from: number;
  odd: number;
}

/** Changes one place: gone, odd, doubled, taken from elsewhere in the document, or one key more. */
function apply(document: Json, { kind, where, from, odd }: Change): void {
  const places = placesOf(document);
  const place = places[where % places.length] as Place;
  const other = clone(at(places[from % places.length] as Place));
  const oddOne = clone(oddValues[odd % oddValues.length] as Json);
  const value = at(place);
  if (kind === 0 && !Array.isArray(place.holder)) delete place.holder[place.key as string];
  else if (kind === 1) put(place, oddOne);
  else if (kind === 2) put(place, other);
  else if (kind === 3 && Array.isArray(place.holder)) place.holder.push(clone(value));
  else if (value !== null && typeof value === 'object' && !Array.isArray(value)) {
    value[typeof other === 'string' ? other.slice(0, 40) : 'further'] = oddOne;
  } else if (typeof value === 'number') put(place, value + (odd - 20) / 4);
  else put(place, oddOne);
}

const changes = fc.array(
  fc.record({
    kind: fc.nat(5),
    where: fc.nat(2000),
    from: fc.nat(2000),
    odd: fc.nat(60),
  }),
  { minLength: 1, maxLength: 3 },
);
const sound = [richPattern, ...Object.values(patterns)];

describe('the published schema of a lift pattern', () => {
  test('is a sound schema of draft 2020-12, and describes what the parser takes', () => {
    expect(ajv.validateSchema(liftPatternSchema())).toBe(true);
    expect(liftPatternSchema().$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    for (const document of sound) expect(agree(clone(document)).good).toBe(true);
  });

  test('agrees with the parser on sound documents of any make', () => {
    fc.assert(
      fc.property(firstPatterns, ({ document }) => {
        expect(agree(document).good).toBe(true);
      }),
      { numRuns: 150 },
    );
  });

  test('agrees with the parser on spoilt documents', { timeout: 60_000 }, () => {
    const seen = { good: 0, bad: 0, rules: new Set<string>() };
    fc.assert(
      fc.property(fc.constantFrom(...sound), changes, (document, list) => {
        const spoilt = clone(document) as Json;
        for (const change of list) apply(spoilt, change);
        const { good, rules } = agree(spoilt);
        seen[good ? 'good' : 'bad'] += 1;
        for (const rule of rules) seen.rules.add(rule);
      }),
      { numRuns: 4000 },
    );
    expect(seen.good).toBeGreaterThan(100);
    expect(seen.bad).toBeGreaterThan(1000);
    // Which of them chance meets differs from run to run.
    expect(seen.rules.size).toBeGreaterThan(0);
  });

  test.each([null, 7, 'x', [], true])('%j fits neither', (document) => {
    expect(fits(document)).toBe(false);
    expect(problemsOf(document)).not.toEqual([]);
  });
});
