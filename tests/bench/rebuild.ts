import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import pg from 'pg';
import { makeGateways } from './fleet.ts';
import type { Running } from './process.ts';

const main = new URL('../../src/rebuild/main.ts', import.meta.url).pathname;
const maxRss = new URL('./max-rss.ts', import.meta.url).pathname;
const run = promisify(execFile);

const runLength = 500;
const stepMs = 30_000;
const startMs = Date.UTC(2017, 0, 2);

/**
 * Writes an hour counter read every 30 s, in runs of 500 that came as they were read, into the
 * only stream of a gateway. The counter rises by one tick of 0.05 h every sixth reading.
 */
async function fill(owner: pg.Client, gatewayId: string, readings: number): Promise<void> {
  const endMs = startMs + readings * stepMs;
  await owner.query(
    `select liftwright.ensure_reading_partitions(
       to_timestamp($1::float8 / 1000), to_timestamp($2::float8 / 1000))`,
    [startMs, endMs],
  );
  const { rowCount } = await owner.query(
    `with s as (
       update liftwright.stream set seen = int8multirange(int8range(0, $2)), lost = '{}'
       where counter_id = (select counter_id from liftwright.counter where gateway_id = $1)
       returning fleet_id, stream_id)
     insert into liftwright.reading_run (fleet_id, stream_id, first_seq, last_seq, received_at,
       offset_ms, first_at_ms, first_raw, at_steps, raw_steps)
     select s.fleet_id, s.stream_id, first, first + $3 - 1,
       to_timestamp(($4 + (first + $3) * $5) / 1000.0), 0, $4 + first * $5, first / 6,
       array_fill($5::int, array[$3::int - 1]),
       (select array_agg(((first + i) % 6 = 0)::int order by i)
         from generate_series(1, $3::int - 1) i)
     from s, generate_series(0::bigint, $2::bigint - $3, $3) first`,
    [gatewayId, readings, runLength, startMs, stepMs],
  );
  if (rowCount !== readings / runLength) throw new Error('the readings were not written');
  await owner.query('vacuum analyze liftwright.reading_run');
}

/** Runs the rebuild of every fleet as an operator would; seconds, and megabytes at most held. */
async function rebuild(dataDir: string): Promise<{ tookS: number; rssMb: number }> {
  const begun = performance.now();
  const { stdout, stderr } = await run(process.execPath, ['--import', maxRss, main], {
    env: { ...process.env, DATA_DIR: dataDir, LOG_LEVEL: 'error' },
  });
  const tookS = (performance.now() - begun) / 1000;
  const kb = /max-rss-kb (\d+)/.exec(stderr)?.[1];
  if (kb === undefined || !/ 0 left/.test(stdout)) throw new Error(`${stdout}${stderr}`);
  return { tookS, rssMb: Number(kb) / 1024 };
}

export interface RebuildFigures {
  rebuild_readings: number;
  rebuild_10m_s: number;
  rebuild_10m_rss_mb: number;
  rebuild_100k_rss_mb: number;
  rebuild_readings_per_s: number;
}

/**
 * One line folded anew from its first reading, by the operator's command in a process of its own:
 * its peak of memory with a hundred thousand readings, and with ten million (fewer when `quick`;
 * `rebuild_readings` says how many). The service stands idle beside it.
 */
export async function rebuildFigures(
  service: Running,
  dataDir: string,
  ownerUrl: string,
  readings: number,
): Promise<RebuildFigures> {
  const few = 100_000;
  const [gateway] = await makeGateways(service.url, 1, 'rebuild', '2016-01-01T00:00:00Z');
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    await fill(owner, gateway!.gatewayId, few);
    const small = await rebuild(dataDir);
    await owner.query('truncate liftwright.reading_run');
    await fill(owner, gateway!.gatewayId, readings);
    const large = await rebuild(dataDir);
    return {
      rebuild_readings: readings,
      rebuild_10m_s: large.tookS,
      rebuild_10m_rss_mb: large.rssMb,
      rebuild_100k_rss_mb: small.rssMb,
      rebuild_readings_per_s: Math.round((readings - few) / (large.tookS - small.tookS)),
    };
  } finally {
    await owner.end();
  }
}
