import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { FleetBuilder, greaseTask } from '../helpers/fleet.ts';
import { graph, nodesOf, statementsOf } from '../helpers/graph.ts';

const app = useApp();
let fleet: FleetBuilder;
let admin: Client;
const unitIds: string[] = [];

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  const patternId = await fleet.pattern(greaseTask);
  const [driver, lead] = [await fleet.person(['driving']), await fleet.person(['lead'])];
  const yardId = await fleet.yard();
  for (let i = 0; i < 3; i += 1) {
    const { unitId } = await fleet.truck({ yardId, patternId });
    unitIds.push(unitId);
    const url = `/v1/units/${unitId}`;
    const told = { loadOnHook: i === 1, signature: driver.signature };
    const words = ['slow', 'oil_hot', 'creeps_down_loaded'];
    for (const symptom of words.slice(0, i + 1)) {
      await admin.made(`${url}/symptoms`, { ...told, symptom, words: 'at the first car' });
    }
    const { symptomId } = await admin.made(`${url}/symptoms`, { ...told, symptom: 'slow' });
    if (i === 2) {
      const closing = { how: 'unnecessary', words: 'cold oil', signature: lead.signature };
      await admin.made(`${url}/symptoms/${symptomId}/close`, closing);
    }
    if (i > 0) await admin.made(`${url}/incidents`, { ...told, kind: 'overload', words: 'a van' });
    const defects = i === 0 ? [] : [{ item: 'tires', words: 'cut', affectsSafety: i === 2 }];
    for (const shift of ['before', 'after']) {
      const { signature } = driver;
      await admin.made(`${url}/walk-rounds`, { shift, defects, signature });
    }
  }
  await app.settle();
});

const idOf = (id: string | null) => id && { id };
const byName = ({ name }: Json) => ({ name });
const symptom = `id symptom means words loadOnHook reports state outcome cameBackOf noticedAt toldAt
  lastToldAt closed { how words by { name } at } unit { id } asset { id } card { id }`;
const incident = `id kind means words loadOnHook happenedAt toldAt by { name } state outcome
  closed { how words } unit { id } card { id }`;
const walkRound = `id shift walkedAt by { name } via recordedAt waitsFor reviewed { at by { name } }
  defects { id item means words affectsSafety findingId reports certified { how words } }
  unit { id }`;

test('what drivers tell reads as in REST, open or not, in pages of any size', async () => {
  let all = 0;
  for (const unitId of unitIds) {
    const read = async (what: string, more = '') => {
      const rows = await admin.all(`/v1/units/${unitId}/${what}${more}`);
      all += rows.length;
      return rows;
    };
    const symptoms = (rows: Json[]) =>
      rows.map(({ symptomId: id, unitId: on, assetId, cardId, closed, ...row }) => ({
        ...{ id, ...row, closed: closed && { ...closed, by: byName(closed.by) } },
        ...{ unit: { id: on }, asset: idOf(assetId), card: idOf(cardId) },
      }));
    const query = `query ($id: ID!, $n: Int!, $open: Boolean) { unit(id: $id) {
      symptoms(first: $n, open: $open) { nodes { ${symptom} } }
      incidents(first: $n, open: $open) { nodes { ${incident} } }
      walkRounds(first: $n) { nodes { ${walkRound} } pageInfo { hasNextPage } } } }`;
    for (const open of [null, true, false]) {
      const more = open === null ? '' : `?open=${open}`;
      const { unit } = await graph(admin, query, { id: unitId, n: 100, open });
      expect(unit.symptoms.nodes).toEqual(symptoms(await read('symptoms', more)));
      expect(unit.incidents.nodes).toEqual(
        (await read('incidents', more)).map(
          ({ incidentId: id, unitId: on, cardId, by, closed, ...row }) => ({
            ...{ id, ...row, by: byName(by), closed, unit: { id: on }, card: idOf(cardId) },
          }),
        ),
      );
      expect(unit.walkRounds.nodes).toEqual(
        (await read('walk-rounds')).map(({ walkRoundId: id, unitId: on, by, defects, ...row }) => ({
          ...{ id, ...row, by: byName(by), unit: { id: on } },
          defects: defects.map(({ defectId, ...defect }: Json) => ({ id: defectId, ...defect })),
        })),
      );
      const first = (await graph(admin, query, { id: unitId, n: 1, open })).unit;
      expect(first.symptoms.nodes).toEqual(unit.symptoms.nodes.slice(0, 1));
      expect(first.walkRounds.nodes).toEqual(unit.walkRounds.nodes.slice(0, 1));
      expect(first.walkRounds.pageInfo.hasNextPage).toBe(true);
    }
  }
  expect(all).toBeGreaterThan(30);
});

test('one statement for each edge, and one more for the defects of all walk-rounds', async () => {
  const edges: [selection: string, statements: number][] = [
    ['symptoms { nodes { asset { id } unit { number } } }', 4],
    ['incidents { nodes { unit { number } } }', 3],
    ['walkRounds(first: 5) { nodes { defects { item } } }', 3],
  ];
  for (const [selection, statements] of edges) {
    const query = `query ($n: Int) { units(first: $n) { nodes { ${selection} } } }`;
    for (const n of [2, 100, 100, 100, 100]) {
      expect([selection, await statementsOf(admin, query, { n })]).toEqual([selection, statements]);
    }
  }
});

test('units lead to what drivers told of them, page by page', async () => {
  const nodes = await nodesOf(admin, 'units', 'id symptoms(first: 1) { nodes { symptom } }', 1);
  expect(nodes.map(({ id }) => id).toSorted()).toEqual(unitIds.toSorted());
  expect(nodes.every((node) => node.symptoms.nodes.length === 1)).toBe(true);
});
