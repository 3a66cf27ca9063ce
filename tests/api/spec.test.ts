import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { contractTexts } from '../../openapi/document.ts';
import { refusals } from '../../src/domain/usage/reading-intake.ts';
import { foldVerdicts, verdictReasons } from '../../src/domain/usage/verdict.ts';
import { useApp } from '../helpers/app.ts';
import { contract, contractFaults } from '../helpers/contract.ts';

const app = useApp();

test('the committed contract is what the routes say; if not: npm run spec', async () => {
  const committed = await readFile(new URL('../../openapi/openapi.json', import.meta.url), 'utf8');
  const { openApi, graph } = await contractTexts();
  expect(committed).toBe(openApi);
  expect(await readFile('openapi/schema.graphql', 'utf8')).toBe(graph);
});

test('every documented route is there, and no route of the API is left out', async () => {
  const documented = Object.entries(contract.paths).flatMap(([path, operations]) =>
    Object.keys(operations).map((method) => `${method.toUpperCase()} ${path}`),
  );
  for (const route of documented) {
    const [method, path] = route.split(' ') as ['GET' | 'POST', string];
    const url = path.replace(/\{(\w+)\}/g, ':$1');
    expect([route, app.app.hasRoute({ method, url })]).toEqual([route, true]);
  }
  const tree = app.app.printRoutes({ commonPrefix: false });
  const count = tree.match(/\((?:GET|POST|PUT|PATCH|DELETE)[^)]*\)/g)?.length ?? 0;
  const others = tree.match(/\bdocs\b/g)?.length ?? 0;
  expect(others).toBeGreaterThan(0);
  expect(count).toBeGreaterThanOrEqual(Object.keys(contract.paths).length);
});

test('every operation says who may, what it takes and what it answers', () => {
  for (const [path, operations] of Object.entries(contract.paths)) {
    for (const [method, operation] of Object.entries(operations)) {
      const { security, summary, tags, responses, requestBody, parameters } = operation as {
        security?: unknown[];
        summary?: string;
        tags?: string[];
        responses: Record<string, unknown>;
        requestBody?: unknown;
        parameters?: { name: string; in: string }[];
      };
      const at = `${method} ${path}`;
      expect([at, (security?.length ?? 0) > 0]).toEqual([at, /^\/(v1\/|graphql$)/.test(path)]);
      expect([at, summary]).toEqual([at, expect.stringMatching(/^[A-Z].{5,}/)]);
      expect([at, tags?.length]).toEqual([at, 1]);
      expect(Object.keys(responses)).toEqual(expect.arrayContaining(['4XX', '5XX']));
      expect([at, requestBody !== undefined]).toEqual([at, method !== 'get']);
      const named = [...path.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
      const inPath = (parameters ?? []).filter((each) => each.in === 'path');
      expect([at, inPath.map((each) => each.name)]).toEqual([at, named]);
    }
  }
});

test('no answer and no body is left without its shape', () => {
  const empty: string[] = [];
  const look = (node: unknown, path: string): void => {
    if (node === null || typeof node !== 'object') return;
    for (const [key, value] of Object.entries(node)) {
      if (key === 'schema' && Object.keys(value).length === 0) empty.push(path);
      look(value, `${path}/${key}`);
    }
  };
  look(contract, '');
  expect(empty).toEqual([]);
});

test('the check of answers against the contract can fail', () => {
  const json = 'application/json; charset=utf-8';
  const check = (status: number, body: unknown, type = json, url = '/v1/yards') =>
    contractFaults('GET', url, { status, type, body });
  expect(check(200, { items: [] })).toEqual([]);
  expect(check(200, { items: [{}] })).not.toEqual([]);
  expect(check(200, {})).toEqual([expect.stringContaining("required property 'items'")]);
  expect(check(201, { items: [] })).toEqual(['201 as application/json is not in the contract']);
  expect(check(404, {}, json)).toEqual(['404 as application/json is not in the contract']);
  expect(check(404, {}, 'application/problem+json')).not.toEqual([]);
  expect(check(200, {}, json, '/v1/tea')).toEqual(['GET /v1/tea is not in the contract']);
  expect(check(304, { items: [] })).toEqual(['a 304 with a body']);
});

test('the documents are served: the contract as JSON, and pages for people', async () => {
  const client = app.client(null);
  const served = await client.call({ url: '/docs/json', undocumented: true });
  expect(served.body.paths).toEqual(contract.paths);
  const pages = ['/docs/problems', '/docs/import', '/docs/lift-cycles', '/docs/lift-patterns'];
  for (const url of ['/docs', ...pages]) {
    const page = await client.call({ url, undocumented: true });
    expect([url, page.status, page.headers['content-type']?.split(';')[0]]).toEqual([
      url,
      200,
      'text/html',
    ]);
  }
});

test('the page of problems says what each word about a reading means', async () => {
  const page = await app.client(null).call({ url: '/docs/problems', undocumented: true });
  for (const word of [...refusals, ...foldVerdicts, ...verdictReasons]) {
    expect(page.body).toMatch(new RegExp(`<code>${word}</code></td><td>[A-Z][^<]{10}`));
  }
});
