import { beforeAll, describe, expect, test } from 'vitest';
import { recordFinding } from '../../src/flows/record-finding.ts';
import { withWork } from '../../src/flows/work.ts';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { FleetBuilder, greaseTask, hourMs, type Signing, startMs, text } from '../helpers/fleet.ts';
import { graph, nodesOf, statementsOf } from '../helpers/graph.ts';

const app = useApp();
const nobody = '01900000-0000-7000-8000-000000000000';
let fleet: FleetBuilder;
let admin: Client;
let lead: Signing;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  lead = await fleet.person(['lead', 'lift_work', 'lift_check']);
  const patternId = await fleet.pattern(greaseTask);
  const office = await app.as('lead');
  for (let i = 0; i < 4; i += 1) {
    const { personId } = await fleet.person(['lift_work'], { passesNeeded: i });
    const given = { competence: 'driving', evidence: 'a course', signature: lead.signature };
    await office.made(`/v1/people/${personId}/competences`, given);
    const yardId = await fleet.yard();
    const { unitId, liftId } = await fleet.truck({ yardId, patternId, number: `n${i}` });
    for (let k = 0; k <= i; k += 1) {
      const from = startMs + k * hourMs;
      await admin.made('/v1/visits', {
        ...{ unitId, yardId, bay: `${i}`, from: text(from), to: text(from + hourMs) },
      });
      await admin.made(`/v1/units/${unitId}/stops`, {
        kind: 'defect',
        functions: [k % 2 ? 'road' : 'wheel_lift'],
        effect: 'no',
        effective: k === 1 ? 'after_drop' : 'at_once',
        reason: `bent ${k}`,
      });
      await withWork(app.deps, 1, (work) =>
        recordFinding(
          work,
          { personId: lead.personId, keyId: nobody, name: 'A. Penn' },
          {
            ...{ unitId, assetId: liftId, pointKey: 'crossbar_pivot', part: `part ${k}` },
            ...{ grade: k === 2 ? 'unfit' : 'keep_watch', words: 'worn', mendByDay: null },
            ...{ mendByUse: null, source: { kind: 'person', id: null } },
          },
        ),
      );
    }
  }
  await app.settle();
});

describe('the graph says what REST says', () => {
  test('of people and what they may do, whatever the size of pages', async () => {
    const wanted = await Promise.all(
      (await admin.all('/v1/people')).map(async ({ personId }) => {
        const { personId: id, ...person } = await admin.read(`/v1/people/${personId}`);
        const given = await admin.all(`/v1/people/${personId}/competences`);
        return {
          id,
          ...person,
          competences: {
            nodes: given.map(({ competenceId, personId: _, givenByPersonId, ended, ...row }) => ({
              id: competenceId,
              ...row,
              givenBy: givenByPersonId && { id: givenByPersonId },
              endReason: ended,
            })),
          },
        };
      }),
    );
    expect(wanted.length).toBe(5);
    const selection = `id name pinSetAt leftAt createdAt
      mayNow { competence competenceId passesLeft }
      competences { nodes { id competence from to evidence passesNeeded givenAt
        givenBy { id } endReason } }`;
    for (const first of [1, 2, 100]) {
      expect(await nodesOf(admin, 'people', selection, first)).toEqual(wanted);
    }
  });

  test('of visits, and the visits of a unit', async () => {
    const selection = `id bay from to canSpareFrom backBy agreedBy note createdAt
      unit { id } yard { id }`;
    const shown = ({ visitId: id, unitId, yardId, cancelled: _, ...row }: Json) => ({
      id,
      ...row,
      unit: { id: unitId },
      yard: { id: yardId },
    });
    const wanted = (await admin.all('/v1/visits')).map(shown);
    expect(wanted.length).toBe(10);
    expect(await nodesOf(admin, 'visits', selection, 3)).toEqual(wanted);
    for (const node of await nodesOf(admin, 'units', `id visits { nodes { ${selection} } }`)) {
      const of = wanted.filter(({ unit }) => unit.id === node.id);
      expect(node.visits.nodes).toEqual(of);
      const first = await graph(
        admin,
        `query ($id: ID!) { unit(id: $id) { visits(first: 1) { nodes { id }
          pageInfo { hasNextPage endCursor } } } }`,
        { id: node.id },
      );
      const { nodes, pageInfo } = first.unit.visits;
      expect([nodes[0]?.id, pageInfo.hasNextPage]).toEqual([of[0]?.id, of.length > 1]);
    }
  });
});

describe('of what a unit may do', () => {
  const idOf = (id: string | null) => id && { id };

  test('the stops and findings that are open, or not, on it and on what is on it', async () => {
    const selection = `id kind state effect functions limits effective reason cause { kind id }
      until placedAt placedBy { personId name } whoCanClear droppedAt clearedAt
      unit { id } asset { id } finding { id }`;
    const found = `id point part grade words functions mendByDay mendByUse reports foundAt gradedAt
      closed { how at words by { name } cardId } unit { id } asset { id }`;
    const query = `query ($id: ID!, $open: Boolean, $n: Int) { unit(id: $id) {
      stops(open: $open, first: $n) { nodes { ${selection} } pageInfo { hasNextPage } }
      findings(open: $open, first: $n) { nodes { ${found} } } } }`;
    let stops = 0;
    for (const { unitId } of await admin.all('/v1/units')) {
      for (const open of [true, false, null]) {
        const more = open === null ? '' : `?open=${open}`;
        const wanted = await admin.all(`/v1/units/${unitId}/stops${more}`);
        const findings = await admin.all(`/v1/units/${unitId}/findings${more}`);
        const { unit } = await graph(admin, query, { id: unitId, open, n: 100 });
        expect(unit.stops.nodes).toEqual(
          wanted.map(({ stopId: id, unitId: on, assetId, findingId, ...row }) => ({
            ...{ id, ...row, unit: { id: on }, asset: idOf(assetId), finding: idOf(findingId) },
          })),
        );
        expect(unit.findings.nodes).toEqual(
          findings.map(({ findingId: id, unitId: on, assetId, ...row }) => ({
            ...{ id, ...row, unit: { id: on }, asset: idOf(assetId) },
          })),
        );
        stops += wanted.length;
        const first = await graph(admin, query, { id: unitId, open, n: 1 });
        expect(first.unit.stops.nodes).toEqual(unit.stops.nodes.slice(0, 1));
        expect(first.unit.stops.pageInfo.hasNextPage).toBe(wanted.length > 1);
      }
    }
    expect(stops).toBeGreaterThan(20);
  });

  const reason = `what id kind effect text through since until whoCanClear knownAt ageOfData`;
  const selection = `event yardName heardAt functions { function answer limits limitsText until
    reasons { ${reason} } moreReasons notes { ${reason} } moreNotes }`;

  test('its readiness, all of it or of one function', async () => {
    const query = `query ($id: ID!) { unit(id: $id) { readiness { ${selection} unit { id } }
      lift: readiness(function: wheel_lift) { functions { function answer } } } }`;
    for (const { unitId } of await admin.all('/v1/units')) {
      const {
        at: _,
        number: __,
        yardId: ___,
        ...row
      } = await admin.read(`/v1/units/${unitId}/readiness`);
      const { unitId: id, ...wanted } = row;
      const { unit } = await graph(admin, query, { id: unitId });
      expect(unit.readiness).toEqual({ ...wanted, unit: { id } });
      expect(unit.lift.functions).toEqual(
        wanted.functions
          .filter((each: Json) => each.function === 'wheel_lift')
          .map(({ function: of, answer }: Json) => ({ function: of, answer })),
      );
    }
  });

  test('which units may take a call, by function, answer, yard, in any pages', async () => {
    const [{ yardId }] = await admin.all('/v1/yards');
    const asked: [args: string, query: string][] = [
      ['', ''],
      ['function: road', 'function=road'],
      ['function: wheel_lift, answers: [no, limited]', 'function=wheel_lift&answer=no,limited'],
      [`yardId: "${yardId}"`, `yardId=${yardId}`],
    ];
    for (const [args, query] of asked) {
      const wanted = await admin.all(`/v1/readiness?${query}`);
      expect(wanted.length).toBeGreaterThan(0);
      const shown = wanted.map(({ functions, unitId }) => ({ unit: { id: unitId }, functions }));
      for (const first of [1, 3, 100]) {
        const nodes = await nodesOf(
          admin,
          `readiness(${args})`,
          selection.replace('event yardName heardAt', 'unit { id }'),
          first,
        );
        expect(nodes).toEqual(shown);
      }
    }
  });
});

test('people are shown to roles that may see them, and never with a secret', async () => {
  const parts = await app.as('parts');
  const query = '{ people { nodes { name } } units(first: 1) { nodes { number } } }';
  const { body } = await parts.post('/graphql', { query });
  expect([body.data.people, body.errors[0].extensions.code]).toEqual([null, 'role_not_allowed']);
  expect(body.data.units.nodes).toHaveLength(1);
  const { __schema } = await graph(
    admin,
    '{ __schema { types { name fields { name } inputFields { name } } } }',
  );
  const { fields } = __schema.types.find(({ name }: Json) => name === 'Person');
  expect(fields.filter(({ name }: Json) => /hash|token|^pin$/i.test(name))).toEqual([]);
});

describe('one statement for each edge, however many things there are', () => {
  const edges: [selection: string, statements: number][] = [
    ['people(first: $n) { nodes { mayNow { competence } } }', 2],
    ['people(first: $n) { nodes { competences { nodes { givenBy { name } } } } }', 3],
    ['units(first: $n) { nodes { stops { nodes { finding { grade } asset { serial } } } } }', 4],
    ['units(first: $n) { nodes { findings(open: true) { nodes { asset { serial } } } } }', 3],
    ['units(first: $n) { nodes { jobCards { nodes { follows { id } } } } }', 2],
    ['units(first: $n) { nodes { visits { nodes { yard { name } unit { number } } } } }', 4],
  ];
  test.each(edges)('%s', async (selection, statements) => {
    const count = (n: number) =>
      statementsOf(admin, `query ($n: Int = 20) { ${selection} }`, { n });
    for (const n of [3, 100, 100, 100, 100]) expect(await count(n)).toBe(statements);
  });

  test('readiness takes as many for one unit as for all', async () => {
    const query = 'query ($n: Int) { units(first: $n) { nodes { readiness { event } } } }';
    const one = await statementsOf(admin, query, { n: 1 });
    expect(one).toBeLessThanOrEqual(12);
    for (const n of [2, 100]) expect(await statementsOf(admin, query, { n })).toBe(one);
  });
});
