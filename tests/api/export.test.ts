import { createHash } from 'node:crypto';
import { request } from 'node:http';
import type { AddressInfo } from 'node:net';
import { gunzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { columnsLeftOut, tablesLeftOut } from '../../src/flows/export-fleet.ts';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { relations, rowsPerFleet, seedTwoFleets } from '../store/two-fleets.ts';

const app = useApp();
let admin: Client;

beforeAll(async () => {
  // the fleet that the service founded makes room for two with a row in every table
  for (const table of ['outbox', 'event', 'event_chain', 'api_key', 'fleet']) {
    await app.db.owner.query(`delete from liftwright.${table}`);
  }
  await seedTwoFleets(app.db);
  admin = app.client('a_key_that_the_owner_put_there');
  await app.db.owner.query(`update liftwright.api_key set sha256 = $1 where fleet_id = 1`, [
    createHash('sha256')
      .update(admin.key as string)
      .digest(),
  ]);
});

async function lines(): Promise<{ text: string; lines: Json[] }> {
  const answer = await admin.get('/v1/export');
  expect([answer.status, answer.headers['content-type']]).toEqual([
    200,
    'application/x-ndjson; charset=utf-8',
  ]);
  const text: string = answer.body;
  return {
    text,
    lines: text
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line)),
  };
}

/** Columns whose names say that they could be secrets, and why they are none. */
const harmless: Record<string, string> = {
  'person.pin_set_at': 'when a PIN was set, not which',
  'event.hash': 'the chain of events, which proves them',
  'event.previous_hash': 'the same',
  'event_chain.last_hash': 'the same',
  'event_personal.salt': 'checks the digests of personal parts',
};

describe('the whole fleet, line by line', () => {
  test('every table of the catalogue is in it, or left out with a reason', async () => {
    const { lines: all } = await lines();
    const exported = new Set(all.slice(1, -1).map((line) => line.table));
    for (const { name, isPartition } of await relations(app.db.owner)) {
      if (isPartition) continue;
      const out = name in tablesLeftOut;
      expect([name, exported.has(name), out]).toEqual([name, !out, out]);
      const rows = (await rowsPerFleet(app.db.owner, name)).get(1);
      if (!out) expect([name, all[0].counts[name]]).toEqual([name, rows]);
    }
    for (const reason of Object.values(tablesLeftOut)) expect(reason).toMatch(/\w{4}/);
    expect(all[0].leftOut).toEqual({ tables: tablesLeftOut, columns: columnsLeftOut });
  });

  test('rows are whole but for secrets', async () => {
    const { lines: all } = await lines();
    for (const { name, isPartition } of await relations(app.db.owner)) {
      const line = all.find((each) => each.table === name);
      if (isPartition || !line) continue;
      const { rows } = await app.db.owner.query(
        `select row_to_json(t) as row from liftwright.${name} t where fleet_id = 1`,
      );
      const kept = Object.keys(rows[0].row).filter((c) => !(`${name}.${c}` in columnsLeftOut));
      expect([name, Object.keys(line.row)]).toEqual([name, kept]);
      expect(line.row.fleet_id).toBe(1);
      for (const column of kept) {
        if (!/hash|secret|pin|token|password|salt/.test(column)) continue;
        expect(Object.keys(harmless)).toContain(`${name}.${column}`);
      }
    }
    const ours = all.slice(1, -1).map((line) => line.row.fleet_id);
    expect(new Set(ours)).toEqual(new Set([1]));
  });

  test('the end counts and proves what came before', async () => {
    const { text, lines: all } = await lines();
    const end = all.at(-1);
    const before = text.slice(0, text.lastIndexOf('\n', text.length - 2) + 1);
    expect(end).toEqual({
      end: true,
      rows: all.length - 2,
      sha256: createHash('sha256').update(before).digest('hex'),
    });
    const counts = Object.values<number>(all[0].counts).reduce((a, b) => a + b, 0);
    expect(counts).toBe(end.rows);
  });
});

describe('over a wire', () => {
  const get = async (headers: Record<string, string>, read = true) => {
    await app.app.listen({ port: 0, host: '127.0.0.1' }).catch(() => undefined);
    const { port } = app.app.server.address() as AddressInfo;
    const { promise, resolve, reject } = Promise.withResolvers<{
      status: number;
      encoding: string | undefined;
      body: Buffer;
    }>();
    const sent = request(
      { port, path: '/v1/export', headers: { authorization: `Bearer ${admin.key}`, ...headers } },
      (answer) => {
        const { statusCode, headers: got } = answer;
        const parts: Buffer[] = [];
        if (!read) answer.destroy();
        answer.on('data', (part) => parts.push(part));
        answer.on('close', () =>
          resolve({
            status: statusCode as number,
            encoding: got['content-encoding'],
            body: Buffer.concat(parts),
          }),
        );
      },
    );
    sent.on('error', reject);
    sent.end();
    return promise;
  };

  test('zipped when that is welcome', async () => {
    const zipped = await get({ 'accept-encoding': 'br, gzip;q=0.8' });
    expect([zipped.status, zipped.encoding]).toEqual([200, 'gzip']);
    const plain = await get({ 'accept-encoding': 'gzip;q=0' });
    expect(plain.encoding).toBeUndefined();
    const last = (body: Buffer) => JSON.parse(body.toString().trimEnd().split('\n').at(-1) ?? '');
    expect(last(gunzipSync(zipped.body))).toEqual(last(plain.body));
  });

  test('a reader that goes gives its place and its connection back', async () => {
    for (let i = 0; i < 12; i += 1) await get({}, false);
    // That they went is seen a moment after they did.
    await expect.poll(async () => (await get({})).status, { timeout: 10_000 }).toBe(200);
    expect((await get({})).body.toString()).toContain('"end":true');
  });
});
