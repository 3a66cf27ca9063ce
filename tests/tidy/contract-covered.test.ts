import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { operations } from '../fuzz/requests.ts';

/**
 * What a new route of the contract needs besides itself. Tests that run the service try it; this
 * only says, without a service, what was forgotten.
 */
const text = (path: string) => readFileSync(new URL(`../${path}`, import.meta.url), 'utf8');
const rows = text('fixtures/roles.md')
  .split('\n')
  .map((line) => line.split('|')[1]?.trim());
/** The table of tests/api/lists.test.ts, and the files that it takes parts of it from. */
const lists = readdirSync(new URL('../api', import.meta.url))
  .filter((file) => file.startsWith('lists'))
  .map((file) => text(`api/${file}`))
  .join('\n');
const edits = text('api/edits.test.ts');

describe('a route of the contract', () => {
  test('says who may call it', () => {
    const missing = operations.map(({ route }) => route).filter((route) => !rows.includes(route));
    const help = 'add a row to tests/fixtures/roles.md; tests/api/roles-table.test.ts prints it';
    expect(missing, help).toEqual([]);
  });

  test('that is a list with pages is walked', () => {
    const missing = operations
      .filter(({ parameters }) => parameters.some(({ name }) => name === 'cursor'))
      .filter(({ path }) => !lists.includes(`'${path}'`));
    const help = 'add a line to `lists` in tests/api/lists.test.ts, or lists-of-the-shop.ts';
    expect(
      missing.map(({ route }) => route),
      help,
    ).toEqual([]);
  });

  test('that changes a thing is tried with its ETag', () => {
    const missing = operations
      .filter(({ method }) => method === 'PATCH')
      .filter(({ path }) => !edits.includes(`'${path}'`));
    const help = 'make it with src/http/edit-routes.ts, add a line to tests/api/edits.test.ts';
    expect(
      missing.map(({ route }) => route),
      help,
    ).toEqual([]);
  });
});
