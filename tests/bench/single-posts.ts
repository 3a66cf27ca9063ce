import { makeGateways } from './fleet.ts';
import { type Running, startProcess } from './process.ts';
import { PostingSocket, readingsRequest } from './raw-http.ts';
import { median, percentile } from './statistics.ts';

const gatewayCount = 128;

export interface SinglePostFigures {
  single_http_posts_per_s: number;
  single_http_posts_per_s_ungrouped: number;
  single_http_over_ungrouped: number;
  single_cpu_s_per_1000_posts: number;
  single_cpu_s_per_1000_posts_ungrouped: number;
  single_p50_ms: number;
  single_p99_ms: number;
  single_p99_ms_ungrouped: number;
  single_offered_posts_per_s: number;
}

interface Device {
  key: string;
  next: number;
}

function nextPost(device: Device): Buffer {
  const seq = device.next++;
  const at = [1_600_000_000_000 + seq * 190_000];
  const stream = { counter: 'pto_hours', epoch: 0, firstSeq: seq, at, raw: [1_000 + seq] };
  return readingsRequest(device.key, { streams: [stream] });
}

const pause = (ms: number) => new Promise((settle) => setTimeout(settle, ms));

async function withSockets<T>(
  service: Running,
  count: number,
  work: (sockets: PostingSocket[]) => Promise<T>,
): Promise<T> {
  const sockets = await Promise.all(
    Array.from({ length: count }, () => PostingSocket.open(service.port)),
  );
  try {
    return await work(sockets);
  } finally {
    for (const socket of sockets) socket.close();
  }
}

/** As many posts as it takes, each gateway waiting for its answer before its next. */
function atMost(service: Running, devices: Device[], each: number) {
  return withSockets(service, devices.length, async (sockets) => {
    const cpuBefore = await service.cpuSeconds();
    const begun = performance.now();
    await Promise.all(
      sockets.map(async (socket, i) => {
        for (let n = 0; n < each; n++) await socket.post(nextPost(devices[i]!));
      }),
    );
    const wallS = (performance.now() - begun) / 1000;
    const posts = each * devices.length;
    const cpuS = (await service.cpuSeconds()) - cpuBefore;
    return { perSecond: posts / wallS, cpuPer1000: (cpuS * 1000) / posts };
  });
}

/** Posts sent when they are due, whatever the service does; ms from due to answered. */
function atRate(service: Running, devices: Device[], perSecond: number, seconds: number) {
  return withSockets(service, devices.length, async (sockets) => {
    const took: number[] = [];
    const sent: Promise<unknown>[] = [];
    const free = devices.map((device, i) => ({ device, socket: sockets[i]! }));
    const begun = performance.now();
    for (let n = 0; n < perSecond * seconds; n++) {
      const dueAt = begun + (n * 1000) / perSecond;
      if (dueAt - performance.now() > 1) await pause(dueAt - performance.now());
      while (free.length === 0) await pause(1);
      const line = free.shift()!;
      const answered = line.socket.post(nextPost(line.device)).then(() => {
        took.push(performance.now() - dueAt);
        free.push(line);
      });
      sent.push(answered);
    }
    await Promise.all(sent);
    return took;
  });
}

/**
 * Posts of one reading each over HTTP, each durable before its answer: the same server with group
 * commit and without, started in turn on the same data. Load, service and database share the
 * machine. The time of an answer is measured at half of the most that the grouped server took.
 */
export async function singlePosts(
  dataDir: string,
  port: number,
  rounds: number,
  each: number,
): Promise<SinglePostFigures> {
  const ways = ['on', 'off'] as const;
  const most = { on: [] as number[], off: [] as number[] };
  const cpu = { on: [] as number[], off: [] as number[] };
  const took = { on: [] as number[], off: [] as number[] };
  let devices: Device[] = [];
  for (let round = 0; round < rounds; round++) {
    for (const way of round % 2 === 0 ? ways : [...ways].reverse()) {
      const env = { DATA_DIR: dataDir, ROLE: 'api', GROUP_POSTS: way };
      const service = await startProcess(env, port);
      if (devices.length === 0) {
        const made = await makeGateways(service.url, gatewayCount, 'single');
        devices = made.map(({ key }) => ({ key, next: 0 }));
      }
      await atMost(service, devices, Math.ceil(each / 4));
      const { perSecond, cpuPer1000 } = await atMost(service, devices, each);
      most[way].push(perSecond);
      cpu[way].push(cpuPer1000);
      const half = median(most.on.length > 0 ? most.on : most.off) / 2;
      took[way].push(...(await atRate(service, devices, half, 5)));
      await service.stop();
    }
  }
  return {
    single_http_posts_per_s: Math.round(median(most.on)),
    single_http_posts_per_s_ungrouped: Math.round(median(most.off)),
    single_http_over_ungrouped: median(most.on) / median(most.off),
    single_cpu_s_per_1000_posts: median(cpu.on),
    single_cpu_s_per_1000_posts_ungrouped: median(cpu.off),
    single_p50_ms: percentile(took.on, 0.5),
    single_p99_ms: percentile(took.on, 0.99),
    single_p99_ms_ungrouped: percentile(took.off, 0.99),
    single_offered_posts_per_s: Math.round(median(most.on) / 2),
  };
}
