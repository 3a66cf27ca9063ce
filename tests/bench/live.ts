import { makeGateways } from './fleet.ts';
import type { Running } from './process.ts';
import { PostingSocket, readingsRequest } from './raw-http.ts';
import { percentile } from './statistics.ts';

const connections = 16;
const gatewayCount = 64;
const stepMs = 190_000;

export interface LiveFigures {
  live_posts_per_s: number;
  live_p50_ms: number;
  live_p99_ms: number;
  live_api_cpu_s_per_1000_posts: number;
  live_bound_by: string;
}

interface Device {
  key: string;
  next: number;
  last: Buffer | null;
}

/** The next post of a device: 1 to 5 readings, or one time in ten the last post again. */
function nextPost(device: Device, n: number): Buffer {
  if (device.last !== null && n % 10 === 0) return device.last;
  const count = 1 + (n % 5);
  const firstSeq = device.next;
  device.next += count;
  const seqs = Array.from({ length: count }, (_, i) => firstSeq + i);
  device.last = readingsRequest(device.key, {
    streams: [
      {
        counter: 'pto_hours',
        epoch: 0,
        firstSeq,
        at: seqs.map((seq) => 1_790_000_000_000 + seq * stepMs),
        raw: seqs.map((seq) => 1_000 + seq),
      },
    ],
  });
  return device.last;
}

/**
 * Small posts of many gateways with the whole service at work: fold, assessment and events
 * beside.
 */
export async function live(service: Running, posts: number): Promise<LiveFigures> {
  const made = await makeGateways(service.url, gatewayCount, 'live');
  const devices: Device[] = made.map(({ key }) => ({ key, next: 0, last: null }));
  const sockets = await Promise.all(
    Array.from({ length: connections }, () => PostingSocket.open(service.port)),
  );
  const took: number[] = [];
  let n = 0;
  const cpuBefore = await service.cpuSeconds();
  const begun = performance.now();
  await Promise.all(
    sockets.map(async (socket, i) => {
      // A device belongs to one connection, as in life.
      const own = devices.filter((_, d) => d % connections === i);
      for (let turn = 0; n < posts; turn++) {
        const device = own[turn % own.length]!;
        n += 1;
        const body = nextPost(device, n);
        const sent = performance.now();
        await socket.post(body);
        took.push(performance.now() - sent);
      }
    }),
  );
  const wallS = (performance.now() - begun) / 1000;
  const cpuS = (await service.cpuSeconds()) - cpuBefore;
  for (const socket of sockets) socket.close();
  const busy = cpuS / wallS;
  return {
    live_posts_per_s: Math.round(took.length / wallS),
    live_p50_ms: percentile(took, 0.5),
    live_p99_ms: percentile(took, 0.99),
    live_api_cpu_s_per_1000_posts: (cpuS * 1000) / took.length,
    live_bound_by:
      busy > 0.9
        ? `one core of the service process (${busy.toFixed(2)} busy)`
        : `the database and its disk (the service process is ${busy.toFixed(2)} cores busy)`,
  };
}
