import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { FleetBuilder, Gateway, hourMs, patternOf, ptoCounter, run } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
// noon in Chicago on 2026-11-02, after the clocks went back
const nowMs = Date.UTC(2026, 10, 2, 18);

const oilTask = {
  key: 'pump_oil',
  name: 'Change the pump oil',
  points: ['crossbar_pivot'],
  every: { pto_hours: 100 },
  overrunEffect: 'no',
  functions: ['wheel_lift'],
};
const padTask = { ...oilTask, key: 'pads', every: { pto_hours: 500, lift_cycles: 1000 } };

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  await app.goTo(nowMs);
  const document = { ...patternOf(oilTask, padTask), name: 'My lift' };
  await fleet.client.made('/v1/patterns', { document });
  await app.settle();
});

const send = (body: object): Promise<Json> => fleet.client.made('/v1/imports', body);
const dry = (sheets: object) => send({ dryRun: true, ...sheets });
const real = (sheets: object) => send({ dryRun: false, ...sheets });

const whole = {
  yards: 'name,time zone\r\nNorth,America/Chicago\r\n',
  units: 'number,home yard,since,note\r\n12,North,2024-01-15,"the ""old"" one,\nwhite"\r\n',
  assets: 'kind,serial,pattern\r\nlift,L-0412,My lift\r\n',
  gateways: 'serial\r\nG-77\r\n',
  installs:
    'unit,asset kind,asset serial,gateway serial,from\r\n' +
    '12,lift,L-0412,,2024-01-15\r\n12,,,G-77,2026-11-02 11:00\r\n',
  startingValues:
    'asset kind,asset serial,meter,value,at\r\n' +
    'lift,L-0412,pto_hours,"1,240.5",2026-11-02 08:00\r\n' +
    'lift,L-0412,lift_cycles,9000,2026-11-02\r\n',
  lastDone:
    'asset kind,asset serial,task,done on,estimated,meter,meter value\r\n' +
    'lift,L-0412,pump_oil,2026-05-01,no,,1200.0\r\n' +
    'lift,L-0412,pads,2026-05-01,yes,pto_hours,1000\r\n' +
    'lift,L-0412,pads,2026-05-01,yes,lift_cycles,8950\r\n',
};

const unitId = async (number: string) =>
  (await fleet.client.all('/v1/units')).find((each) => each.number === number)?.unitId;
const total = (report: Json, what: string) =>
  Object.values<Json>(report.sheets).reduce((sum, sheet) => sum + sheet[what], 0);

describe('a fleet in sheets', () => {
  let gateway: Gateway;

  test('a dry run says what would be, and leaves nothing', async () => {
    const before = await fleet.events({});
    const report = await dry(whole);
    expect(report).toMatchObject({ applied: false, faultless: true, errors: [], gatewayKeys: [] });
    expect(report.sheets.lastDone).toMatchObject({ rows: 3, create: 3, faulty: 0 });
    expect(total(report, 'create')).toBe(11);
    await app.settle();
    expect(await fleet.client.all('/v1/yards')).toEqual([]);
    expect(await fleet.events({})).toEqual(before);
  });

  test('brought in, a task shows at once what was used since it was last done', async () => {
    const report = await real(whole);
    expect(report).toMatchObject({ applied: true, faultless: true });
    expect(report.gatewayKeys).toEqual([{ serial: 'G-77', key: expect.stringMatching(/^lw_1_/) }]);
    gateway = new Gateway('', app.client(report.gatewayKeys[0].key));
    await app.settle();
    const id = await unitId('12');
    const oil = await fleet.measure(id, 'pto_hours', 'pump_oil');
    expect(oil).toMatchObject({ used: 40.5, full: { at: 100, left: 59.5 } });
    const pads = await fleet.task(id, 'pads');
    expect(pads.measures.map((each: Json) => each.used)).toEqual([240.5, 50]);
    expect(pads.reasons).toContain('That it was last done on 2026-05-01 is an estimate.');
    expect((await fleet.task(id, 'pump_oil')).status).toBe('ahead');
    const { note } = (await fleet.client.all('/v1/units')).find((each) => each.unitId === id);
    expect(note).toBe('the "old" one,\nwhite');
  });

  test('what is counted afterwards comes on top', async () => {
    await gateway.declare(ptoCounter);
    const firstMs = nowMs + hourMs;
    await app.goTo(firstMs + 10 * hourMs);
    await gateway.one(run(0, [firstMs, 100], [firstMs + 10 * hourMs, 200]));
    await app.settle();
    const oil = await fleet.measure(await unitId('12'), 'pto_hours', 'pump_oil');
    expect(oil).toMatchObject({ used: 45.5, known: 'known' });
    await app.settleAt(firstMs + 400 * hourMs);
    const later = await fleet.task(await unitId('12'), 'pump_oil');
    expect(later).toMatchObject({ status: 'unknown', knownStatus: 'ahead' });
  });

  test('a task done anew leaves the old values behind', async () => {
    const id = await unitId('12');
    await fleet.done(id, 'pump_oil', nowMs + 300 * hourMs);
    await app.settle();
    expect((await fleet.measure(id, 'pto_hours', 'pump_oil')).used).toBe(0);
  });

  test('the same sheets again change nothing', async () => {
    const before = await fleet.events({});
    const report = await real(whole);
    expect(total(report, 'unchanged')).toBe(11);
    expect(total(report, 'create') + total(report, 'update')).toBe(0);
    expect(report.gatewayKeys).toEqual([]);
    await app.settle();
    expect(await fleet.events({})).toEqual(before);
  });

  test('a changed note is taken over, all else that differs is refused', async () => {
    const noted = await real({ units: 'number,home yard,note\n12,North,green now' });
    expect(noted.sheets.units).toMatchObject({ update: 1 });
    expect(noted.changes).toEqual([
      { sheet: 'units', row: 2, column: 'note', from: expect.any(String), to: 'green now' },
    ]);
    const differing = {
      yards: 'name,time zone\nNorth,America/Denver',
      startingValues:
        'asset kind,asset serial,meter,value,at\nlift,L-0412,pto_hours,1241,2026-11-02 08:00',
      lastDone:
        'asset kind,asset serial,task,done on,meter value\nlift,L-0412,pump_oil,2026-05-01,1100',
    };
    const report = await dry(differing);
    expect(report.errors.map((e: Json) => [e.sheet, e.row, e.column, e.code])).toEqual([
      ['yards', 2, 'time zone', 'differs'],
      ['startingValues', 2, 'value', 'differs'],
      ['lastDone', 2, 'done on', 'differs'],
    ]);
    const refused = await fleet.client.post('/v1/imports', { dryRun: false, ...differing });
    expect([refused.status, refused.code]).toEqual([422, 'import_refused']);
    expect(refused.body.errors[0].path).toBe('/yards/2/time zone');
  });

  test('a starting value that was wrong is corrected by naming it', async () => {
    const head = 'asset kind,asset serial,meter,value,at,instead of';
    const row = 'lift,L-0412,lift_cycles,9010,2026-11-02';
    const wrong = await dry({ startingValues: `${head}\n${row},8999` });
    expect(wrong.errors).toMatchObject([{ row: 2, column: 'value', code: 'differs' }]);
    const sheets = { startingValues: `${head}\n${row},9000` };
    const report = await real(sheets);
    expect(report.sheets.startingValues).toMatchObject({ update: 1 });
    expect((await real(sheets)).sheets.startingValues).toMatchObject({ unchanged: 1 });
    await app.settle();
    const pads = await fleet.task(await unitId('12'), 'pads');
    expect(pads.measures.map((each: Json) => each.used)).toEqual([245.5, 60]);
    const { assets } = await fleet.client.read(`/v1/units/${await unitId('12')}/usage`);
    expect(assets[0].startingValues).toContainEqual({
      meter: 'lift_cycles',
      unit: 'cycles',
      value: 9010,
      at: '2026-11-02T06:00:00.000Z',
    });
  });

  test('one fault anywhere, and nothing is brought in', async () => {
    const sheets = {
      yards: 'name,time zone\nSouth,America/Chicago',
      units: 'number,home yard\n77,South\n78,Sout',
    };
    expect((await fleet.client.post('/v1/imports', { dryRun: false, ...sheets })).status).toBe(422);
    expect((await fleet.client.all('/v1/yards')).map((each) => each.name)).toEqual(['North']);
  });

  test('a repeat with its key gets the answer again, without the keys of gateways', async () => {
    const headers = { 'idempotency-key': 'import-1' };
    const body = { dryRun: false, gateways: 'serial\nG-78' };
    const first = await fleet.client.made('/v1/imports', body, headers);
    expect(first.gatewayKeys).toHaveLength(1);
    const again = await fleet.client.made('/v1/imports', body, headers);
    expect(again).toEqual({ ...first, gatewayKeys: [] });
  });
});

test('a truck without any counter: known until the meter was read, then only bounded', async () => {
  await real({
    yards: 'name;time zone\nKüste;Europe/Berlin',
    units: 'Number;Home_Yard\nB1;Küste',
    assets: 'kind;serial;pattern;pattern version\nLift;B-1;My lift;1',
    installs: 'unit;from;asset kind;asset serial\nB1;2026-01-01;lift;B-1',
    startingValues: 'asset kind;asset serial;meter;value;at\nlift;B-1;PTO hours;240,5;2026-11-02',
    lastDone: 'asset kind;asset serial;task;done on;meter value\nlift;B-1;pump_oil;2026-10-01;200',
  });
  await app.settle();
  const id = await unitId('B1');
  const oil = await fleet.measure(id, 'pto_hours', 'pump_oil');
  expect(oil).toMatchObject({
    used: 40.5,
    known: 'stale',
    silentSince: '2026-11-01T23:00:00.000Z',
  });
});

test('the same sheets twice at once are brought in once', async () => {
  const sheets = {
    units: 'number,home yard\n90,North\n91,North',
    assets: 'kind,serial\nwinch,W-90',
    installs: 'unit,asset kind,asset serial,from\n90,winch,W-90,2026-01-01',
  };
  const reports = await Promise.all([real(sheets), real(sheets), real(sheets)]);
  expect(reports.map((report) => total(report, 'create')).sort()).toEqual([0, 0, 4]);
  expect(reports.map((report) => total(report, 'unchanged')).sort()).toEqual([0, 4, 4]);
});

test('5,000 rows a sheet, and a whole fleet within one request', async () => {
  const rows = (n: number, row: (i: number) => string) =>
    Array.from({ length: n }, (_, i) => row(i)).join('\n');
  const many = await dry({ yards: `name,time zone\n${rows(5_001, (i) => `Y${i},UTC`)}` });
  expect(many.errors).toMatchObject([{ sheet: 'yards', row: 5_002, code: 'rows_too_many' }]);
  const installs = 'unit,from,asset kind,asset serial\n';
  const report = await dry({
    units: `number,home yard\n${rows(600, (i) => `U${i},North`)}`,
    assets: `kind,serial,pattern\n${rows(600, (i) => `lift,S${i},My lift`)}`,
    installs: installs + rows(600, (i) => `U${i},2026-01-01,lift,S${i}`),
  });
  expect([report.faultless, total(report, 'create')]).toEqual([true, 1_800]);
});

test('the templates are sheets that can be imported', async () => {
  const { sheets } = await fleet.client.read('/v1/imports/template');
  expect(sheets.map((each: Json) => each.sheet)).toEqual(Object.keys(whole));
  const given = Object.fromEntries(sheets.map((each: Json) => [each.sheet, each.csv]));
  // its asset is here already, with other values: only what a sheet is like is looked at
  const { errors } = await dry(given);
  expect(errors.filter((each: Json) => each.code !== 'differs')).toEqual([]);
  const page = await app.client(null).call({ url: '/docs/import', undocumented: true });
  for (const { sheet } of sheets) expect(page.body).toContain(`id="${sheet}"`);
});
