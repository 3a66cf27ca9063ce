import fc from 'fast-check';
import { expect, test } from 'vitest';
import { comparePatterns } from '../../../src/domain/upkeep/compare-patterns.ts';
import { type LiftPattern, parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';
import { firstPatterns } from './first-pattern.ts';
import { richPattern } from './rich-pattern.ts';

type Loose = Record<string, unknown>;

function read(document: unknown): LiftPattern {
  const parsed = parseLiftPattern(document, builtInMeters);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  return parsed.pattern;
}

const sentences = (from: unknown, to: unknown) =>
  comparePatterns(read(from), read(to)).map(({ words }) => words);

/** The rich document with one place changed; undefined takes it away. */
function changed(path: string, to: unknown): Loose {
  const document = structuredClone(richPattern) as Loose;
  const steps = path.split('/').slice(1);
  const last = steps.pop() as string;
  const holder = steps.reduce((at, step) => at[step] as Loose, document);
  if (to === undefined) delete holder[last];
  else holder[last] = to;
  return document;
}

const point = (i: number) => richPattern.servicePoints[i]!;

test.each([
  [
    '/name',
    'Another',
    ['The pattern is called "Another", no longer "A lift that says everything".'],
  ],
  ['/servicePoints/1/quantity/amount', 6, ['Pivot of the crossbar: 4.5 strokes -> 6 strokes']],
  ['/servicePoints/1/quantity', undefined, ['Pivot of the crossbar: 4.5 strokes -> not said']],
  [
    '/servicePoints/0/torque',
    { nm: 90, thread: 'thread_locker' },
    ['Screws of the pivot: 85 Nm, thread with compound -> 90 Nm, thread with compound'],
  ],
  [
    '/servicePoints/0/fastener/threadLocker',
    'high',
    [
      'Screws of the pivot: fastener 6 countersunk, without nuts, compound of medium strength, ' +
        'tightened crosswise, recesses cleaned first -> 6 countersunk, without nuts, compound of ' +
        'high strength, tightened crosswise, recesses cleaned first',
    ],
  ],
  ['/servicePoints/0/liftCritical', false, ['Screws of the pivot: lift-critical yes -> no']],
  [
    '/servicePoints/0/cautions',
    ['PTO out.'],
    [
      'Screws of the pivot: caution gone: The raised lift rests on blocks, never on oil.',
      'Screws of the pivot: caution added: PTO out.',
    ],
  ],
  [
    '/servicePoints/0/liftPosition/blocked',
    undefined,
    [
      'Screws of the pivot: lift position fold unfolded, reach slightly out, height mid, arms ' +
        'removed, crossbar straight, on blocks -> fold unfolded, reach slightly out, height mid, ' +
        'arms removed, crossbar straight',
    ],
  ],
  [
    '/servicePoints/0/limits/0/most',
    99,
    [
      'Screws of the pivot: limit gone: Torque (torque) at least 75 nm, at most 95.5 nm',
      'Screws of the pivot: limit added: Torque (torque) at least 75 nm, at most 99 nm',
    ],
  ],
  [
    '/servicePoints/0/taps',
    ['tightened', 'mark_whole', 'loose'],
    [
      'Screws of the pivot: tap gone: "The witness mark has moved."',
      'Screws of the pivot: tap added: "It is loose."',
      'Screws of the pivot: another order (tap): "At torque, marked anew."; "The witness mark is ' +
        'unbroken."; "It is loose."',
    ],
  ],
  [
    '/tasks/0/every',
    { pto_hours: 40, months: 1 },
    [
      'Grease the pivot: every 50 PTO hours or 150 lift cycles or 30 days -> 40 PTO hours or ' +
        '1 months',
    ],
  ],
  ['/tasks/0/severity/salt', undefined, ['Grease the pivot: severity gone: salt 150 %']],
  ['/tasks/2/name', 'Rope', ['Look over the rope: now called "Rope".']],
  ['/tasks/2/work', 'look', ['Look over the rope: work as usual for each point -> look']],
  ['/wearParts/0/limit', 0.9, ['Thrust washer: limit 0.8 mm -> 0.9 mm']],
  [
    '/wearParts/0/takeUp/mostTurns',
    3,
    [
      'Thrust washer: taken up at Screws of the pivot, 1.25 a turn, at most 2 turns -> at Screws ' +
        'of the pivot, 1.25 a turn, at most 3 turns',
    ],
  ],
  [
    '/wearParts/0/priorLife/fold_cycles',
    7000,
    [
      'Thrust washer: expected life 900.5 PTO hours or 6000 fold cycles -> 900.5 PTO hours or ' +
        '7000 fold cycles',
    ],
  ],
  [
    '/functionNeeds/1/functions',
    ['wheel_lift', 'boom'],
    ['What the function dollies rests on: function added: boom'],
  ],
  [
    '/symptomRules/0/stop',
    'at_once',
    ['"The crossbar swings off square while lining up.": stop after drop -> at once'],
  ],
  [
    '/symptomRules/0/makesDue',
    ['grease'],
    [
      '"The crossbar swings off square while lining up.": task called due gone: Look over the rope',
      '"The crossbar swings off square while lining up.": task called due added: Grease the pivot',
    ],
  ],
  [
    '/symptomRules/1',
    undefined,
    ['Rule for a symptom gone: "Everything is slow, or one function is.".'],
  ],
])('%s to %j: %j', (path, to, words) => {
  const document = changed(path, to);
  if (path === '/symptomRules/1') document.symptomRules = [richPattern.symptomRules[0]];
  expect(sentences(richPattern, document)).toEqual(words);
});

test('what comes, goes and changes places', () => {
  const extra = { ...point(1), key: 'boom_pin', name: 'Boom pin' };
  const servicePoints = [point(1), point(0), extra, point(2)];
  expect(sentences(richPattern, { ...richPattern, servicePoints })).toEqual([
    'Service point added: Boom pin.',
    'The service points come in another order.',
  ]);
  const fewer = { ...richPattern, wearParts: [richPattern.wearParts[0]], functionNeeds: [] };
  expect(comparePatterns(read(richPattern), read(fewer))).toEqual([
    {
      part: 'wear_part',
      key: 'pad',
      what: 'removed',
      field: null,
      words: 'Wear part gone: Wear pad.',
    },
    ...['road', 'dollies'].map((name) => ({
      part: 'function_need',
      key: `${name}/1`,
      what: 'removed',
      field: null,
      words: `Need gone: What the function ${name} rests on.`,
    })),
  ]);
});

test('points of one name are told apart by their keys', () => {
  const twin = { ...point(1), key: 'twin' };
  const servicePoints = [...richPattern.servicePoints, twin];
  const at = (points: string[]) => {
    const tasks = [{ ...richPattern.tasks[0], points }, ...richPattern.tasks.slice(1)];
    return { ...richPattern, servicePoints, tasks };
  };
  expect(sentences(at(['pivot']), at(['twin']))).toEqual([
    'Grease the pivot: service point gone: Pivot of the crossbar (pivot)',
    'Grease the pivot: service point added: Pivot of the crossbar (twin)',
  ]);
});

test('nothing is otherwise in the same document, and something in every other', () => {
  fc.assert(
    fc.property(firstPatterns, firstPatterns, ({ document: one }, { document: other }) => {
      expect(sentences(one, structuredClone(one))).toEqual([]);
      const different = JSON.stringify(read(one)) !== JSON.stringify(read(other));
      expect(sentences(one, other).length > 0).toBe(different);
      for (const words of sentences(one, other)) expect(words.length).toBeLessThan(2000);
    }),
    { numRuns: 100 },
  );
});

/** Every figure and every choice of the document, changed: none goes unnoticed. */
test('no field is left out', () => {
  const unnoticed: string[] = [];
  let tried = 0;
  const walk = (value: unknown, path: string) => {
    if (value !== null && typeof value === 'object') {
      for (const [key, each] of Object.entries(value)) walk(each, `${path}/${key}`);
      return;
    }
    const others: unknown[] = [true, false, 'hose', 'left', 'folded', 'in', 'down', 'stowed'];
    others.push('swung_left', 'mm', 'turns', 'never', 'dry', 'g', 'hex', 'high', 'any', 'none');
    others.push('boom', 'admin', 'clean', 'look', 'worn', 'leak', 'at_once', 'rope_drum', 'road');
    others.push('Something else said here.', 'KP1K-20', 7, 0.7, 80.5, 1.05, 'arm_cycles', 3);
    for (const other of others.filter((each) => each !== value && typeof each === typeof value)) {
      const document = changed(path, other);
      const parsed = parseLiftPattern(document, builtInMeters);
      if (!parsed.ok) continue;
      tried += 1;
      const same = JSON.stringify(parsed.pattern) === JSON.stringify(read(richPattern));
      const told = comparePatterns(read(richPattern), parsed.pattern).length > 0;
      if (told === same) unnoticed.push(`${path} ${String(other)}`);
    }
  };
  walk(richPattern, '');
  expect(unnoticed).toEqual([]);
  expect(tried).toBeGreaterThan(150);
});
