import { beforeAll, describe, expect, test } from 'vitest';
import { importFaultCodes } from '../../src/flows/import/import-faults.ts';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { FleetBuilder, patternOf } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;

const oilTask = {
  key: 'oil',
  name: 'Change the oil',
  points: ['crossbar_pivot'],
  every: { pto_hours: 100, lift_cycles: 100 },
  overrunEffect: 'no',
  functions: ['wheel_lift'],
};
const base = {
  yards: 'name,time zone\nNorth,America/Chicago',
  units: 'number,home yard\n12,North\n13,North',
  assets: 'kind,serial,pattern\nlift,L-1,My lift\nwinch,W-1,\nlift,L-2,My lift',
  gateways: 'serial\nG-1',
  installs: 'unit,asset kind,asset serial,from\n12,lift,L-1,2025-01-01',
  startingValues:
    'asset kind,asset serial,meter,value,at\nlift,L-1,pto_hours,100,2026-03-01\n' +
    'lift,L-1,lift_cycles,100,2026-03-01',
};

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  for (const name of ['My lift', 'Same', 'Same']) {
    const document = { ...patternOf(oilTask), name };
    await fleet.client.made('/v1/patterns', { document });
  }
  await fleet.client.made('/v1/imports', { dryRun: false, ...base });
});

const dry = (sheets: object): Promise<Json> =>
  fleet.client.made('/v1/imports', { dryRun: true, ...sheets });

const units = (rows: string) => ({ units: `number,home yard,since,note\n${rows}` });
const assets = (rows: string) => ({ assets: `kind,serial,pattern,pattern version\n${rows}` });
const installs = (rows: string) => ({
  installs: `unit,asset kind,asset serial,gateway serial,from,to\n${rows}`,
});
const starts = (rows: string) => ({
  startingValues: `asset kind,asset serial,meter,value,at\n${rows}`,
});
const dones = (rows: string) => ({
  lastDone: `asset kind,asset serial,task,done on,estimated,meter,meter value\n${rows}`,
});

type Place = [row: number, column: string | null, code: string];

const table: [what: string, sheets: object, ...places: Place[]][] = [
  ['an open quote', { yards: 'name,time zone\n"North,UTC' }, [2, null, 'sheet_unreadable']],
  ['nothing at all', { yards: '' }, [1, null, 'sheet_empty']],
  ['an empty first row', { yards: ',\nNorth,UTC' }, [1, null, 'sheet_empty']],
  [
    'an unknown column',
    { yards: 'name,time zone,colour\nA,UTC,red' },
    [1, 'colour', 'column_unknown'],
  ],
  ['a column twice', { yards: 'name,time zone,Name\nA,UTC,B' }, [1, 'name', 'column_twice']],
  ['a column missing', { yards: 'name\nA' }, [1, 'time zone', 'column_missing']],
  ['a cell too many', { yards: 'name,time zone\nA,UTC,x' }, [2, null, 'cells_too_many']],
  ['blank rows count', { yards: 'name,time zone\n\n,\nA,' }, [4, 'time zone', 'value_missing']],
  [
    'rows with line breaks inside are one row',
    { units: 'number,home yard,note\n20,North,"a\nb\nc"\n21,Nowhere,' },
    [3, 'home yard', 'reference_unknown'],
  ],
  ['too long', units(`${'9'.repeat(41)},North,,`), [2, 'number', 'value_too_long']],
  ['a control character', units('2\u0007,North,,'), [2, 'number', 'value_invalid']],
  ['no time zone', { yards: 'name,time zone\nA,Mars/Olympus' }, [2, 'time zone', 'value_invalid']],
  ['an offset as zone', { yards: 'name,time zone\nA,+02:00' }, [2, 'time zone', 'value_invalid']],
  ['a kind there is not', assets('crane,C-1,,'), [2, 'kind', 'value_invalid']],
  ['twice in one sheet', units('20,North,,\n20,North,,'), [3, 'number', 'row_twice']],
  ['no such yard', units('20,Nort,,'), [2, 'home yard', 'reference_unknown']],
  [
    'another home yard',
    { yards: 'name,time zone\nB,UTC', ...units('12,B,,') },
    [2, 'home yard', 'differs'],
  ],
  ['another since', units('12,North,2025-01-01,'), [2, 'since', 'differs']],
  ['a day of no year', units('20,North,2025-02-30,'), [2, 'since', 'date_invalid']],
  ['a day as an office writes it', units('20,North,2/28/2025,'), [2, 'since', 'date_invalid']],
  ['an hour that was skipped', units('20,North,2025-03-09 02:30,'), [2, 'since', 'time_not_once']],
  ['an hour that was twice', units('20,North,2025-11-02 01:30,'), [2, 'since', 'time_not_once']],
  ['a day to come', units('20,North,2027-01-01,'), [2, 'since', 'time_invalid']],
  ['no such pattern', assets('lift,L-9,Your lift,'), [2, 'pattern', 'reference_unknown']],
  ['two of that name', assets('lift,L-9,Same,'), [2, 'pattern', 'reference_ambiguous']],
  ['no such version', assets('lift,L-9,My lift,7'), [2, 'pattern version', 'reference_unknown']],
  ['a version of nothing', assets('lift,L-9,,1'), [2, 'pattern version', 'either_or']],
  ['version zero', assets('lift,L-9,My lift,0'), [2, 'pattern version', 'number_invalid']],
  ['a pattern of another kind', assets('winch,W-9,My lift,'), [2, 'pattern', 'value_invalid']],
  ['another pattern', assets('lift,L-1,Same,'), [2, 'pattern', 'reference_ambiguous']],
  ['neither asset nor gateway', installs('12,,,,2026-01-01,'), [2, 'gateway serial', 'either_or']],
  ['both', installs('12,lift,L-2,G-1,2026-01-01,'), [2, 'gateway serial', 'either_or']],
  ['half an asset', installs('12,lift,,,2026-01-01,'), [2, 'gateway serial', 'either_or']],
  ['no such unit', installs('99,lift,L-2,,2026-01-01,'), [2, 'unit', 'reference_unknown']],
  [
    'no such asset',
    installs('12,lift,L-99,,2026-01-01,'),
    [2, 'asset serial', 'reference_unknown'],
  ],
  ['no such gateway', installs('12,,,G-9,2026-01-01,'), [2, 'gateway serial', 'reference_unknown']],
  ['an end before it', installs('12,lift,L-2,,2026-01-02,2026-01-01'), [2, 'to', 'time_invalid']],
  ['elsewhere already', installs('13,lift,L-1,,2026-01-01,'), [2, 'from', 'install_overlaps']],
  [
    'elsewhere by the row before',
    installs('12,lift,L-2,,2026-01-01,\n13,lift,L-2,,2026-02-01,'),
    [3, 'from', 'install_overlaps'],
  ],
  ['an end it does not have', installs('12,lift,L-1,,2025-01-01,2026-01-01'), [2, 'to', 'differs']],
  [
    'thousands or decimals',
    starts('lift,L-2,pto_hours,"1,240",2026-03-01T00:00:00Z'),
    [2, 'value', 'number_ambiguous'],
  ],
  [
    'the same with a point, where semicolons part',
    {
      startingValues: 'asset kind;asset serial;meter;value;at\nlift;L-1;pto_hours;1.240;2026-03-01',
    },
    [2, 'value', 'number_ambiguous'],
  ],
  [
    'a number with a unit',
    starts('lift,L-1,pto_hours,100 h,2026-03-01'),
    [2, 'value', 'number_invalid'],
  ],
  ['below zero', starts('lift,L-1,pto_hours,-1,2026-03-01'), [2, 'value', 'number_invalid']],
  ['half a cycle', starts('lift,L-1,lift_cycles,10.5,2026-03-01'), [2, 'value', 'number_invalid']],
  ['no zone known', starts('lift,L-2,pto_hours,1,2026-03-01'), [2, 'at', 'time_zone_needed']],
  [
    'a meter of a winch',
    starts('lift,L-1,winch_cycles,1,2026-03-01'),
    [2, 'meter', 'meter_not_counted'],
  ],
  ['no such meter', starts('lift,L-1,airtime,1,2026-03-01'), [2, 'meter', 'value_invalid']],
  ['another value', starts('lift,L-1,pto_hours,101,2026-03-01'), [2, 'value', 'differs']],
  ['another time', starts('lift,L-1,pto_hours,100,2026-02-01'), [2, 'at', 'differs']],
  ['no such task', dones('lift,L-1,oli,2026-02-01,,,'), [2, 'task', 'reference_unknown']],
  ['no pattern', dones('winch,W-1,oil,2026-02-01T00:00:00Z,,,'), [2, 'task', 'reference_unknown']],
  ['perhaps', dones('lift,L-1,oil,2026-02-01,perhaps,,'), [2, 'estimated', 'yes_no_invalid']],
  ['a value of which meter', dones('lift,L-1,oil,2026-02-01,,,5'), [2, 'meter', 'value_missing']],
  [
    'a meter without value',
    dones('lift,L-1,oil,2026-02-01,,pto_hours,'),
    [2, 'meter value', 'value_missing'],
  ],
  [
    'a meter that it does not count',
    dones('lift,L-1,oil,2026-02-01,,arm_cycles,5'),
    [2, 'meter', 'meter_not_counted'],
  ],
  [
    'nothing to subtract from',
    dones('lift,L-2,oil,2026-02-01T00:00:00Z,,pto_hours,5'),
    [2, 'meter value', 'start_missing'],
  ],
  [
    'more than later',
    dones('lift,L-1,oil,2026-02-01,,pto_hours,101'),
    [2, 'meter value', 'value_above_start'],
  ],
  [
    'a task twice',
    dones('lift,L-1,oil,2026-02-01,,pto_hours,5\nlift,L-1,oil,2026-02-02,,lift_cycles,5'),
    [3, 'task', 'row_twice'],
  ],
];

describe('each fault at its row and column', () => {
  test.each(table)('%s', async (_, sheets, ...places) => {
    const report = await dry(sheets);
    expect(report.errors.map((e: Json) => [e.row, e.column, e.code])).toEqual(places);
    expect(report).toMatchObject({ applied: false, faultless: false });
    for (const { reason } of report.errors) expect(reason).toMatch(/\w{3}/);
  });

  test('every code but the one about 5,000 rows is in the table', () => {
    const met = new Set(table.flatMap(([, , ...places]) => places.map(([, , code]) => code)));
    expect(importFaultCodes.filter((code) => !met.has(code))).toEqual(['rows_too_many']);
  });
});

test('all faults at once, in order, and none that only follows from another', async () => {
  const report = await dry({
    yards: 'name,time zone\nEast,Nowhere/Land',
    ...units('30,East,,\n31,East,2026-99-99,'),
    ...assets('lift,L-30,,\ncrane,L-31,,'),
    ...installs('30,lift,L-30,,2026-01-01,\n31,lift,L-30,,yesterday,'),
  });
  expect(report.errors.map((e: Json) => [e.sheet, e.row, e.code])).toEqual([
    ['yards', 2, 'value_invalid'],
    ['assets', 3, 'value_invalid'],
  ]);
  expect(report.sheets.units).toMatchObject({ rows: 2, create: 0, faulty: 2 });
});

test('rows that need a faulty place or starting value are passed over without faults', async () => {
  const report = await dry({
    ...units('30,Nowhere,,'),
    ...assets('lift,L-30,My lift,\nlift,L-31,My lift,'),
    ...installs('30,lift,L-30,,2026-01-01,\n12,lift,L-31,,2026-01-01,'),
    ...starts('lift,L-30,pto_hours,100,2026-03-01 08:00\nlift,L-31,pto_hours,many,2026-03-01'),
    ...dones('lift,L-30,oil,2026-02-01,,,\nlift,L-31,oil,2026-02-01,,pto_hours,90'),
  });
  expect(report.errors.map((e: Json) => [e.sheet, e.row, e.code])).toEqual([
    ['units', 2, 'reference_unknown'],
    ['startingValues', 3, 'number_invalid'],
  ]);
  expect(report.sheets.startingValues).toMatchObject({ create: 0, faulty: 2 });
  expect(report.sheets.lastDone).toMatchObject({ create: 0, faulty: 2 });
});

test('a sheet that cannot be read does not make faults of all others', async () => {
  const report = await dry({ yards: 'names,time zone\nEast,UTC', ...units('30,East,,') });
  expect(report.errors.map((e: Json) => e.sheet)).toEqual(['yards', 'yards']);
});

test('beyond 500 the faults are counted', async () => {
  const report = await dry(units(Array.from({ length: 700 }, (_, i) => `V${i},None,,`).join('\n')));
  expect([report.errors.length, report.errorsOmitted]).toEqual([500, 200]);
  expect(report.sheets.units).toMatchObject({ rows: 700, faulty: 700 });
});

test('how offices write numbers, and spreadsheets their sheets', async () => {
  const good: [string, number][] = [
    ['1240.5', 1240.5],
    ['"1,240.5"', 1240.5],
    ['"1.240,5"', 1240.5],
    ['"1240,5"', 1240.5],
    ["1'240.5", 1240.5],
    ['1 240.5', 1240.5],
    ['"1,240,500"', 1240500],
    ['0', 0],
  ];
  for (const [cell, value] of good) {
    const at = '2026-02-02T00:00:00Z';
    const head = ['asset kind', 'asset serial', 'meter', 'value', 'at'];
    const sheet = `\ufeff${head}\r\nlift,L-1,pto_hours,${cell},${at}\r\n`;
    const { errors } = await dry({ startingValues: sheet });
    // 100 is there already: what the cell was read as shows in what differs
    expect([cell, errors[0]?.code]).toEqual([cell, 'differs']);
    const fresh = `sep=;\r\n${head.join(';')}\r\nlift;L-2;pto_hours;${cell};${at}`;
    const cells = `lift,L-2,oil,2026-01-01T00:00:00Z,,pto_hours,${value.toFixed(1)}`;
    const { errors: none } = await dry({ startingValues: fresh, ...dones(cells) });
    expect([cell, none]).toEqual([cell, []]);
  }
});

test('what is no import', async () => {
  for (const body of [
    {},
    { dryRun: true },
    { dryRun: 'yes', yards: 'x' },
    { dryRun: true, trucks: 'x' },
  ]) {
    expect((await fleet.client.post('/v1/imports', body)).code).toBe('body_invalid');
  }
  const big = { dryRun: true, yards: 'x'.repeat(9 * 1024 * 1024) };
  expect((await fleet.client.post('/v1/imports', big)).code).toBe('body_too_large');
});
