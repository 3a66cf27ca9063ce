import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import pg from 'pg';
import { from as copyFrom } from 'pg-copy-streams';
import { makeGateways } from './fleet.ts';
import type { Running } from './process.ts';
import { PostingSocket, readingsRequest } from './raw-http.ts';
import { median, medianInterval } from './statistics.ts';

const connections = 8;
const runLength = 500;
// Ten rounds of readings end years before now: a clock ahead of ours is another matter.
const startMs = 1_420_000_000_000;
const stepMs = 190_000;

/** The same readings both ways: a counter of 0.05 h that rises by one tick every 190 s. */
const readingAt = (seq: number) => ({ at: startMs + seq * stepMs, raw: 1_000 + seq });

function postBodies(key: string, firstSeq: number, runs: number): Buffer[] {
  return Array.from({ length: runs }, (_, r) => {
    const seqs = Array.from({ length: runLength }, (_, i) => firstSeq + r * runLength + i);
    const readings = seqs.map(readingAt);
    return readingsRequest(key, {
      streams: [
        {
          counter: 'pto_hours',
          epoch: 0,
          firstSeq: firstSeq + r * runLength,
          at: readings.map((x) => x.at),
          raw: readings.map((x) => x.raw),
        },
      ],
    });
  });
}

function copyRows(streamId: number, firstSeq: number, count: number): Buffer[] {
  const chunks: Buffer[] = [];
  for (let i = 0; i < count; i += 5_000) {
    const lines: string[] = [];
    for (let seq = firstSeq + i; seq < firstSeq + Math.min(count, i + 5_000); seq++) {
      const { at, raw } = readingAt(seq);
      lines.push(`${streamId}\t${seq}\t${at}\t${raw}\t${at}\n`);
    }
    chunks.push(Buffer.from(lines.join('')));
  }
  return chunks;
}

async function timeCopy(clients: pg.Client[], round: number, readings: number): Promise<number> {
  const data = clients.map((_, i) => copyRows(i, round * readings, readings));
  const begun = performance.now();
  await Promise.all(
    clients.map((client, i) =>
      pipeline(
        Readable.from(data[i]!),
        client.query(copyFrom('copy bench.keyed_reading from stdin')),
      ),
    ),
  );
  return (performance.now() - begun) / 1000;
}

async function timePosts(sockets: PostingSocket[], bodies: Buffer[][]): Promise<number> {
  const begun = performance.now();
  await Promise.all(
    sockets.map(async (socket, i) => {
      for (const body of bodies[i]!) {
        const answer = await socket.post(body);
        if (!answer.includes(`"accepted":${runLength},`)) throw new Error(answer.slice(0, 300));
      }
    }),
  );
  return (performance.now() - begun) / 1000;
}

export interface BacklogFigures {
  bulk_over_keyed_copy: number;
  bulk_over_keyed_copy_low: number;
  bulk_over_keyed_copy_high: number;
  bulk_readings_per_s: number;
  keyed_copy_readings_per_s: number;
  bulk_api_cpu_us_per_reading: number;
}

/**
 * 500-reading posts over HTTP, each durable before its answer with dedupe and marks, against COPY
 * of the same readings, one row each with primary key (stream, seq), on the same server with as
 * many connections and one COPY a connection. Interleaved pairs, the order alternating.
 */
export async function backlog(
  service: Running,
  ownerUrl: string,
  pairs: number,
  runsEach: number,
): Promise<BacklogFigures> {
  const gateways = await makeGateways(service.url, connections, 'backlog');
  const admin = new pg.Client({ connectionString: ownerUrl });
  await admin.connect();
  await admin.query(`drop schema if exists bench cascade; create schema bench;
    create table bench.keyed_reading (stream_id bigint, seq bigint, at_ms bigint not null,
      raw bigint not null, received_ms bigint not null, primary key (stream_id, seq))`);
  const clients = gateways.map(() => new pg.Client({ connectionString: ownerUrl }));
  await Promise.all(clients.map((client) => client.connect()));
  const sockets = await Promise.all(gateways.map(() => PostingSocket.open(service.port)));
  const readings = runsEach * runLength;
  const ratios: number[] = [];
  const rates = { post: [] as number[], copy: [] as number[] };
  let cpu = 0;
  for (let pair = -1; pair < pairs; pair++) {
    const round = pair + 1;
    const bodies = gateways.map(({ key }) => postBodies(key, round * readings, runsEach));
    await admin.query('checkpoint');
    const cpuBefore = await service.cpuSeconds();
    let copyS = 0;
    let postS = 0;
    for (const way of pair % 2 === 0 ? ['copy', 'post'] : ['post', 'copy']) {
      if (way === 'copy') copyS = await timeCopy(clients, round, readings);
      else postS = await timePosts(sockets, bodies);
    }
    // The first pair warms both up.
    if (pair < 0) continue;
    cpu += (await service.cpuSeconds()) - cpuBefore;
    ratios.push(copyS / postS);
    rates.post.push((connections * readings) / postS);
    rates.copy.push((connections * readings) / copyS);
  }
  for (const socket of sockets) socket.close();
  await Promise.all(clients.map((client) => client.end()));
  await admin.query('drop schema bench cascade');
  await admin.end();
  const [low, high] = medianInterval(ratios);
  return {
    bulk_over_keyed_copy: median(ratios),
    bulk_over_keyed_copy_low: low,
    bulk_over_keyed_copy_high: high,
    bulk_readings_per_s: Math.round(median(rates.post)),
    keyed_copy_readings_per_s: Math.round(median(rates.copy)),
    bulk_api_cpu_us_per_reading: (cpu * 1e6) / (pairs * connections * readings),
  };
}
