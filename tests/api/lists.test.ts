import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { contract } from '../helpers/contract.ts';
import { FleetBuilder, greaseTask } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  const patternId = await fleet.pattern(greaseTask);
  const document = {
    name: 'Second',
    assetKind: 'lift',
    servicePoints: [],
    tasks: [],
    wearParts: [],
  };
  expect((await fleet.client.post('/v1/patterns', { patternId, document })).code).toBe(
    'pattern_invalid',
  );
  for (let i = 0; i < 3; i += 1) {
    const { unitId } = await fleet.truck({ patternId });
    const body = { kind: 'dust', unitId, fromDay: '2026-01-01' };
    await fleet.client.made('/v1/severities', body);
  }
  await app.settle();
});

/** Lists with pages, and the word that tells their rows apart. */
const lists: [url: string, id: string][] = [
  ['/v1/yards', 'yardId'],
  ['/v1/units', 'unitId'],
  ['/v1/assets', 'assetId'],
  ['/v1/gateways', 'gatewayId'],
  ['/v1/installs', 'installId'],
  ['/v1/patterns', 'patternId'],
  ['/v1/severities', 'severityId'],
  ['/v1/bring-in', 'unitId'],
];
const cursorOf = (...parts: unknown[]) => Buffer.from(JSON.stringify(parts)).toString('base64url');

describe.each(lists)('%s', (url, id) => {
  test('page by page it is the whole list, each row once', async () => {
    const whole = await fleet.client.all(url);
    expect(whole.length).toBeGreaterThanOrEqual(url === '/v1/patterns' ? 1 : 3);
    expect(new Set(whole.map((row) => row[id])).size).toBe(whole.length);
    expect(await fleet.client.all(url, 1)).toEqual(whole);
    expect(await fleet.client.all(url, 2)).toEqual(whole);
  });

  test('cursors that this list never gave are refused', async () => {
    const made = [
      'x',
      '%00',
      Buffer.from('7').toString('base64url'),
      cursorOf(),
      cursorOf('x'),
      cursorOf('\u0000'),
      cursorOf('x', 'x'),
      cursorOf('\u0000', '01900000-0000-7000-8000-000000000000'),
      cursorOf('01900000-0000-7000-8000-000000000000', 1.5),
      cursorOf('x', 1),
      cursorOf(1, 'x', 'x'),
      cursorOf(1, '2026-02-30', '01900000-0000-7000-8000-000000000000'),
      cursorOf(1e10, '2026-02-20', '01900000-0000-7000-8000-000000000000'),
      cursorOf(1, '2026-02-20', '01900000-0000-7000-8000-000000000000', 1),
      cursorOf({ a: 1 }, null),
    ];
    for (const cursor of made) {
      const answer = await fleet.client.get(`${url}?cursor=${cursor}`);
      // a well-formed text is a place in a list of texts
      const place = url === '/v1/units' && cursor === cursorOf('x');
      const expected = place ? [200, undefined] : [400, 'cursor_invalid'];
      expect([cursor, answer.status, answer.code]).toEqual([cursor, ...expected]);
    }
    const long = await fleet.client.get(`${url}?cursor=${'x'.repeat(501)}`);
    expect([long.status, long.code]).toEqual([400, 'query_invalid']);
  });
});

test('every list of the contract is bounded: a page, or a list with a greatest length', () => {
  const unbounded: string[] = [];
  const look = (node: unknown, path: string): void => {
    if (node === null || typeof node !== 'object') return;
    const { type, maxItems } = node as { type?: unknown; maxItems?: unknown };
    const fixed = 'prefixItems' in node;
    if (type === 'array' && typeof maxItems !== 'number' && !fixed) unbounded.push(path);
    for (const [key, value] of Object.entries(node)) look(value, `${path}/${key}`);
  };
  look(contract, '');
  expect(unbounded.filter((path) => !/\/(example|required|enum)\b/.test(path))).toEqual([]);
  const paged = Object.entries(contract.paths).flatMap(([path, operations]) => {
    const parameters = (operations.get as { parameters?: { name: string }[] })?.parameters ?? [];
    return parameters.some(({ name }) => name === 'cursor') && !path.includes('{') ? [path] : [];
  });
  expect(paged.sort()).toEqual(lists.map(([url]) => url).sort());
});
