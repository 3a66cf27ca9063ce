import pg from 'pg';
import { roleUrl } from '../../db/role-login.ts';
import { recordPostGroup } from '../../src/store/post-group.ts';
import { type DeclaredStream, recordNewRuns } from '../../src/store/reading.ts';
import { makeGateways } from './fleet.ts';
import type { Running } from './process.ts';
import { median, medianInterval } from './statistics.ts';

const connections = 8;
const gatewayCount = 400;
const groupSize = 200;

export interface GroupFigures {
  single_posts_over_ungrouped_db: number;
  single_posts_over_ungrouped_db_low: number;
  single_posts_over_ungrouped_db_high: number;
  grouped_db_posts_per_s: number;
  ungrouped_db_posts_per_s: number;
}

interface Device {
  fleetId: number;
  gatewayId: string;
  stream: DeclaredStream;
  next: number;
}

async function devicesOf(owner: pg.Client, gatewayIds: readonly string[]): Promise<Device[]> {
  const { rows } = await owner.query(
    `select c.fleet_id, c.gateway_id, s.stream_id, l.line_id, l.shard
     from liftwright.counter c
     join liftwright.stream s using (fleet_id, counter_id)
     join liftwright.fold_line l on l.fleet_id = c.fleet_id and l.line_id = c.line_id
     where c.gateway_id = any ($1::uuid[])`,
    [gatewayIds],
  );
  return rows.map((row) => ({
    fleetId: row.fleet_id,
    gatewayId: row.gateway_id,
    stream: {
      streamId: Number(row.stream_id),
      counter: 'pto_hours',
      epoch: 0,
      widthBits: 32,
      lineId: Number(row.line_id),
      ordinal: 0,
      shard: row.shard,
    },
    next: 0,
  }));
}

/** The next post of a device, one reading: what a gateway with a steady line sends. */
function nextPost(device: Device) {
  const seq = device.next++;
  const at = 1_790_000_000_000 + seq * 190_000;
  const contact = {
    fleetId: device.fleetId,
    gatewayId: device.gatewayId,
    receivedAtMs: Date.now(),
    deviceOffsetMs: null,
  };
  return {
    contact,
    runs: [{ stream: device.stream, firstSeq: seq, at: [at], raw: [1_000 + seq], offsetMs: 0 }],
  };
}

/**
 * Posts of one reading each at the database, over as many connections of the same role: in groups,
 * as the batcher commits them, against one transaction each. Interleaved pairs, the order
 * alternating; the wall time of each way.
 */
export async function postGroups(
  service: Running,
  ownerUrl: string,
  pairs: number,
): Promise<GroupFigures> {
  const made = await makeGateways(service.url, gatewayCount, 'group');
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  const gatewayIds = made.map(({ gatewayId }) => gatewayId);
  const devices = await devicesOf(owner, gatewayIds);
  const connectionString = roleUrl(ownerUrl, 'lw_batcher');
  const pool = new pg.Pool({ connectionString, max: connections });
  const lanes = Array.from({ length: connections }, (_, i) =>
    devices.filter((_, d) => d % connections === i),
  );
  const single = async (): Promise<number> => {
    const begun = performance.now();
    await Promise.all(
      lanes.map(async (lane) => {
        for (const device of lane) {
          const { contact, runs } = nextPost(device);
          if ((await recordNewRuns(pool, contact, runs)) === null) throw new Error('not plain');
        }
      }),
    );
    return (performance.now() - begun) / 1000;
  };
  const grouped = async (rounds: number): Promise<number> => {
    const begun = performance.now();
    const groups = Math.ceil(devices.length / groupSize);
    await Promise.all(
      Array.from({ length: groups }, async (_, g) => {
        const own = devices.slice(g * groupSize, (g + 1) * groupSize);
        for (let round = 0; round < rounds; round++) {
          const stored = await recordPostGroup(pool, own.map(nextPost));
          if (stored.includes(null)) throw new Error('not plain');
        }
      }),
    );
    return (performance.now() - begun) / 1000;
  };
  const rounds = 8;
  const rates = { single: [] as number[], grouped: [] as number[] };
  for (let pair = -1; pair < pairs; pair++) {
    await owner.query('checkpoint');
    let [s, g] = [0, 0];
    for (const way of pair % 2 === 0 ? ['single', 'grouped'] : ['grouped', 'single']) {
      if (way === 'single') s = await single();
      else g = (await grouped(rounds)) / rounds;
    }
    // The first pair warms both up.
    if (pair < 0) continue;
    rates.single.push(devices.length / s);
    rates.grouped.push(devices.length / g);
  }
  await pool.end();
  await owner.end();
  const ratios = rates.grouped.map((rate, i) => rate / rates.single[i]!);
  const [low, high] = medianInterval(ratios);
  return {
    single_posts_over_ungrouped_db: median(ratios),
    single_posts_over_ungrouped_db_low: low,
    single_posts_over_ungrouped_db_high: high,
    grouped_db_posts_per_s: Math.round(median(rates.grouped)),
    ungrouped_db_posts_per_s: Math.round(median(rates.single)),
  };
}
