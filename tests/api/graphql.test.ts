import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, hourMs, run, startMs, text } from '../helpers/fleet.ts';
import { graph, nodesOf } from '../helpers/graph.ts';

const app = useApp();
let fleet: FleetBuilder;
let admin: Client;

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  admin = fleet.client;
  const patternId = await fleet.pattern(greaseTask, { ...greaseTask, key: 'look', name: 'Look' });
  const north = await fleet.yard();
  const south = await fleet.yard();
  for (let i = 0; i < 7; i += 1) {
    const yardId = i % 2 ? north : south;
    const { unitId, gateway } = await fleet.truck({ yardId, patternId, number: `n${i}` });
    const doneMs = startMs - (5 + 6 * i) * dayMs;
    for (const task of ['grease', 'look']) await fleet.done(unitId, task, doneMs);
    const at = startMs - 2 * dayMs;
    await gateway.one(run(0, [at, 100], [at + 4 * hourMs, 100 + 10 * i]));
    if (i < 2) {
      const during = { from: text(startMs), to: text(startMs + hourMs) };
      const agreed = { backBy: text(startMs + dayMs), agreedBy: i ? 'D. Ochoa' : undefined };
      await admin.made('/v1/visits', { unitId, yardId, bay: `${i}`, ...during, ...agreed });
      await admin.made(`/v1/units/${unitId}/tasks/look/calls`, { words: 'stood in a flood' });
    }
    if (i === 3) await fleet.install(unitId, { assetId: await fleet.asset('winch') });
  }
  await app.settle();
});

describe('the graph says what REST says', () => {
  const same: [field: string, selection: string, url: string, show: (row: Json) => Json][] = [
    [
      'yards',
      'id name timeZone createdAt',
      '/v1/yards',
      ({ yardId: id, name, timeZone, createdAt }) => ({ id, name, timeZone, createdAt }),
    ],
    [
      'units',
      'id number note homeYard { id } presentYard { id }',
      '/v1/units',
      ({ unitId: id, number, note, homeYardId, presentYardId }) => ({
        id,
        number,
        note,
        homeYard: homeYardId && { id: homeYardId },
        presentYard: presentYardId && { id: presentYardId },
      }),
    ],
    [
      'assets',
      'id kind serial patternId patternVersion unit { id }',
      '/v1/assets',
      ({ assetId: id, kind, serial, patternId, patternVersion, unitId }) => ({
        id,
        kind,
        serial,
        patternId,
        patternVersion,
        unit: unitId && { id: unitId },
      }),
    ],
    [
      'installs',
      'id from to note unit { id } asset { id } gateway { id }',
      '/v1/installs',
      ({ installId: id, from, to, note, unitId, assetId, gatewayId }) => ({
        id,
        from,
        to,
        note,
        unit: { id: unitId },
        asset: assetId && { id: assetId },
        gateway: gatewayId && { id: gatewayId },
      }),
    ],
    [
      'gateways',
      'id serial note createdAt lastPostAt',
      '/v1/gateways',
      ({ gatewayId: id, serial, note, createdAt, lastPostAt }) => ({
        id,
        serial,
        note,
        createdAt,
        lastPostAt,
      }),
    ],
    [
      'bringIn',
      'rank status pressOn moreReasons assessedAt reasons { assetId task status rank text } ' +
        'visit { visitId yardId bay from to canSpareFrom backBy agreed } ' +
        'unit { id number } yard { id name }',
      '/v1/bring-in',
      ({ unitId, number, yardId, yardName, ...row }) => ({
        ...row,
        unit: { id: unitId, number },
        yard: yardId && { id: yardId, name: yardName },
      }),
    ],
  ];

  test.each(same)('%s, whatever the size of pages', async (field, selection, url, show) => {
    const wanted = (await admin.all(url)).map(show);
    expect(wanted.length).toBeGreaterThan(1);
    for (const first of [1, 2, 3, 100]) {
      expect(await nodesOf(admin, field, selection, first)).toEqual(wanted);
    }
  });

  test('the bring-in list by yard, status and days ahead', async () => {
    const [yard] = await admin.all('/v1/yards');
    const filtered = async (args: string, query: string) => {
      const rows = (await admin.all(`/v1/bring-in?${query}`)).map((row) => row.number);
      const nodes = await nodesOf(admin, `bringIn(${args})`, 'unit { number }', 2);
      expect(nodes.map((node) => node.unit.number)).toEqual(rows);
      return rows.length;
    };
    const all = await filtered('withinDays: 3650', 'withinDays=3650');
    expect(await filtered(`yardId: "${yard.yardId}"`, `yardId=${yard.yardId}`)).toBeLessThan(all);
    const status = 'status=overrun,in_window';
    expect(await filtered('status: [overrun, in_window]', status)).toBeLessThan(all);
    expect(await filtered('withinDays: 1', 'withinDays=1')).toBeLessThan(all);
  });

  test('the tasks of every unit, and the assets and installs on it', async () => {
    const selection = `id assets { nodes { id kind } } installs { nodes { id } }
      tasks(first: 2) { nodes { task name status knownStatus driver overrunSince reasons cautions
        called { day cause what calls }
        assessedAt unknownBecause asset { id } unit { id } effect { effect functions }
        deferral { state } opens { day past by noDay } full { day past by noDay }
        limit { day past by noDay } measures { measure unit used most known silentSince noDay
          opens { at left day past } full { at left day past } limit { at left day past } } } }`;
    for (const node of await nodesOf(admin, 'units', selection)) {
      const { tasks } = await admin.read(`/v1/units/${node.id}/tasks`);
      const shown = tasks.map(({ assetId, forecast, ...task }: Json) => ({
        ...task,
        asset: { id: assetId },
        unit: { id: node.id },
      }));
      expect(node.tasks.nodes).toEqual(shown);
      const installs = await admin.all(`/v1/installs?unitId=${node.id}`);
      const ids = installs.map(({ installId }) => ({ id: installId }));
      expect(node.installs.nodes).toEqual(ids);
      const here = (await admin.all('/v1/assets')).filter(({ unitId }) => unitId === node.id);
      const kinds = here.map(({ assetId, kind }) => ({ id: assetId, kind }));
      expect(node.assets.nodes).toEqual(kinds);
    }
    const late = await nodesOf(admin, 'units', 'tasks(status: [overrun]) { nodes { status } }');
    const statuses = late.flatMap((node) => node.tasks.nodes.map((task: Json) => task.status));
    expect([...new Set(statuses)]).toEqual(['overrun']);
  });

  test('use of every asset, by meter and day', async () => {
    const use = 'meter unit total totalGrains adjusted days { day use grains }';
    const range = 'from: "2026-02-01", to: "2026-03-03"';
    let days = 0;
    for (const node of await nodesOf(admin, 'assets', `id usage(${range}) { ${use} }`)) {
      const query = 'from=2026-02-01&to=2026-03-03';
      const { meters } = await admin.read(`/v1/assets/${node.id}/usage?${query}`);
      expect(node.usage).toEqual(meters);
      days += meters.flatMap((meter: Json) => meter.days).length;
    }
    expect(days).toBeGreaterThan(3);
    const [first] = await nodesOf(admin, 'assets', 'usage(meter: "lift_cycles") { meter }', 1);
    expect(first.usage).toEqual([]);
  });

  test('the counters of a gateway with their epochs', async () => {
    const counter =
      'name meter resolution widthBits scope controller basis basisVersion ' +
      'epochs { epoch cause contiguous highest }';
    for (const node of await nodesOf(admin, 'gateways', `id counters { ${counter} }`)) {
      const { counters } = await admin.read(`/v1/gateways/${node.id}/counters`);
      const shown = counters.map(({ counter: name, ...rest }: Json) => ({ name, ...rest }));
      expect(node.counters).toEqual(shown);
    }
  });

  test('events, by number', async () => {
    const selection = 'number type subject data personal occurredAt recordedAt hash';
    const { items } = await admin.read('/v1/events?limit=500');
    const shown = items.map(({ personalDigest: _, ...event }: Json) => event);
    expect(await nodesOf(admin, 'events', selection, 7)).toEqual(shown);
    const after = await nodesOf(admin, 'events(afterNumber: 5)', 'number', 100);
    expect(after[0].number).toBe(6);
  });
});

test('edges have cursors, and the page says what is before and after', async () => {
  const page = (args: string) =>
    graph(
      admin,
      `{ units(${args}) { edges { cursor node { number } } pageInfo {
      hasNextPage hasPreviousPage startCursor endCursor } } }`,
    );
  const first = (await page('first: 2')).units;
  const cursors = first.edges.map((edge: Json) => edge.cursor);
  expect(first.pageInfo).toEqual({
    hasNextPage: true,
    hasPreviousPage: false,
    startCursor: cursors[0],
    endCursor: cursors[1],
  });
  const second = (await page(`first: 100, after: "${cursors[0]}"`)).units;
  expect(second.edges[0]).toEqual(first.edges[1]);
  expect(second.pageInfo).toMatchObject({ hasNextPage: false, hasPreviousPage: true });
});

test('an edge at the end of an edge is paged within each parent', async () => {
  const data = await graph(
    admin,
    `{ yards { nodes { name
    two: units(first: 2) { nodes { number } pageInfo { hasNextPage endCursor } }
    all: units { nodes { number } } } } }`,
  );
  for (const { two, all } of data.yards.nodes) {
    expect(two.nodes).toEqual(all.nodes.slice(0, 2));
    expect(two.pageInfo.hasNextPage).toBe(all.nodes.length > 2);
  }
});

describe('an edge is walked from page to page', () => {
  const walk = async (url: string, parent: string, edge: string, node: string): Promise<Json[]> => {
    const query = `query ($id: ID!, $first: Int!, $after: String) {
      ${parent}(id: $id) { ${edge}(first: $first, after: $after) {
        nodes { ${node} } pageInfo { hasNextPage endCursor } } } }`;
    let most: Json[] = [];
    for (const { [`${parent}Id`]: id } of await admin.all(url)) {
      const all = (await graph(admin, query, { id, first: 100 }))[parent][edge];
      const walked: Json[] = [];
      let after: string | null = null;
      do {
        const page: Json = (await graph(admin, query, { id, first: 1, after }))[parent][edge];
        walked.push(...page.nodes);
        after = page.pageInfo.hasNextPage ? page.pageInfo.endCursor : null;
      } while (after !== null && walked.length <= all.nodes.length);
      expect(walked).toEqual(all.nodes);
      if (walked.length > most.length) most = walked;
    }
    return most;
  };

  test('tasks, assets and installs of a unit', async () => {
    expect((await walk('/v1/units', 'unit', 'tasks', 'task')).map(({ task }) => task)).toEqual([
      'grease',
      'look',
    ]);
    expect(await walk('/v1/units', 'unit', 'assets', 'id')).toHaveLength(2);
    expect(await walk('/v1/units', 'unit', 'installs', 'id')).toHaveLength(3);
  });

  test('installs of an asset and of a gateway', async () => {
    expect(await walk('/v1/assets', 'asset', 'installs', 'id')).toHaveLength(1);
    expect(await walk('/v1/gateways', 'gateway', 'installs', 'id')).toHaveLength(1);
  });

  test('units of a yard', async () => {
    const query = `query ($after: String) { yards { nodes {
      units(first: 1, after: $after) { nodes { number } } all: units { nodes { number } } } } }`;
    const [first] = (await graph(admin, query)).yards.nodes;
    const [n0, n2] = first.all.nodes;
    expect(first.units.nodes).toEqual([n0]);
    const after = Buffer.from(JSON.stringify([n0.number])).toString('base64url');
    expect((await graph(admin, query, { after })).yards.nodes[0].units.nodes).toEqual([n2]);
  });
});

test('one thing by its id; of another fleet, or none, it is null', async () => {
  const [unit] = await admin.all('/v1/units');
  const [asset] = await admin.all('/v1/assets');
  const [gateway] = await admin.all('/v1/gateways');
  const query = `query ($unit: ID!, $asset: ID!, $gateway: ID!) {
    unit(id: $unit) { number } asset(id: $asset) { serial } gateway(id: $gateway) { serial } }`;
  const variables = { unit: unit.unitId, asset: asset.assetId, gateway: gateway.gatewayId };
  expect(await graph(admin, query, variables)).toEqual({
    unit: { number: unit.number },
    asset: { serial: asset.serial },
    gateway: { serial: gateway.serial },
  });
  const other = await app.otherFleet();
  const nothing = { unit: null, asset: null, gateway: null };
  expect(await graph(other, query, variables)).toEqual(nothing);
  const lists = '{ yards { nodes { id } } units { nodes { id } } events { nodes { number } } }';
  expect(await graph(other, lists)).toEqual({
    yards: { nodes: [] },
    units: { nodes: [] },
    events: { nodes: [] },
  });
});

test('a role that may not read the history gets the rest of the answer', async () => {
  const technician = await app.as('technician');
  const query = '{ units(first: 1) { nodes { number } } events { nodes { number } } }';
  const { status, body } = await technician.post('/graphql', { query });
  expect(status).toBe(200);
  expect(body.data).toEqual({ units: { nodes: [{ number: 'n0' }] }, events: null });
  expect(body.errors).toMatchObject([
    { path: ['events'], extensions: { code: 'role_not_allowed' } },
  ]);
  const [gateway] = await admin.all('/v1/gateways');
  const { key } = await admin.made(`/v1/gateways/${gateway.gatewayId}/keys`, {});
  expect(await app.client(key).post('/graphql', { query })).toMatchObject({
    status: 403,
    code: 'role_not_allowed',
  });
});

test('the schema is served as text', async () => {
  const page = await app.client(null).call({ url: '/docs/schema.graphql', undocumented: true });
  expect(page.body).toContain('type BringInUnit');
});
