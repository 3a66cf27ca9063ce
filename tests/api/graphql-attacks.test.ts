import pg from 'pg';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, greaseTask } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  const patternId = await fleet.pattern(greaseTask);
  for (let i = 0; i < 130; i += 1) await fleet.asset();
  for (const number of ['n1', 'n2']) await fleet.truck({ patternId, number });
  await app.settle();
});

const ask = async (query: string, variables: object = {}) =>
  (await fleet.client.post('/graphql', { query, variables })).body;

const refusal = async (query: string, variables: object = {}) => {
  const { data, errors } = await ask(query, variables);
  expect(data).toBeUndefined();
  return [errors[0].extensions.code, errors[0].message];
};

const times = (n: number, one: (i: number) => string) =>
  Array.from({ length: n }, (_, i) => one(i)).join(' ');

test('no statement of a question runs after its transaction', async () => {
  const spy = vi.spyOn(pg.Client.prototype, 'query');
  const textOf = ([first]: unknown[]) =>
    typeof first === 'string' ? first : ((first as { text?: string })?.text ?? '');
  // The yards are refused while all the others are still to be read.
  const query = `{ units { nodes { id tasks { nodes { task } } } } yards(first: 0) { nodes { id } }
    assets { nodes { installs { nodes { id } } } } gateways { nodes { id } }
    bringIn { nodes { rank } } }`;
  for (let i = 0; i < 6; i += 1) {
    spy.mockClear();
    expect((await ask(query)).errors[0].extensions.code).toBe('query_invalid');
    // Whatever were still to come would come before the answers to these.
    for (let j = 0; j < 5; j += 1) await app.db.pools.app.query('select 1');
    const said = spy.mock.calls.map(textOf);
    const later = said.slice(said.indexOf('commit') + 1);
    expect(later.filter((text) => text !== 'select 1')).toEqual([]);
  }
  spy.mockRestore();
});

describe('small questions that would cost much', () => {
  test('fragments of values alone that double, compiled or not', async () => {
    const doubling = times(40, (i) => `fragment F${i} on Unit { ...F${i + 1} ...F${i + 1} }`);
    const bomb = `{ units(first: 1) { nodes { ...F0 } } } ${doubling} fragment F40 on Unit { id }`;
    for (let i = 0; i < 5; i += 1) {
      expect(await refusal(bomb)).toEqual([
        'graph_too_large',
        expect.stringMatching(/^selections: \d+, at most 2000/),
      ]);
    }
  });

  test('the schema under other names at each level', async () => {
    const names = (field: string, inner: string) => times(10, (i) => `a${i}: ${field} ${inner}`);
    const fields = names('fields', `{ type { ${names('fields', '{ name }')} } }`);
    expect(await refusal(`{ __schema { types { ${fields} } } }`)).toEqual([
      'graph_too_large',
      'aliases of the schema itself: 110, at most 0.',
    ]);
    expect((await refusal('{ a: __schema { types { name } } }'))[0]).toBe('graph_too_large');
    const spread = '{ __schema { ...S } } fragment S on __Schema { a: types { name } }';
    expect((await refusal(spread))[0]).toBe('graph_too_large');
  });

  test('a year of use of every asset', async () => {
    const use = (args: string) => `usage${args} { days { day } }`;
    const query = (args: string) =>
      `{ ${times(4, (i) => `a${i}: assets(first: 50) { nodes { ${use(args)} } }`)} }`;
    const year = '(from: "2025-03-01", to: "2026-03-01")';
    expect((await refusal(query(year)))[1]).toMatch(/^cost: 20\d\d\d, at most 20000/);
    expect((await ask(query(''))).errors).toBeUndefined();
  });

  test('one text under many names', async () => {
    const names = times(29, (i) => `a${i}: note`);
    const query = `{ units(first: 100) { nodes { assets(first: 20) { nodes { ${names} } } } } }`;
    expect((await refusal(query))[1]).toMatch(/^cost: \d{5}, at most 20000/);
  });

  test('variables that every row would be asked for with', async () => {
    const query = `query ($s: [TaskStatus!]) {
      units { nodes { tasks(status: $s) { nodes { task } } } } }`;
    const s = Array.from({ length: 2_000 }, () => 'ahead');
    expect(await refusal(query, { s })).toEqual([
      'graph_too_large',
      'characters of variables: 16007, at most 10000.',
    ]);
    expect((await ask(query, { s: s.slice(0, 100) })).errors).toBeUndefined();
  });

  test('what was sent is not sent back at length', async () => {
    const { errors } = await ask(`{ ${'x'.repeat(40_000)} }`);
    expect(JSON.stringify(errors).length).toBeLessThan(1_000);
  });
});

test('the same fault of many rows is told a hundred times at most', async () => {
  const unitId = await fleet.unit(await fleet.yard());
  const assets = await fleet.client.all('/v1/assets');
  const winches = assets.filter(({ unitId: on }) => on === null).slice(0, 110);
  for (const { assetId } of winches) await fleet.install(unitId, { assetId });
  const names = times(
    2,
    (i) => `a${i}: assets(first: 100) { nodes { unit {
    tasks(after: "x") { nodes { task } } } } }`,
  );
  const { errors } = await ask(`{ ${names} }`);
  expect(errors).toHaveLength(100);
  expect(errors[0].extensions.code).toBe('cursor_invalid');
});

test('no number at all is refused as the fault that it is', async () => {
  const query = 'query ($n: Int) { yards(first: $n) { nodes { id } } }';
  expect(await refusal(query, { n: null })).toEqual([
    'graph_invalid',
    'first: $n must not be null.',
  ]);
  expect((await ask(query)).errors).toBeUndefined();
  expect(app.logged).toEqual([]);
});

test('what is skipped in one place is told in another, however often it is asked', async () => {
  const query = `query ($no: Boolean!) { units(first: 1) { nodes { ...N @skip(if: $no) ...N } } }
    fragment N on Unit { number }`;
  for (let i = 0; i < 6; i += 1) {
    const { data } = await ask(query, { no: true });
    expect(data.units.nodes).toEqual([{ number: 'n1' }]);
  }
});
