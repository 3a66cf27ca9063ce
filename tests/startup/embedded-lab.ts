import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { chmod, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import pg from 'pg';
import { afterAll, onTestFinished } from 'vitest';
import { type EmbeddedServer, startEmbedded } from '../../db/embedded.ts';
import { type Log, silentLog } from '../../src/log.ts';

const run = promisify(execFile);

export const isRoot = process.getuid?.() === 0;
/** The numbers of user `nobody`, to run something as an ordinary user. */
export const nobody = { uid: 65_534, gid: 65_534 };

const CHILD = fileURLToPath(new URL('./embedded-child.ts', import.meta.url));

/** A log that keeps its lines. */
export function keepingLog(): Log & { lines: string[] } {
  const lines: string[] = [];
  const keep = (fields: object, text: string) => {
    lines.push(`${text} ${JSON.stringify(fields)}`);
  };
  return { lines, debug: keep, info: keep, warn: keep, error: keep };
}

/** A folder that everyone can enter, removed after the test with what serves it. */
export async function scratch(mode = 0o755): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'liftwright-embedded-'));
  await chmod(folder, mode);
  onTestFinished(async () => {
    await endPostmaster(join(folder, 'data'));
    await rm(folder, { recursive: true, force: true });
  });
  return folder;
}

let pristine: Promise<string> | null = null;

/** A data folder with a stopped, made cluster: a copy, so that not each test makes one. */
export async function madeDataDir(): Promise<string> {
  pristine ??= (async () => {
    const folder = await mkdtemp(join(tmpdir(), 'liftwright-pristine-'));
    await chmod(folder, 0o755);
    const dataDir = join(folder, 'data');
    await (await startEmbedded({ dataDir, log: silentLog })).stop();
    // Each copy chooses a port of its own.
    await rm(join(dataDir, 'postgres', 'port'));
    return dataDir;
  })();
  const dataDir = join(await scratch(), 'data');
  await run('cp', ['-a', await pristine, dataDir]);
  return dataDir;
}

afterAll(async () => {
  if (pristine !== null) await rm(join(await pristine, '..'), { recursive: true, force: true });
});

export const clusterOf = (dataDir: string) => join(dataDir, 'postgres', 'cluster');

/** Number of the server's process, or null. */
export async function postmasterPid(cluster: string): Promise<number | null> {
  const text = await readFile(join(cluster, 'postmaster.pid'), 'utf8').catch(() => '');
  return Number(text.split('\n')[0]) || null;
}

export function alive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

export async function until(what: string, check: () => boolean | Promise<boolean>): Promise<void> {
  for (let i = 0; i < 600; i += 1) {
    if (await check()) return;
    await sleep(25);
  }
  throw new Error(`waited in vain until ${what}`);
}

/** Ends a server that a test left behind, so that its folder can be removed. */
async function endPostmaster(dataDir: string): Promise<void> {
  const note = await readFile(join(dataDir, 'embedded-postgres.json'), 'utf8').catch(() => null);
  if (note === null) return;
  const folder = /"folder":"([^"]+)"/.exec(note)?.[1] ?? 'postgres';
  const pid = await postmasterPid(join(resolve(dataDir, folder), 'cluster'));
  if (pid === null || !alive(pid)) return;
  const command = await readFile(`/proc/${pid}/cmdline`, 'utf8').catch(() => '');
  if (!command.includes('postgres')) return;
  process.kill(pid, 'SIGCONT');
  process.kill(pid, 'SIGQUIT');
  await until('the server of the test ends', () => !alive(pid));
}

/** A start in this process; stopped after the test if the test did not. */
export async function start(
  dataDir: string,
  log: Log = keepingLog(),
  more: { startTimeoutMs?: number; onLost?: (error: Error) => void } = {},
): Promise<EmbeddedServer> {
  const server = await startEmbedded({ dataDir, log, ...more });
  let stopped = false;
  onTestFinished(async () => {
    if (!stopped) await server.stop();
  });
  return {
    ...server,
    stop: (withinMs) => {
      stopped = true;
      return server.stop(withinMs);
    },
  };
}

export interface Child {
  process: ChildProcess;
  /** The line that it printed: the server or an error. */
  answer: { ownerUrl?: string; port?: number; adopted?: boolean; error?: string };
  /** Asks it to stop; how its stop ended. */
  stop(): Promise<string>;
  kill(): Promise<void>;
}

/** A start in a process of its own. */
export async function startChild(
  dataDir: string,
  options: { uid?: number; gid?: number; script?: string } = {},
): Promise<Child> {
  const { script = CHILD, ...user } = options;
  const child = spawn(process.execPath, [script, dataDir], {
    ...user,
    cwd: '/',
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const ended = new Promise<void>((settle) => child.once('exit', () => settle()));
  onTestFinished(async () => {
    child.kill('SIGKILL');
    await ended;
  });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const read = async () => JSON.parse((await lines.next()).value ?? '{"error":"it said nothing"}');
  const answer = await read();
  return {
    process: child,
    answer,
    stop: async () => {
      child.stdin.write('stop\n');
      const { end } = await read();
      await ended;
      return end;
    },
    kill: async () => {
      child.kill('SIGKILL');
      await ended;
    },
  };
}

/** Runs one statement as the owner. */
export async function ask(url: string, sql: string): Promise<Record<string, unknown>[]> {
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    return (await client.query(sql)).rows;
  } finally {
    await client.end();
  }
}
