import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';
import { firstPatterns } from './first-pattern.ts';

type Entries = Record<string, unknown>;
interface Recorded {
  document: unknown;
  reading: Entries;
}

/**
 * Documents that were accepted before patterns had symptom rules, and what they were read as then.
 */
const recorded: Recorded[] = JSON.parse(
  readFileSync(
    new URL('../../fixtures/patterns/first-shape.json', import.meta.url),
    'utf8',
  ) as string,
);

function read(document: unknown): Entries {
  const parsed = parseLiftPattern(document, builtInMeters);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  return parsed.pattern as unknown as Entries;
}

/** The reading without what the first shape did not know. */
function asThen(pattern: Entries, then: Entries): Entries {
  const lists = ['servicePoints', 'tasks', 'wearParts'];
  return Object.fromEntries(
    Object.entries(then).map(([name, value]) => {
      if (!lists.includes(name)) return [name, pattern[name]];
      const known = value as Entries[];
      const now = pattern[name] as Entries[];
      expect(now).toHaveLength(known.length);
      return [name, now.map((entry, i) => onlyOf(entry, known[i] as Entries))];
    }),
  );
}

/** A task's cautions come from its points too; they are held against the recorded readings. */
function onlyOf(entry: Entries, then: Entries): Entries {
  return Object.fromEntries(Object.keys(then).map((key) => [key, entry[key]]));
}

/** What an entry may say today that it did not say then, and what it says when nobody asked. */
const unasked: Record<string, unknown> = {
  limits: [],
  work: null,
  priorLife: [],
  quantity: 1,
};
const added: Record<string, string[]> = {
  servicePoints: ['taps', 'limits'],
  tasks: ['work'],
  wearParts: ['priorLife', 'quantity', 'grows'],
};

test.each(recorded.map((each, i) => [i, each] as const))(
  'recorded document %i is read as it was then',
  (_i, { document, reading }) => {
    const now = read(document);
    expect(asThen(now, reading)).toEqual(reading);
    expect(now).toMatchObject({ functionNeeds: [], symptomRules: [] });
    for (const [list, names] of Object.entries(added)) {
      const entries = now[list] as Entries[];
      const then = reading[list] as Entries[];
      entries.forEach((entry, i) => {
        const before = Object.keys(then[i] as Entries);
        const news = Object.keys(entry).filter((key) => !before.includes(key));
        expect(news.sort()).toEqual([...names].sort());
        for (const name of news.filter((each) => each in unasked)) {
          expect(entry[name]).toEqual(unasked[name]);
        }
      });
    }
  },
);

test('every document of the first shape is accepted and means the same', () => {
  fc.assert(
    fc.property(firstPatterns, ({ document, meaning }) => {
      const now = read(document);
      const { tasks, ...rest } = asThen(now, meaning);
      const { tasks: then, ...others } = meaning;
      expect(rest).toEqual(others);
      const withoutCautions = (list: unknown) =>
        (list as Entries[]).map(({ cautions: _, ...task }) => task);
      expect(withoutCautions(tasks)).toEqual(withoutCautions(then));
      (tasks as { cautions: string[] }[]).forEach(({ cautions }, i) => {
        const own = (then as { cautions: string[] }[])[i]!.cautions;
        expect(cautions).toEqual(expect.arrayContaining(own));
      });
    }),
    { numRuns: 300 },
  );
});
