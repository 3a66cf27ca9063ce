import { readFileSync } from 'node:fs';
import { beforeAll, expect, test } from 'vitest';
import { type Role, roles } from '../../src/domain/access/role.ts';
import { useApp } from '../helpers/app.ts';
import type { Call, Client } from '../helpers/client.ts';
import { contract } from '../helpers/contract.ts';
import { FleetBuilder } from '../helpers/fleet.ts';

const file = new URL('../fixtures/roles.md', import.meta.url);
const columns = ['no key', ...roles] as const;
type Column = (typeof columns)[number];

/** The rows of the table: by route, the columns that say yes. */
function readTable(): Map<string, ReadonlySet<Column>> {
  const lines = readFileSync(file, 'utf8')
    .split('\n')
    .filter((line) => line.startsWith('|'))
    .map((line) =>
      line
        .split('|')
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
  const [head, , ...rows] = lines;
  expect(head, 'the columns are the roles').toEqual(['route', ...columns]);
  const table = new Map<string, ReadonlySet<Column>>();
  for (const [route = '', ...cells] of rows) {
    expect([route, cells.length, table.has(route)]).toEqual([route, columns.length, false]);
    expect(cells.filter((cell) => cell !== 'yes' && cell !== '.')).toEqual([]);
    table.set(route, new Set(columns.filter((_, i) => cells[i] === 'yes')));
  }
  return table;
}

const table = readTable();
const documented = Object.entries(contract.paths).flatMap(([path, operations]) =>
  Object.keys(operations).map((method) => `${method.toUpperCase()} ${path}`),
);

const app = useApp();
const clients = new Map<Column, Client>();
let gatewayId = '';
let revoked: Client;
beforeAll(async () => {
  const gateway = await new FleetBuilder(app).gateway();
  gatewayId = gateway.id;
  clients.set('no key', app.client(null));
  clients.set('gateway', gateway.client);
  for (const role of roles) if (role !== 'gateway') clients.set(role, await app.as(role));
  const { key, keyId } = await app.admin.made('/v1/keys', { role: 'admin', name: 'gone' });
  await app.admin.made(`/v1/keys/${keyId}/revoke`, {});
  revoked = app.client(key);
});

const nowhere = '01900000-0000-7000-8000-000000000000';

/** A call that changes nothing: bodies are refused by the contract, ids name nothing. */
function harmless(route: string): Call {
  const [method, path] = route.split(' ') as [NonNullable<Call['method']>, string];
  const url = path
    .replace('{gatewayId}', gatewayId)
    .replace('{taskKey}', 'grease')
    .replace(/\{\w+\}/g, nowhere);
  return { method, url, ...(method === 'GET' ? {} : { body: { nothing: 'of use' } }) };
}

type Cell = 'yes' | '.' | string;
const open = (route: string) => [...(table.get(route) ?? [])].includes('no key');

/** What the service really does for a caller; anything but `yes` and `.` is a fault. */
async function tried(route: string, column: Column): Promise<Cell> {
  const { status, code } = await (clients.get(column) as Client).call(harmless(route));
  if (status >= 500) return `${status} ${code}`;
  if (status !== 401 && status !== 403) return 'yes';
  const refusal = column === 'no key' ? 'key_missing' : 'role_not_allowed';
  return code === refusal ? '.' : `${status} ${code}`;
}

async function rowOf(route: string): Promise<string> {
  const cells: Cell[] = [];
  for (const column of columns) cells.push(await tried(route, column));
  return `| ${[route, ...cells].join(' | ')} |`;
}

test('the table has every route of the contract, and no other', async () => {
  const missing: string[] = [];
  for (const route of documented) if (!table.has(route)) missing.push(await rowOf(route));
  expect(missing, 'rows to add to tests/fixtures/roles.md, if they say what is meant').toEqual([]);
  const gone = [...table.keys()].filter((route) => !documented.includes(route));
  expect(gone, 'rows to take out of tests/fixtures/roles.md').toEqual([]);
});

test.each([...table].filter(([route]) => documented.includes(route)))('%s', async (route, may) => {
  const cells = columns.map((column) => (may.has(column) ? 'yes' : '.'));
  expect(await rowOf(route)).toBe(`| ${[route, ...cells].join(' | ')} |`);
  for (const client of [revoked, app.client('lw_1_00000000_nothing')]) {
    const { status, code } = await client.call(harmless(route));
    if (open(route)) expect([401, 403]).not.toContain(status);
    else expect([status, code]).toEqual([401, 'key_unknown']);
  }
});

test('a route is open to all or to none without a key', () => {
  for (const [route, may] of table) {
    const all = may.size === columns.length;
    expect([route, may.has('no key')]).toEqual([route, all]);
  }
});

test('every role but a gateway may read, so that no key is made for nothing', () => {
  const reads = table.get('GET /v1/units') as ReadonlySet<Column>;
  const people: Role[] = roles.filter((role) => role !== 'gateway');
  expect([...reads].sort()).toEqual([...people].sort());
});
