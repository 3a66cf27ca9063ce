import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, startMs, text } from '../helpers/fleet.ts';
import { graph, statementsOf } from '../helpers/graph.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let admin: Client;
const liftIds: string[] = [];

beforeAll(async () => {
  const fleet = new FleetBuilder(app);
  admin = fleet.client;
  const lead = await fleet.person(['lead']);
  const [yardId, patternId] = [await fleet.yard(), await wearPatternId(fleet)];
  await app.goTo(startMs + 20 * dayMs);
  for (let i = 0; i < 3; i += 1) {
    const { liftId } = await fleet.truck({ yardId, patternId });
    liftIds.push(liftId);
    const url = `/v1/assets/${liftId}`;
    const at = (day: number) => text(startMs + day * dayMs);
    for (let k = 0; k <= i; k += 1) {
      const body = { part: 'pad', points: ['left_pad'], fittedAt: at(k * 3), fittedBy: 'A. Penn' };
      const { lives } = await admin.made(`${url}/part-lives`, { ...body, lot: `lot ${k}` });
      const removal = { at: at(k * 3 + 2), why: 'worn', removedBy: 'A. Penn' };
      if (k < i) await admin.made(`${url}/part-lives/${lives[0].lifeId}/remove`, removal);
      const size = { point: 'left_pad', part: 'pad', unit: 'mm', measuredBy: 'A. Penn' };
      const found = await admin.made(`${url}/measurements`, {
        ...{ ...size, value: 9.5 - k, at: at(k * 3 + 1), tool: 'caliper', wiped: true },
      });
      if (k !== 1) continue;
      const { signature } = lead;
      const said = { decision: 'withdrawn', reason: 'not wiped', name: 'A. Penn', signature };
      const decide = `${url}/measurements/${found.measurementId}/decisions`;
      await admin.post(decide, said);
    }
  }
  await app.settle();
});

const life = `id part point setId state fittedAt priorLife priorUse { meter value } continues
  makerNumber supplier lot removed { at why movedTo } recordedAt asset { id }`;
const measured = `id point part at value unit error gauge tool wiped temperatureC note verdict
  heldAgainst { key unit nominal near limit least most } useThen { meter unit value } state
  decisions { decision by reason at } findingId stepId personId measuredBy recordedAt asset { id }`;

test('parts and measurements read as in REST, in pages of any size', async () => {
  const query = `query ($id: ID!, $n: Int!) { asset(id: $id) {
    partLives(first: $n) { nodes { ${life} } pageInfo { hasNextPage } }
    measurements(first: $n) { nodes { ${measured} } } } }`;
  let all = 0;
  for (const id of liftIds) {
    const lives = await admin.all(`/v1/assets/${id}/part-lives`);
    const rows = await admin.all(`/v1/assets/${id}/measurements`);
    const { asset } = await graph(admin, query, { id, n: 100 });
    expect(asset.partLives.nodes).toEqual(
      lives.map(({ lifeId, assetId, use: _, warranty: __, priorUse, ...row }) => ({
        ...{ id: lifeId, ...row, asset: { id: assetId } },
        priorUse: priorUse.map(({ meter, value }: Json) => ({ meter, value })),
      })),
    );
    expect(asset.measurements.nodes).toEqual(
      rows.map(
        ({ measurementId, assetId, lifeId: _, rule: __, questionedAgainst: ___, ...row }) => ({
          ...{ id: measurementId, ...row, asset: { id: assetId } },
        }),
      ),
    );
    const first = (await graph(admin, query, { id, n: 1 })).asset;
    expect(first.partLives.nodes).toEqual(asset.partLives.nodes.slice(0, 1));
    expect(first.partLives.pageInfo.hasNextPage).toBe(lives.length > 1);
    expect(first.measurements.nodes).toEqual(asset.measurements.nodes.slice(0, 1));
    all += lives.length + rows.length;
  }
  expect(all).toBe(12);
});

test('two statements for each, however many assets there are', async () => {
  for (const what of ['partLives', 'measurements']) {
    const query = `query ($n: Int) { assets(first: $n) { nodes { ${what} { nodes { id } } } } }`;
    for (const n of [2, 100, 100, 100, 100]) {
      expect([what, await statementsOf(admin, query, { n })]).toEqual([what, 3]);
    }
  }
});
