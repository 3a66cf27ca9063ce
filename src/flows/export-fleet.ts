import { createHash } from 'node:crypto';
import { instantText } from '../domain/instant.ts';
import { Problem } from '../errors.ts';
import { countRows, type FleetTable, fleetTables, rowTexts } from '../store/fleet-tables.ts';
import { type FleetSnapshot, openFleetSnapshot } from '../store/pool.ts';
import type { FlowDeps } from './work.ts';

/** Changed when a reader of exports must change. */
const formatVersion = 1;
const rowsAtOnce = 100;
/** A client that does not read for so long has gone. */
const idleMs = 120_000;
/** Each holds a connection. */
const exportsAtOnce = 2;

/** Tables that an export leaves out, and why. */
export const tablesLeftOut: Readonly<Record<string, string>> = {
  idempotency: 'answers kept for two days for requests that are repeated; of no use elsewhere',
  request_use: 'what keys used of their limits in the minute that runs; of no use elsewhere',
  pin_try: 'wrong PINs of these days; of no use elsewhere',
  sign_in: 'who is signed in on which phone just now; it holds hashes of tokens',
  line_mark: 'work that waits to be done here; it empties itself',
  unit_mark: 'work that waits to be done here; it empties itself',
  stream_compaction: 'how far readings are stored close together here; of no use elsewhere',
  fleet_deletion: 'about the deletion, not of the fleet; it holds the hash of a token',
};

/** Columns that never leave: secrets, if only as hashes. */
export const columnsLeftOut: Readonly<Record<string, string>> = {
  'api_key.sha256': 'the hash of a secret',
  'person.pin_hash': 'the hash of a secret',
};

const shown = (table: FleetTable): FleetTable => ({
  ...table,
  columns: table.columns.filter((column) => !(`${table.name}.${column}` in columnsLeftOut)),
});

/** Exports that run now, by pool of connections. */
const running = new WeakMap<object, number>();

async function* lines(
  { tx }: FleetSnapshot,
  fleetId: number,
  nowMs: number,
): AsyncGenerator<string> {
  const digest = createHash('sha256');
  const hashed = (text: string) => {
    digest.update(text);
    return text;
  };
  const tables = (await fleetTables(tx)).filter((table) => !(table.name in tablesLeftOut));
  const counts: Record<string, number> = {};
  for (const { name } of tables) counts[name] = await countRows(tx, fleetId, name);
  const head = {
    export: 'liftwright fleet',
    formatVersion,
    fleetId,
    takenAt: instantText(nowMs),
    counts,
    leftOut: { tables: tablesLeftOut, columns: columnsLeftOut },
  };
  yield hashed(`${JSON.stringify(head)}\n`);
  let rows = 0;
  for (const table of tables) {
    if (counts[table.name] === 0) continue;
    for await (const texts of rowTexts(tx, fleetId, shown(table), rowsAtOnce)) {
      rows += texts.length;
      yield hashed(texts.map((row) => `{"table":"${table.name}","row":${row}}\n`).join(''));
    }
  }
  yield `${JSON.stringify({ end: true, rows, sha256: digest.digest('hex') })}\n`;
}

/**
 * Everything of a fleet as one consistent view, line by line: a head with counts, a line a row, and
 * an end with the number of rows and the SHA-256 of all lines before. Holds a few hundred rows in
 * memory, and a connection until the lines are read or the reader goes.
 *
 * @throws Problem overloaded when too many run in this process
 */
export async function exportFleet(
  deps: FlowDeps,
  fleetId: number,
): Promise<AsyncGenerator<string>> {
  const pool = deps.pools.app;
  const now = running.get(pool) ?? 0;
  if (now >= exportsAtOnce) {
    throw new Problem('overloaded', 'Two exports run already.', { retryAfterS: 60 });
  }
  running.set(pool, now + 1);
  const leave = () => running.set(pool, (running.get(pool) ?? 1) - 1);
  let snapshot: FleetSnapshot;
  try {
    snapshot = await openFleetSnapshot(pool, fleetId, idleMs);
  } catch (error) {
    leave();
    throw error;
  }
  return (async function* closing() {
    try {
      yield* lines(snapshot, fleetId, deps.clock.nowMs());
    } finally {
      leave();
      await snapshot.close();
    }
  })();
}
