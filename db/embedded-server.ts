import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import {
  chown,
  mkdir,
  open,
  readdir,
  readFile,
  readlink,
  rename,
  rm,
  stat,
} from 'node:fs/promises';
import { createServer } from 'node:net';
import { platform } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { promisify } from 'node:util';
import type { Log } from '../src/log.ts';
import { type Binaries, EmbeddedError, type RunAs, spawnSettings } from './embedded-binaries.ts';
import type { Home } from './embedded-home.ts';

const run = promisify(execFile);

/** Login name of the cluster's owner, who migrates and makes the other roles. */
export const OWNER = 'lw_admin';

const INITDB_TIMEOUT_MS = 180_000;
const LOG_KEPT_BYTES = 5_000_000;

const message = (error: unknown) => (error instanceof Error ? error.message : String(error));

/** Makes the cluster beside its place and moves it there when it is whole: no half ones. */
export async function initCluster(home: Home, bins: Binaries, log: Log): Promise<void> {
  for (const name of await readdir(home.folder)) {
    const maker = /^cluster\.part-(\d+)-/.exec(name)?.[1];
    if (maker === undefined || (await isAlive(Number(maker)))) continue;
    log.warn({ folder: home.folder }, 'an earlier first start was interrupted; starting over');
    // The initdb of a maker that was killed outlives it and may write for a moment yet.
    const leftOver = { recursive: true, force: true, maxRetries: 15, retryDelay: 100 };
    await rm(join(home.folder, name), leftOver);
  }
  log.info({ folder: home.folder, version: bins.version }, 'making a new PostgreSQL cluster');
  const part = join(home.folder, `cluster.part-${process.pid}-${randomBytes(3).toString('hex')}`);
  const secret = `${part}.password`;
  try {
    await mkdir(part, { mode: 0o700 });
    await give(part, home.runAs);
    await writeSecret(secret, home);
    await run(
      bins.initdb,
      [
        `--pgdata=${part}`,
        `--username=${OWNER}`,
        `--pwfile=${secret}`,
        '--auth=scram-sha-256',
        '--encoding=UTF8',
        '--locale=C',
        '--locale-provider=builtin',
        '--builtin-locale=C.UTF-8',
        '--data-checksums',
        '--no-instructions',
      ],
      { ...spawnSettings(home.runAs), timeout: INITDB_TIMEOUT_MS, killSignal: 'SIGKILL' },
    );
    await rename(part, home.cluster);
  } catch (error) {
    await rm(part, { recursive: true, force: true }).catch(() => undefined);
    // Two processes at their first start: the other one's cluster is as good.
    if (await hasCluster(home)) return;
    throw new EmbeddedError(
      `A PostgreSQL cluster cannot be made in ${home.folder}: ${message(error)}`,
    );
  } finally {
    await rm(secret, { force: true }).catch(() => undefined);
  }
}

async function writeSecret(path: string, home: Home): Promise<void> {
  const file = await open(path, 'wx', 0o600);
  try {
    await file.writeFile(`${home.password}\n`);
  } finally {
    await file.close();
  }
  await give(path, home.runAs);
}

async function give(path: string, runAs: RunAs): Promise<void> {
  if (runAs !== null) await chown(path, runAs.uid, runAs.gid);
}

export async function hasCluster(home: Home): Promise<boolean> {
  return (await stat(join(home.cluster, 'PG_VERSION')).catch(() => null)) !== null;
}

/** Refuses a cluster of another major version, which this server can neither read nor convert. */
export async function checkMajor(home: Home, bins: Binaries): Promise<void> {
  const found = (await readFile(join(home.cluster, 'PG_VERSION'), 'utf8')).trim();
  if (found === String(bins.major)) return;
  throw new EmbeddedError(
    `The database in ${home.cluster} was made by PostgreSQL ${found || '(unreadable)'}; this ` +
      `version of the service brings PostgreSQL ${bins.major}. Nothing was changed. To move ` +
      'over: start the earlier version of the service, save the database with pg_dump, set ' +
      'DATA_DIR to a new folder, start this version once, and load the dump.',
  );
}

/** What postmaster.pid says of the server of a cluster, once it is sure that it runs. */
export interface Postmaster {
  pid: number;
  /** 0 while the server has not written it yet. */
  port: number;
  /** "starting", "ready", "stopping" or "standby". */
  status: string;
}

/** True while a process of that number exists, a zombie of ours excepted. */
export async function isAlive(pid: number): Promise<boolean> {
  try {
    process.kill(pid, 0);
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
  if (platform() !== 'linux') return true;
  const state = await readFile(`/proc/${pid}/stat`, 'utf8').catch(() => '');
  return !/^\d+ \(.*\) Z/s.test(state);
}

/** Does this live process serve that cluster? A postmaster's working directory is its cluster. */
async function serves(pid: number, cluster: string): Promise<boolean> {
  if (platform() === 'linux') {
    // Unreadable means another user's process, and a cluster is served by its owner only.
    return (await readlink(`/proc/${pid}/cwd`).catch(() => '')) === cluster;
  }
  if (platform() === 'win32') return true;
  const { stdout } = await run('/bin/ps', ['-o', 'args=', '-p', String(pid)], {
    timeout: 10_000,
  }).catch(() => ({ stdout: '' }));
  return stdout.includes(cluster);
}

async function anyoneServes(cluster: string): Promise<boolean> {
  if (platform() !== 'linux') return false;
  for (const name of await readdir('/proc')) {
    if (/^\d+$/.test(name) && (await serves(Number(name), cluster))) return true;
  }
  return false;
}

/**
 * The running server of the cluster, or null. Removes a postmaster.pid whose number now belongs to
 * another program, which PostgreSQL itself would take for a running server; one whose process is
 * dead is left to PostgreSQL, which also checks for backends that outlived it.
 */
export async function findPostmaster(home: Home, log: Log): Promise<Postmaster | null> {
  const path = join(home.cluster, 'postmaster.pid');
  const lines = (await readFile(path, 'utf8').catch(() => null))?.split('\n');
  if (lines === undefined) return null;
  const pid = Number(lines[0]);
  const readable = Number.isSafeInteger(pid) && pid > 0;
  if (readable && !(await isAlive(pid))) return null;
  if (readable && (await serves(pid, home.cluster))) {
    return { pid, port: Number(lines[3]) || 0, status: (lines[7] ?? 'starting').trim() };
  }
  // Read again: the file may have been just written by a server that is starting.
  if ((await readFile(path, 'utf8').catch(() => '')) !== lines.join('\n')) return null;
  if (await anyoneServes(home.cluster)) return null;
  log.warn({ pid: lines[0] }, 'removed a stale postmaster.pid: its process is another program');
  await rm(path, { force: true });
  return null;
}

/** True when a server could listen there now. */
function isFree(port: number): Promise<boolean> {
  return new Promise((settle) => {
    const server = createServer();
    server.once('error', () => settle(false));
    server.listen(port, '127.0.0.1', () => server.close(() => settle(true)));
  });
}

function anyFreePort(): Promise<number> {
  return new Promise((settle, fail) => {
    const server = createServer();
    server.once('error', fail);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      const port = typeof address === 'object' && address !== null ? address.port : 0;
      server.close(() => settle(port));
    });
  });
}

/** The remembered port when it is free, else another one. */
export async function choosePort(home: Home, log: Log): Promise<number> {
  const remembered = Number(await readFile(home.portFile, 'utf8').catch(() => ''));
  if (Number.isInteger(remembered) && remembered > 0 && remembered < 65_536) {
    if (await isFree(remembered)) return remembered;
    log.warn({ port: remembered }, `port ${remembered} is taken; PostgreSQL uses another one`);
  }
  return anyFreePort();
}

/** The end of the server's log since `from` (bytes), at most `lines` lines. */
export async function logTail(home: Home, from: number, lines = 20): Promise<string> {
  const text = await readFile(home.logFile).catch(() => Buffer.alloc(0));
  const start = Math.max(Math.min(from, text.length), text.length - 16_384);
  return text.subarray(start).toString('utf8').trim().split('\n').slice(-lines).join('\n');
}

/** A server that was asked to start; `exited` is set when its process has ended. */
export interface Launched {
  child: ChildProcess;
  port: number;
  logFrom: number;
  exited: { done: boolean; error: string | null };
}

const SETTINGS: Readonly<Record<string, string>> = {
  listen_addresses: '127.0.0.1',
  unix_socket_directories: '',
  timezone: 'UTC',
  log_timezone: 'UTC',
  lc_messages: 'C',
  // Failed statements are the service's business and would grow the log without bound.
  log_min_messages: 'log',
  log_checkpoints: 'off',
};

/** Starts the server's process and returns at once; it outlives this process and its terminal. */
export async function launch(
  home: Home,
  bins: Binaries,
  port: number,
  extra: Readonly<Record<string, string>>,
): Promise<Launched> {
  const size = (await stat(home.logFile).catch(() => null))?.size ?? 0;
  if (size > LOG_KEPT_BYTES) await rename(home.logFile, `${home.logFile}.1`);
  const logFile = await open(home.logFile, 'a', 0o600);
  const logFrom = size > LOG_KEPT_BYTES ? 0 : size;
  const settings = { ...SETTINGS, ...extra, port: String(port) };
  const flags = Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]);
  // Windows: the server refuses an administrator's rights, which only pg_ctl can drop.
  const [program, args] =
    platform() === 'win32'
      ? [bins.pgCtl, ['start', '-W', '-D', home.cluster, '-o', flags.join(' ')]]
      : [bins.postgres, ['-D', home.cluster, ...flags]];
  const child = spawn(program, args, {
    ...spawnSettings(home.runAs),
    detached: true,
    stdio: ['ignore', logFile.fd, logFile.fd],
  });
  const exited = { done: false, error: null as string | null };
  child.once('exit', () => {
    exited.done = platform() !== 'win32';
  });
  child.once('error', (error) => {
    exited.done = true;
    exited.error = error.message;
  });
  child.unref();
  await logFile.close();
  return { child, port, logFrom, exited };
}

async function gone(pid: number, withinMs: number): Promise<boolean> {
  const deadline = AbortSignal.timeout(Math.ceil(withinMs));
  while (!deadline.aborted) {
    if (!(await isAlive(pid))) return true;
    await sleep(20);
  }
  return !(await isAlive(pid));
}

/**
 * Fast shutdown (open transactions are rolled back, data is written out), and after two thirds of
 * the time the immediate one (the next start recovers from the log). Answers how it ended.
 */
export async function stopPostmaster(
  home: Home,
  bins: Binaries,
  pid: number,
  withinMs: number,
): Promise<'clean' | 'immediate' | 'still running'> {
  const ask = async (mode: 'fast' | 'immediate', signal: NodeJS.Signals) => {
    if (platform() === 'win32') {
      const args = ['stop', '-W', '-D', home.cluster, '-m', mode];
      await run(bins.pgCtl, args, { ...spawnSettings(null), timeout: withinMs }).catch(() => null);
      return;
    }
    try {
      process.kill(pid, signal);
    } catch {
      // It ended by itself meanwhile.
    }
  };
  await ask('fast', 'SIGINT');
  if (await gone(pid, (withinMs * 2) / 3)) return 'clean';
  await ask('immediate', 'SIGQUIT');
  return (await gone(pid, withinMs / 3)) ? 'immediate' : 'still running';
}
