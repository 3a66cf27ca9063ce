import { getIntrospectionQuery } from 'graphql';
import pg from 'pg';
import { afterEach, beforeAll, describe, expect, test, vi } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client } from '../helpers/client.ts';
import { FleetBuilder, greaseTask } from '../helpers/fleet.ts';
import { statementsOf } from '../helpers/graph.ts';

const app = useApp();
let fleet: FleetBuilder;
let admin: Client;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  const patternId = await fleet.pattern(greaseTask);
  for (let i = 0; i < 6; i += 1) {
    await fleet.truck({ patternId, yardId: await fleet.yard(), number: `n${i}` });
  }
  await app.settle();
});

const ask = (query: string, variables: object = {}, more: object = {}, headers = {}) =>
  admin.post('/graphql', { query, variables, ...more }, headers);

const refusal = ({ status, body }: Answer) => {
  expect([status, body.data]).toEqual([400, undefined]);
  return [body.errors[0].extensions.code, body.errors[0].message];
};

describe('what asks for too much is refused before anything is read', () => {
  const many = (n: number, one: (i: number) => string) =>
    Array.from({ length: n }, (_, i) => one(i)).join(' ');
  const tooMuch: [what: string, query: string, said: RegExp][] = [
    ['tokens', `{ ${many(700, () => 'units { __typename }')} }`, /2000 tokens/],
    [
      'depth',
      `{ units(first: 1) { nodes { assets(first: 1) { nodes { unit { assets(first: 1) { nodes {
        unit { assets(first: 1) { nodes { unit { assets(first: 1) { nodes { id }
        } } } } } } } } } } } } }`,
      /^depth: 1\d, at most 12/,
    ],
    ['aliases', `{ ${many(31, (i) => `a${i}: __typename`)} }`, /^(aliases|roots): 31/],
    [
      'aliases inside',
      `{ units(first: 1) { nodes { ${many(31, (i) => `a${i}: number`)} } } }`,
      /^aliases: 31, at most 30/,
    ],
    ['roots', `{ ${many(11, (i) => `a${i}: units(first: 1) { nodes { id } }`)} }`, /^roots: 11/],
    [
      'cost',
      '{ units(first: 100) { nodes { installs(first: 100) { nodes { unit { number } } } } } }',
      /^cost: 20201, at most 20000/,
    ],
    [
      'cost, of edges',
      '{ units(first: 100) { edges { node { installs(first: 100) { edges { node { unit { id }\n' +
        '} } } } } } }',
      /^cost: 20201/,
    ],
    [
      'definitions',
      `{ __typename } ${many(60, (i) => `query q${i} { __typename }`)}`,
      /^definitions/,
    ],
  ];
  test.each(tooMuch)('%s', async (_what, query, said) => {
    const spy = vi.spyOn(pg.Client.prototype, 'query');
    const [code, message] = refusal(await ask(query));
    expect([code, message]).toEqual(['graph_too_large', expect.stringMatching(said)]);
    expect(spy).not.toHaveBeenCalled();
  });

  test('what a variable asks for counts, again and again, compiled or not', async () => {
    const query = `query ($n: Int!) { units(first: $n) { nodes {
      installs(first: $n) { nodes { unit { number } } } } } }`;
    for (let i = 0; i < 8; i += 1) {
      expect((await ask(query, { n: 2 })).body.errors).toBeUndefined();
      expect(refusal(await ask(query, { n: 100 }))[0]).toBe('graph_too_large');
      // What is not a number that `first` takes counts as the most.
      expect(refusal(await ask(query, { n: 1000 }))[0]).toBe('graph_too_large');
      expect(refusal(await ask(query, { n: 'x' }))[0]).toBe('graph_invalid');
    }
  });

  test('fragments are written out, once for every place', async () => {
    const query = `query { ...A ...A ...A ...A }
      fragment A on Query { units(first: 50) { nodes { ...U ...U } } }
      fragment U on Unit { installs(first: 50) { nodes { unit { id } asset { id } } } }`;
    expect(refusal(await ask(query))[1]).toMatch(/^cost: 6\d{4}/);
    const doubling = Array.from(
      { length: 40 },
      (_, i) => `fragment F${i} on Query { ...F${i + 1} ...F${i + 1} }`,
    ).join(' ');
    const bomb = `{ ...F0 } ${doubling} fragment F40 on Query { units { nodes { id } } }`;
    expect(refusal(await ask(bomb))[0]).toBe('graph_too_large');
  });

  test('the schema may be asked for as tools do, and not without end', async () => {
    const { body } = await ask(getIntrospectionQuery());
    expect(body.data.__schema.queryType.name).toBe('Query');
    const deep = `{ __schema { types { fields { type { fields { type { fields { type {
      fields { name } } } } } } } } } }`;
    expect(refusal(await ask(deep))[0]).toBe('graph_invalid');
  });
});

describe('what is not sound is refused with the place', () => {
  const bad: [query: string, said: RegExp, more?: object][] = [
    ['{ units { nodes { nombre } } }', /Cannot query field "nombre" on type "Unit"/],
    ['{ units { ', /Syntax Error/],
    ['mutation { units }', /[Mm]utation/],
    ['subscription { units }', /subscription/],
    ['{ ...A } fragment A on Query { ...A }', /spread/],
    ['query a { __typename } query b { __typename }', /operationName/],
    ['query a { __typename }', /no such operation/, { operationName: 'c' }],
  ];
  test.each(bad)('%s', async (query, said, more) => {
    expect(refusal(await ask(query, {}, more))).toEqual([
      'graph_invalid',
      expect.stringMatching(said),
    ]);
  });

  test('the place of a fault is told', async () => {
    const { body } = await ask('{\n  units { nodes { nombre } } }');
    expect(body.errors[0].extensions.place).toBe('line 2, column 19');
  });

  test('variables that do not fit', async () => {
    const { body } = await ask('query ($id: ID!) { unit(id: $id) { id } }');
    expect(body.errors[0].extensions.code).toBe('graph_invalid');
    const first = await ask('query ($n: Int!) { yards(first: $n) { nodes { id } } }', { n: 0 });
    expect(first.body.errors[0].extensions.code).toBe('query_invalid');
    const cursor = await ask('{ yards(after: "nonsense") { nodes { id } } }');
    expect(cursor.body.errors[0].extensions.code).toBe('cursor_invalid');
    const id = await ask('{ unit(id: "7") { id } }');
    expect(id.body.errors[0].extensions.code).toBe('query_invalid');
    const day = await ask('{ assets { nodes { usage(from: "2026-02-31") { meter } } } }');
    expect(day.body.errors[0].extensions.code).toBe('graph_invalid');
    const range = await ask(
      '{ assets { nodes { usage(from: "2020-01-01", to: "2026-01-01") { meter } } } }',
    );
    expect(range.body.errors[0].extensions.code).toBe('query_invalid');
  });

  test('a body that is no question is a problem like any other', async () => {
    expect(await admin.post('/graphql', { question: 'x' })).toMatchObject({
      status: 400,
      code: 'body_invalid',
    });
    const long = await admin.post('/graphql', { query: '#'.repeat(200_000) });
    expect(long).toMatchObject({ status: 413, code: 'body_too_large' });
  });
});

test('plain JSON for who takes nothing else; else as GraphQL over HTTP has it', async () => {
  const type = (answer: Answer) => [answer.status, answer.headers['content-type']?.split(';')[0]];
  const graphType = 'application/graphql-response+json';
  const plain = { accept: 'application/json' };
  expect(type(await ask('{ __typename }'))).toEqual([200, graphType]);
  expect(type(await ask('{ __typename }', {}, {}, plain))).toEqual([200, 'application/json']);
  expect(type(await ask('{ nothing }'))).toEqual([400, graphType]);
  expect(type(await ask('{ nothing }', {}, {}, plain))).toEqual([200, 'application/json']);
  const both = { accept: `${graphType}, application/json;q=0.9` };
  expect(type(await ask('{ nothing }', {}, {}, both))).toEqual([400, graphType]);
});

test('one text with two operations: each is what it says, compiled or not', async () => {
  const query = 'query a { units(first: 1) { nodes { id } } } query b { yards { nodes { id } } }';
  for (let i = 0; i < 6; i += 1) {
    for (const [operationName, field] of [
      ['a', 'units'],
      ['b', 'yards'],
    ]) {
      const { body } = await ask(query, {}, { operationName });
      expect(Object.keys(body.data)).toEqual([field]);
    }
  }
});

describe('one statement for each edge, however many things there are', () => {
  afterEach(() => void vi.restoreAllMocks());

  const edges: [query: string, statements: number][] = [
    ['yards(first: $n) { nodes { units { nodes { id } } } }', 2],
    ['units(first: $n) { nodes { homeYard { name } presentYard { name } } }', 3],
    ['units(first: $n) { nodes { assets { nodes { serial } } } }', 2],
    ['units(first: $n) { nodes { assets(first: 3) { nodes { installs { nodes { to } } } } } }', 3],
    ['units(first: $n) { nodes { installs { nodes { asset { id } gateway { id } } } } }', 4],
    ['units(first: $n) { nodes { tasks { nodes { name } } } }', 2],
    ['units(first: $n) { nodes { tasks { nodes { asset { unit { number } } } } } }', 4],
    ['assets(first: $n) { nodes { unit { number } usage { total } } }', 3],
    ['gateways(first: $n) { nodes { unit { number } installs { nodes { id } } } }', 3],
    ['gateways(first: $n) { nodes { states health { silentSince suspects { text } } } }', 2],
    // Counters, and where their streams stand.
    ['gateways(first: $n) { nodes { counters { name epochs { epoch } } } }', 3],
    ['bringIn(first: $n) { nodes { unit { number } yard { name } } }', 3],
    [
      'yards(first: $n) { nodes { units(first: 1) { nodes { id } } b: units { nodes { id } } } }',
      3,
    ],
  ];
  test.each(edges)('%s', async (selection, statements) => {
    const query = `query ($n: Int = 20) { ${selection} }`;
    const count = (n: number) => statementsOf(admin, query, { n });
    await count(100);
    expect(await count(1)).toBe(statements);
    for (let i = 0; i < 5; i += 1) expect(await count(100)).toBe(statements);
  });
});

describe('faults of ours are not told', () => {
  test('of one field: the rest is answered', async () => {
    const { owner } = app.db;
    const query = '{ units(first: 1) { nodes { number tasks { nodes { task } } } } }';
    await owner.query(`begin; set local liftwright.fleets = '{1}';
      create table kept as select * from liftwright.upkeep_state;
      update liftwright.upkeep_state set assessment = '{"secret": "x"}'; commit`);
    const { status, body } = await ask(query);
    expect(status).toBe(200);
    expect(body.errors).toMatchObject([{ extensions: { code: 'internal' } }]);
    expect(JSON.stringify(body)).not.toMatch(/undefined|TypeError|secret|stack/);
    expect(app.logged.join()).toContain('TypeError');
    app.logged.length = 0;
    await owner.query(`begin; set local liftwright.fleets = '{1}';
      update liftwright.upkeep_state s set assessment = k.assessment from kept k
        where (k.fleet_id, k.asset_id, k.task_key) = (s.fleet_id, s.asset_id, s.task_key);
      drop table kept; commit`);
    expect((await ask(query)).body.errors).toBeUndefined();
  });

  test('of the database: the whole answer is a problem', async () => {
    const { owner } = app.db;
    await owner.query('alter table liftwright.yard rename to yard_away');
    const query = '{ units(first: 1) { nodes { number homeYard { name } } } }';
    const answer = await ask(query);
    await owner.query('alter table liftwright.yard_away rename to yard');
    expect(answer).toMatchObject({ status: 500, code: 'internal' });
    expect(JSON.stringify(answer.body)).not.toMatch(/relation|yard|select/);
    app.logged.length = 0;
    expect((await ask(query)).body.errors).toBeUndefined();
  });
});
