import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface Running {
  url: string;
  port: number;
  /** From the spawn to the first answer of /readyz, ms. */
  startMs: number;
  child: ChildProcess;
  /** CPU seconds that the process itself has used. */
  cpuSeconds(): Promise<number>;
  stop(): Promise<void>;
}

export const adminKey = 'bench-admin-key-0123456789abcdef';
const main = new URL('../../src/main.ts', import.meta.url).pathname;
const startLimitMs = 120_000;

export async function scratchFolder(): Promise<{ path: string; remove(): Promise<void> }> {
  const path = await mkdtemp(join(tmpdir(), 'liftwright-bench-'));
  return { path, remove: () => rm(path, { recursive: true, force: true }) };
}

/** Starts the service as a process of its own and waits until it serves. */
export async function startProcess(env: Record<string, string>, port: number): Promise<Running> {
  const begun = performance.now();
  const child = spawn(process.execPath, [main], {
    env: {
      ...process.env,
      PORT: String(port),
      LOG_LEVEL: 'error',
      ADMIN_KEY: adminKey,
      // The limits are at work but out of reach: a bench is the runaway client they are there for.
      RATE_LIMIT_GATEWAY: '9999999',
      RATE_LIMIT_PEOPLE: '9999999',
      ...env,
    },
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  const url = `http://127.0.0.1:${port}`;
  for (;;) {
    if (child.exitCode !== null) throw new Error('the service did not start');
    const ready = await fetch(`${url}/readyz`).then(
      (answer) => answer.ok,
      () => false,
    );
    if (ready) break;
    if (performance.now() - begun > startLimitMs) throw new Error('the service starts too slowly');
    await new Promise((settle) => setTimeout(settle, 20));
  }
  const startMs = performance.now() - begun;
  return {
    url,
    port,
    startMs,
    child,
    cpuSeconds: () => cpuSecondsOf(child.pid as number),
    stop: async () => {
      const gone = once(child, 'exit');
      child.kill('SIGTERM');
      await gone;
    },
  };
}

async function cpuSecondsOf(pid: number): Promise<number> {
  const { readFile } = await import('node:fs/promises');
  const stat = await readFile(`/proc/${pid}/stat`, 'utf8').catch(() => '');
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
  return (Number(fields[11] ?? 0) + Number(fields[12] ?? 0)) / 100;
}
