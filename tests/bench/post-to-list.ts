import pg from 'pg';
import { call, inParallel } from './fleet.ts';
import { adminKey, type Running } from './process.ts';
import { PostingSocket, readingsRequest } from './raw-http.ts';
import { percentile } from './statistics.ts';

const postEveryMs = 60_000;
const connections = 16;
/** One post in so many puts a unit over its limit; the list is then asked until it shows it. */
const probeEvery = 20;
const askEveryMs = 20;
const giveUpMs = 30_000;
const settleMs = 300_000;
const baselineRaw = 5_000;
const interval = 1_000;

export interface PostToListFigures {
  post_to_list_p50_s: number;
  post_to_list_p99_s: number;
  post_to_list_slowest_s: number;
  post_to_list_probes: number;
  post_to_list_gateways: number;
  post_to_list_posts_per_s: number;
  post_to_list_service_cores: number;
}

interface Truck {
  key: string;
  /** Set on a truck that is a probe: it stands in a yard of its own. */
  probeYardId: string | null;
  seq: number;
  raw: number;
}

const pattern = {
  name: 'Bench lift',
  assetKind: 'lift',
  servicePoints: [
    {
      key: 'pivot',
      kind: 'grease_fitting',
      name: 'Pivot',
      side: 'centre',
      place: 'Behind the crossbar',
    },
  ],
  tasks: [
    {
      key: 'grease',
      name: 'Grease',
      points: ['pivot'],
      every: { lift_cycles: interval, days: 365 },
      overrunEffect: 'warn',
      functions: [],
    },
  ],
  wearParts: [],
};

const perImport = 1_000;
const listYard = 'List yard';

/** Trucks `from`..`to` brought in by one import, the counter of each declared by its own key. */
async function bringIn(
  url: string,
  [from, to]: [number, number],
  isProbe: (i: number) => boolean,
  baselineMs: number,
): Promise<Truck[]> {
  const names = Array.from({ length: to - from }, (_, i) => `list-${from + i}`);
  const sheet = (head: string, rows: (name: string, i: number) => string[]) =>
    `${[head, ...names.flatMap((name, i) => rows(name, from + i))].join('\n')}\n`;
  const since = '2020-01-01T00:00:00Z';
  const done = new Date(baselineMs + 1_000).toISOString();
  const { gatewayKeys } = await call<{ gatewayKeys: { serial: string; key: string }[] }>(
    url,
    '/v1/imports',
    {
      dryRun: false,
      yards: `name,time zone\n${listYard},America/Chicago\n${names
        .filter((_, i) => isProbe(from + i))
        .map((name) => `${name},America/Chicago`)
        .join('\n')}\n`,
      units: sheet('number,home yard', (name, i) => [`${name},${isProbe(i) ? name : listYard}`]),
      assets: sheet('kind,serial,pattern', (name) => [`lift,${name},${pattern.name}`]),
      gateways: sheet('serial', (name) => [name]),
      installs: sheet('unit,asset kind,asset serial,gateway serial,from', (name) => [
        `${name},lift,${name},,${since}`,
        `${name},,,${name},${since}`,
      ]),
      lastDone: sheet('asset kind,asset serial,task,done on', (name) => [
        `lift,${name},grease,${done}`,
      ]),
    },
  );
  const keys = new Map(gatewayKeys.map(({ serial, key }) => [serial, key]));
  const counters = [{ counter: 'lifts', meter: 'lift_cycles', resolution: 1 }];
  return inParallel(16, names.length, async (i) => {
    const key = keys.get(names[i] as string) as string;
    await call(url, '/v1/gateways/me/counters', { counters }, key);
    return { key, probeYardId: null, seq: 0, raw: baselineRaw };
  });
}

/** The ids of all yards by name. */
async function yardIds(url: string): Promise<Map<string, string>> {
  const ids = new Map<string, string>();
  let cursor = '';
  for (;;) {
    const answer = await fetch(`${url}/v1/yards?limit=200${cursor}`, {
      headers: { authorization: `Bearer ${adminKey}` },
    });
    const page = (await answer.json()) as {
      items: { yardId: string; name: string }[];
      next?: string;
    };
    for (const { yardId, name } of page.items) ids.set(name, yardId);
    if (page.next === undefined) return ids;
    cursor = `&cursor=${encodeURIComponent(page.next)}`;
  }
}

function postOf(truck: Truck, atMs: number, rise: number): Buffer {
  truck.raw += rise;
  const stream = { counter: 'lifts', epoch: 0, firstSeq: truck.seq, at: [atMs], raw: [truck.raw] };
  truck.seq += 1;
  return readingsRequest(truck.key, { streams: [stream] });
}

const pause = (ms: number) => new Promise((settle) => setTimeout(settle, ms));

async function listed(url: string, query: string): Promise<{ status: string }[]> {
  const answer = await fetch(`${url}/v1/bring-in?limit=1&${query}`, {
    headers: { authorization: `Bearer ${adminKey}` },
  });
  if (!answer.ok) throw new Error(`the list answered ${answer.status}`);
  return ((await answer.json()) as { items: { status: string }[] }).items;
}

/** The trucks, each with a first reading of three days ago and folded up to it. */
async function standingFleet(
  service: Running,
  ownerUrl: string,
  count: number,
  probes: number,
): Promise<Truck[]> {
  const { url } = service;
  await call(url, '/v1/patterns', { document: pattern });
  const baselineMs = Date.now() - 3 * 86_400_000;
  const every = Math.floor(count / probes);
  const isProbe = (i: number) => i % every === 0 && i / every < probes;
  const trucks: Truck[] = [];
  for (let from = 0; from < count; from += perImport) {
    const range: [number, number] = [from, Math.min(count, from + perImport)];
    trucks.push(...(await bringIn(url, range, isProbe, baselineMs)));
  }
  const ids = await yardIds(url);
  const yardId = ids.get(listYard) as string;
  for (const [i, truck] of trucks.entries()) {
    if (isProbe(i)) truck.probeYardId = ids.get(`list-${i}`) as string;
  }
  const sockets = await Promise.all(
    Array.from({ length: connections }, () => PostingSocket.open(service.port)),
  );
  await Promise.all(
    sockets.map(async (socket, n) => {
      const own = trucks.filter((_, i) => i % connections === n);
      for (const truck of own) await socket.post(postOf(truck, baselineMs, 0));
      // A probe's rise is over the three days: more would be set aside as faster than lifts can be.
      for (const truck of own) {
        if (!truck.probeYardId) await socket.post(postOf(truck, Date.now(), 1));
      }
      socket.close();
    }),
  );
  const begun = performance.now();
  const busy = async () =>
    (await marks(ownerUrl)) > 0 ||
    (await listed(url, `status=unknown&yardId=${yardId}`)).length > 0;
  while (await busy()) {
    if (performance.now() - begun > settleMs) throw new Error('the fleet does not settle');
    await pause(500);
  }
  return trucks;
}

/** How many lines and units wait for a worker: bringing a fleet in is not what is measured. */
async function marks(ownerUrl: string): Promise<number> {
  const client = new pg.Client(ownerUrl);
  await client.connect();
  const { rows } = await client.query<{ n: number }>(
    `select (select count(*) from liftwright.line_mark)::int +
       (select count(*) from liftwright.unit_mark)::int as n`,
  );
  await client.end();
  return rows[0]?.n ?? 0;
}

/** How long after it was due to be posted the list shows what a post changed, in seconds. */
async function freshAfter(url: string, yardId: string, dueAt: number): Promise<number> {
  for (;;) {
    const [unit] = await listed(url, `yardId=${yardId}`);
    const tookMs = performance.now() - dueAt;
    if (unit?.status === 'overrun') return tookMs / 1_000;
    if (tookMs > giveUpMs) return tookMs / 1_000;
    // To a twentieth of what it took: a hundred that ask all the time would be the load measured.
    await pause(Math.max(askEveryMs, tookMs / 20));
  }
}

/**
 * Many gateways at one post a minute each, spread evenly and sent when due, whatever the service
 * does (open loop); every post changes the use of its unit. One in twenty puts a unit that no other
 * post touches over its limit, and the bring-in list is asked until it says so. Load, service and
 * database share the machine.
 */
export async function postToList(
  service: Running,
  ownerUrl: string,
  gateways: number,
  seconds: number,
): Promise<PostToListFigures> {
  const perSecond = (gateways * 1_000) / postEveryMs;
  const posts = Math.floor(perSecond * seconds);
  const probes = Math.floor(posts / probeEvery);
  const trucks = await standingFleet(service, ownerUrl, gateways, probes);
  const probing = trucks.filter((truck) => truck.probeYardId !== null);
  const plain = trucks.filter((truck) => truck.probeYardId === null);
  const free = await Promise.all(
    Array.from({ length: connections }, () => PostingSocket.open(service.port)),
  );
  const took: Promise<number>[] = [];
  const cpuBefore = await service.cpuSeconds();
  const begun = performance.now();
  const answers: Promise<unknown>[] = [];
  for (let n = 0; n < posts; n++) {
    const dueAt = begun + (n * 1_000) / perSecond;
    const ahead = dueAt - performance.now();
    if (ahead > 0) await pause(ahead);
    while (free.length === 0) await pause(1);
    const kept = free.pop() as PostingSocket;
    const socket = kept.open ? kept : await PostingSocket.open(service.port);
    const probe = n % probeEvery === 0 ? probing.pop() : undefined;
    const truck = probe ?? (plain[n % plain.length] as Truck);
    const sent = socket.post(postOf(truck, Date.now(), probe ? interval * 1.2 : 1));
    answers.push(sent.then(() => free.push(socket)));
    if (probe) took.push(freshAfter(service.url, probe.probeYardId as string, dueAt));
  }
  await Promise.all(answers);
  const wallS = (performance.now() - begun) / 1_000;
  const cores = ((await service.cpuSeconds()) - cpuBefore) / wallS;
  const fresh = await Promise.all(took);
  for (const socket of free) socket.close();
  return {
    post_to_list_p50_s: percentile(fresh, 0.5),
    post_to_list_p99_s: percentile(fresh, 0.99),
    post_to_list_slowest_s: Math.max(...fresh),
    post_to_list_probes: fresh.length,
    post_to_list_gateways: trucks.length,
    post_to_list_posts_per_s: posts / wallS,
    post_to_list_service_cores: cores,
  };
}
