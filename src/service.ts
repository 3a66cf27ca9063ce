import { readFile } from 'node:fs/promises';
import type { Logger } from 'pino';
import { startEmbedded } from '../db/embedded.ts';
import { migrate } from '../db/migrate.ts';
import { jobHandlers } from '../workers/handlers.ts';
import { buildApp } from './app.ts';
import { type Clock, systemClock } from './clock.ts';
import type { Config } from './config.ts';
import { PostCommitter } from './flows/commit-together.ts';
import { foundFleet } from './flows/keys.ts';
import { StreamDirectory } from './flows/record-readings.ts';
import { keepHouse, sweep } from './flows/sweep.ts';
import type { FlowDeps } from './flows/work.ts';
import { type Lifecycle, stopHttp } from './lifecycle.ts';
import { OperatorError } from './operator-error.ts';
import type { QueuePort } from './queue/port.ts';
import { migrateQueue, openPostgresQueue } from './queue/postgres.ts';
import { openRedisQueue } from './queue/redis.ts';
import { answers, openPools, type Pools } from './store/pool.ts';

export interface ServiceOptions {
  config: Config;
  log: Logger;
  clock?: Clock;
  /** Name of the fleet that an empty database is founded with. */
  fleetName?: string;
  /** Settings of the embedded server. */
  embedded?: Readonly<Record<string, string>>;
  /** How long a wake-up call waits after one for the same work, ms; see QueueOptions. */
  restMs?: number;
  /** Parts register here as they open. Whoever made it stops it, also when the start failed. */
  lifecycle: Lifecycle;
}

export interface Service {
  /** Where the API listens; null for a worker. */
  url: string | null;
  /** The first admin key, when this start founded the fleet. */
  adminKey: string | null;
  ownerUrl: string;
  deps: FlowDeps & { queue: QueuePort; pools: Pools };
  lifecycle: Lifecycle;
  /** Waits until nothing waits to be folded, assessed or numbered; false after `withinMs`. */
  drain(withinMs?: number): Promise<boolean>;
  stop(): Promise<void>;
}

const sweepEveryMs = 15_000;
const houseEveryMs = 6 * 3_600_000;
const leaveEveryMs = 60_000;
const compactEveryMs = 3_600_000;

async function versionOfPackage(): Promise<string> {
  const text = await readFile(new URL('../package.json', import.meta.url), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}

async function openQueue(options: ServiceOptions, pools: Pools): Promise<QueuePort> {
  const { config, log, restMs } = options;
  const how = restMs === undefined ? { log } : { log, restMs };
  if (config.redisUrl !== null) return openRedisQueue(config.redisUrl, how);
  await migrateQueue(pools.queue);
  return openPostgresQueue(pools.queue, how);
}

async function listen(
  options: ServiceOptions,
  deps: Service['deps'],
  lifecycle: Lifecycle,
): Promise<string> {
  const { config, log } = options;
  const app = await buildApp({
    ...deps,
    directory: new StreamDirectory(),
    posts: new PostCommitter(deps.pools.batcher, config.groupPosts ? {} : { postsMost: 1 }),
    log,
    limits: config.limits,
    stopping: lifecycle,
    version: await versionOfPackage(),
    isReady: async () => !lifecycle.stopping && answers(deps.pools.app),
  });
  lifecycle.onStop('http', stopHttp(app));
  try {
    return await app.listen({ port: config.port, host: config.host });
  } catch (error) {
    if ((error as { code?: string }).code !== 'EADDRINUSE') throw error;
    throw new StartError(
      `Port ${config.port} on ${config.host} is taken by another program. ` +
        'Set PORT to a free one, or to 0 to take any.',
    );
  }
}

/** A start that failed for a reason the operator can mend; the message says how. */
export class StartError extends OperatorError {
  override name = 'StartError';
}

async function drain(deps: Service['deps'], withinMs: number): Promise<boolean> {
  const endMs = performance.now() + withinMs;
  while (performance.now() < endMs) {
    if ((await sweep(deps)) === 0) return true;
    await deps.queue.flush();
    await new Promise((settle) => setTimeout(settle, 50));
  }
  return false;
}

/**
 * Opens everything in order: database, schema, pools, queue, workers, and the listening API
 * last.
 */
export async function startService(options: ServiceOptions): Promise<Service> {
  const { config, log, clock = systemClock, lifecycle } = options;
  let ownerUrl = config.databaseUrl;
  if (ownerUrl === null) {
    const server = await startEmbedded({
      dataDir: config.dataDir,
      log,
      onLost: (error) => void lifecycle.stop(error.message, 1),
      ...(options.embedded ? { settings: options.embedded } : {}),
    });
    lifecycle.onStop('embedded database', (withinMs) => server.stop(withinMs));
    ownerUrl = server.ownerUrl;
  }
  await migrate(ownerUrl, { log, clock });
  const pools = openPools(ownerUrl, { log });
  lifecycle.onStop('database pools', (withinMs) => pools.close(withinMs));
  const queue = await openQueue(options, pools);
  lifecycle.onStop('queue', (withinMs) => queue.close(withinMs));
  const { readingsKeepMonths } = config;
  const deps = { pools, clock, queue, readingsKeepMonths };
  await keepHouse(deps);
  const founding = { name: options.fleetName ?? 'First fleet', adminKey: config.adminKey };
  const adminKey = await foundFleet(deps, founding);
  if (config.role !== 'api') {
    await queue.work(jobHandlers(deps));
    await queue.every('sweep', sweepEveryMs);
    await queue.every('partitions', houseEveryMs);
    await queue.every('leave', leaveEveryMs);
    await queue.every('compact', compactEveryMs);
  }
  const url = config.role === 'worker' ? null : await listen(options, deps, lifecycle);
  await sweep(deps);
  return {
    url,
    adminKey,
    ownerUrl,
    deps,
    lifecycle,
    drain: (withinMs = 60_000) => drain(deps, withinMs),
    stop: () => lifecycle.stop('asked to'),
  };
}
