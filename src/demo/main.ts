import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { type Logger, pino } from 'pino';
import { startEmbedded } from '../../db/embedded.ts';
import { holdsFleet, renewDatabase } from '../../db/fresh-database.ts';
import { Liftwright } from '../../openapi/client.ts';
import { systemClock } from '../clock.ts';
import { type Config, processConfig } from '../config.ts';
import { keepHouse } from '../flows/sweep.ts';
import { createLifecycle, type Lifecycle } from '../lifecycle.ts';
import type { Log } from '../log.ts';
import { OperatorError, reportFailure } from '../operator-error.ts';
import { type Service, startService } from '../service.ts';
import { companyName } from './company.ts';
import { type KeptAlive, keepAlive } from './keep-alive.ts';
import { postLive } from './live.ts';
import { windowBefore } from './moments.ts';
import { readinessText, readReadiness } from './month/readiness-text.ts';
import { type PostedHistory, postHistory } from './post-history.ts';
import { bringInText, findingsText, keysText } from './print.ts';
import { readBringIn } from './read-back.ts';
import { findDefects } from './seen.ts';
import { idOf } from './settle-in.ts';
import { WarpedClock } from './warped-clock.ts';

const usage = `npm run demo -- [options]
  --exit         end after the bring-in list
  --json         print only the list, as JSON (with --exit)
  --days <n>     length of the history in days, 30 to 360 (default 180)
  --seed <text>  another company history (default "thistledown")`;

interface Options {
  exit: boolean;
  json: boolean;
  days: number;
  seed: string;
}

/** Null when help is asked for. */
function readOptions(): Options | null {
  const values = parseOptions();
  const days = Number(values.days);
  if (!Number.isInteger(days) || days < 30 || days > 360) {
    throw new OperatorError('--days must be a whole number from 30 to 360.');
  }
  if (values.json && !values.exit) throw new OperatorError('--json goes with --exit.');
  return values.help ? null : { exit: values.exit, json: values.json, days, seed: values.seed };
}

function parseOptions() {
  try {
    return parseArgs({
      options: {
        exit: { type: 'boolean', default: false },
        json: { type: 'boolean', default: false },
        help: { type: 'boolean', default: false },
        days: { type: 'string', default: '180' },
        seed: { type: 'string', default: 'thistledown' },
      },
    }).values;
  } catch (error) {
    throw new OperatorError(`${error instanceof Error ? error.message : error}\n\n${usage}`);
  }
}

const drainMostMs = 300_000;
const startedAtMs = performance.now();
const secondsSoFar = () => `${((performance.now() - startedAtMs) / 1000).toFixed(1)} s`;

/**
 * The embedded server of the demo's own folder, with a database begun anew; answers its
 * address.
 */
async function ownDatabase(dataDir: string, log: Log, lifecycle: Lifecycle): Promise<string> {
  const onLost = (error: Error) => void lifecycle.stop(error.message, 1);
  // It begins anew at the next start, so that nothing is gained by waiting for the disk.
  const settings = { synchronous_commit: 'off' };
  const server = await startEmbedded({ dataDir, log, onLost, settings });
  lifecycle.onStop('embedded database', (withinMs) => server.stop(withinMs));
  return renewDatabase(server.ownerUrl, 'demo', log);
}

/**
 * A database that somebody else keeps must not hold a fleet: the demo would put its own beside
 * it.
 */
async function givenDatabase(url: string, log: Log): Promise<string> {
  if (!(await holdsFleet(url, log))) return url;
  throw new OperatorError(
    'The database in DATABASE_URL holds a fleet already. The demo needs an empty one: create a ' +
      'database for it, or unset DATABASE_URL to use one of its own.',
  );
}

interface Running {
  service: Service;
  api: Liftwright;
  connection: KeptAlive;
  posted: PostedHistory;
  adminKey: string;
  clock: WarpedClock;
}

/** Starts the service with a clock of the demo's own and posts the whole history to it. */
async function play(
  config: Config,
  options: Options,
  log: Logger,
  lifecycle: Lifecycle,
  say: (text: string) => void,
): Promise<Running> {
  const dataDir = join(config.dataDir, 'demo');
  if (config.databaseUrl === null) {
    say(`The demo's own database, in ${dataDir}, begins anew at each start.\n`);
  }
  const databaseUrl =
    config.databaseUrl === null
      ? await ownDatabase(dataDir, log, lifecycle)
      : await givenDatabase(config.databaseUrl, log);
  const window = windowBefore(systemClock.nowMs(), options.days);
  const clock = new WarpedClock(window.startMs);
  const service = await startService({
    // The queue stays in the demo's database: a Redis may be shared with a service that is at work.
    config: { ...config, dataDir, databaseUrl, redisUrl: null, role: 'all' },
    log,
    clock,
    fleetName: companyName,
    // Days of history pass in a second: folding them post by post would only cost time.
    restMs: 1_500,
    lifecycle,
  });
  lifecycle.run();
  const { url, adminKey } = service;
  if (url === null || adminKey === null) throw new Error('the service has no address or no key');
  say(`${companyName}: ${options.days} days of history go to ${url} `);
  const connection = keepAlive(url);
  const api = new Liftwright(connection.send, adminKey);
  const posted = await postHistory({
    api,
    adminKey,
    clock,
    window,
    seed: options.seed,
    drain: async () => {
      if (!(await service.drain(drainMostMs))) throw new Error('the service did not keep up');
    },
    keepHouse: async () => {
      await keepHouse(service.deps);
    },
    onDay: (dayIndex) => {
      if (dayIndex % 10 === 0) say('.');
    },
  });
  clock.release(systemClock);
  say(` ${secondsSoFar()}\n`);
  return { service, api, connection, posted, adminKey, clock };
}

const shownRoles = ['lead', 'dispatcher', 'technician', 'parts', 'auditor', 'integrator'] as const;

async function roleKeys({ api, adminKey, posted }: Running): Promise<Map<string, string>> {
  const keys = new Map([['admin', adminKey]]);
  for (const role of shownRoles) {
    const body = { role, name: `Demo ${role}` };
    keys.set(role, (await api.postKeys(body, { key: adminKey })).key ?? '');
  }
  keys.set('gateway', idOf(posted.directory.gateways, '11').key);
  return keys;
}

async function tell(running: Running, say: (text: string) => void): Promise<void> {
  const { api, adminKey, posted, service } = running;
  const list = await readBringIn(api, adminKey);
  say(`\nBring-in list, the most pressing first\n\n${bringInText(list)}\n`);
  const readiness = readinessText(await readReadiness(api, adminKey));
  say(`\nReadiness, as dispatch is answered now\n\n${readiness}\n`);
  const findings = await findDefects(api, adminKey, posted);
  say(`\nWhat was planted, and what the service saw\n\n${findingsText(findings)}\n`);
  const readings = [...posted.senders.values()].reduce((sum, { tally }) => sum + tally.readings, 0);
  const posts = [...posted.senders.values()].reduce((sum, { tally }) => sum + tally.posts, 0);
  say(`\n${readings} readings in ${posts} posts, ${secondsSoFar()} in all.\n`);
  say(`\nAPI and its documentation: ${service.url}/docs\n\nKeys\n\n`);
  say(`${keysText(await roleKeys(running))}\n`);
}

async function goOn({ posted, clock, service }: Running, seed: string): Promise<void> {
  process.stdout.write('\nGoing on live; Ctrl-C ends it.\n');
  const stopping = new AbortController();
  service.lifecycle.onStop('live posts', () => stopping.abort());
  await postLive({
    posted,
    seed,
    nowMs: () => clock.nowMs(),
    signal: stopping.signal,
    onPost: (unit, words) => process.stdout.write(`  unit ${unit}: ${words}\n`),
  });
}

async function run(): Promise<void> {
  const options = readOptions();
  if (options === null) {
    process.stdout.write(`${usage}\n`);
    return;
  }
  const config = processConfig();
  // The service's own chatter would drown the demo; what goes wrong is still told.
  const level = config.logLevel === 'info' ? 'warn' : config.logLevel;
  const log = pino({ level }, pino.destination({ dest: 2, sync: true }));
  const say = (text: string) => {
    if (!options.json) process.stdout.write(text);
  };
  const lifecycle = createLifecycle({ log });
  try {
    const running = await play(config, options, log, lifecycle, say);
    if (options.json) {
      const items = await readBringIn(running.api, running.adminKey);
      process.stdout.write(`${JSON.stringify({ items }, null, 2)}\n`);
    } else {
      await tell(running, say);
    }
    if (!options.exit) return await goOn(running, options.seed);
    running.connection.close();
    await lifecycle.stop('the list is told');
  } catch (error) {
    if (!lifecycle.stopping) reportFailure(error);
    await lifecycle.stop('the demo failed', 1);
  }
}

try {
  await run();
} catch (error) {
  reportFailure(error);
  process.exit(1);
}
