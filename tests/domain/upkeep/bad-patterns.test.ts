import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { liftPatternSchema } from '../../../src/domain/upkeep/lift-pattern-schema.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';
import { badPatterns, spoilt } from './bad-patterns.ts';
import { richPattern } from './rich-pattern.ts';

const fits = new Ajv2020({ strict: false }).compile(liftPatternSchema());

test('the sound document is sound', () => {
  expect(parseLiftPattern(richPattern, builtInMeters)).toMatchObject({ ok: true });
  expect(fits(richPattern)).toBe(true);
});

test.each(badPatterns.map((each) => [each.what, each] as const))('%s is refused', (_, each) => {
  const document = spoilt(each);
  const parsed = parseLiftPattern(document, builtInMeters);
  if (parsed.ok) throw new Error('it was taken');
  const { path } = each;
  const reason = expect.stringContaining(each.reason);
  expect(parsed.problems).toContainEqual({ path, reason });
  expect(fits(document)).toBe(each.pastSchema === true);
});

test('they are of many kinds', () => {
  const kinds = new Set(badPatterns.map(({ at, reason }) => `${at.replace(/\d+/g, '')} ${reason}`));
  expect(kinds.size).toBeGreaterThan(50);
  expect(badPatterns.some(({ pastSchema }) => pastSchema)).toBe(true);
});
