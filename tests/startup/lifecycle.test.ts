import { type ChildProcess, spawn } from 'node:child_process';
import { Agent, get } from 'node:http';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createLifecycle } from '../../src/lifecycle.ts';
import { clusterOf, keepingLog, postmasterPid, scratch, until } from './embedded-lab.ts';

const SCRIPT = fileURLToPath(new URL('./lifecycle-child.ts', import.meta.url));

interface Service {
  child: ChildProcess;
  port: number;
  lines: Record<string, unknown>[];
  ended: Promise<number | NodeJS.Signals | null>;
}

async function serve(wishes: object = {}): Promise<Service> {
  const child = spawn(process.execPath, [SCRIPT, JSON.stringify(wishes)], {
    stdio: ['ignore', 'pipe', 'inherit'],
    // A process group of its own, so that a test can signal it as a terminal does.
    detached: true,
  });
  const ended = new Promise<number | NodeJS.Signals | null>((settle) =>
    child.once('close', (code, signal) => settle(code ?? signal)),
  );
  onTestFinished(async () => {
    child.kill('SIGKILL');
    await ended;
  });
  const lines: Record<string, unknown>[] = [];
  createInterface({ input: child.stdout }).on('line', (line) => lines.push(JSON.parse(line)));
  await until('it listens', () => lines.some((line) => line.port));
  return { child, port: lines.find((line) => line.port)!.port as number, lines, ended };
}

const parts = (service: Service) => service.lines.flatMap((line) => line.part ?? []);
const saying = (service: Service, part: string) =>
  until(`it says ${part}`, () => parts(service).includes(part));

interface Answer {
  status: number;
  connection: string | undefined;
  body: string;
}

function fetchOn(agent: Agent, port: number, path: string): Promise<Answer> {
  return new Promise((settle, fail) => {
    const request = get({ agent, port, path, host: '127.0.0.1' }, (response) => {
      let body = '';
      response.on('data', (chunk) => {
        body += chunk;
      });
      response.on('end', () =>
        settle({ status: response.statusCode ?? 0, connection: response.headers.connection, body }),
      );
    });
    request.on('error', fail);
  });
}

describe('a process that is asked to stop', () => {
  it.each(['SIGTERM', 'SIGINT'] as const)(
    'answers what is under way and ends: %s',
    async (signal) => {
      const service = await serve();
      const agent = new Agent({ keepAlive: true });
      onTestFinished(() => agent.destroy());
      const before = await fetchOn(agent, service.port, '/ready');
      expect(before).toMatchObject({ status: 200, connection: 'keep-alive' });
      const slow = fetchOn(agent, service.port, '/slow');
      await saying(service, 'request');
      service.child.kill(signal);
      expect(await slow).toEqual({ status: 200, connection: 'close', body: 'answered' });
      expect(await service.ended).toBe(0);
      expect(parts(service)).toEqual(['request', 'workers', 'pools']);
      await expect(fetchOn(agent, service.port, '/ready')).rejects.toThrow(/ECONNREFUSED/);
    },
  );

  it('cuts a request that does not end, within its deadline', async () => {
    const service = await serve({ deadlineMs: 2_500 });
    const agent = new Agent({ keepAlive: true });
    const endless = fetchOn(agent, service.port, '/endless').catch((error: Error) => error.message);
    await saying(service, 'request');
    service.child.kill('SIGTERM');
    expect(await endless).toMatch(/socket hang up|ECONNRESET/);
    expect(await service.ended).toBe(0);
    expect(parts(service)).toEqual(['request', 'workers', 'pools']);
  });

  it('stops the later parts although one hangs, and tells by its exit code', async () => {
    const service = await serve({ deadlineMs: 1_500, hang: true });
    service.child.kill('SIGTERM');
    expect(await service.ended).toBe(1);
    expect(parts(service)).toEqual(['workers', 'pools']);
    expect(service.lines).toContainEqual({ log: 'workers did not stop in time' });
  });

  it('takes two signals at once for one, and leaves at a later second one', async () => {
    const service = await serve({ hang: true });
    service.child.kill('SIGINT');
    service.child.kill('SIGINT');
    await saying(service, 'workers');
    await sleep(1_200);
    expect(service.child.exitCode).toBeNull();
    service.child.kill('SIGINT');
    expect(await service.ended).toBe(130);
    expect(parts(service)).toEqual(['workers']);
  });

  it('stops in good order after an error that nobody caught, with exit code 1', async () => {
    const service = await serve({ fault: true });
    expect(await service.ended).toBe(1);
    expect(parts(service)).toEqual(['workers', 'pools']);
  });

  it('stops the embedded database last', async () => {
    const dataDir = join(await scratch(), 'data');
    const service = await serve({ dataDir });
    expect(await postmasterPid(clusterOf(dataDir))).not.toBeNull();
    process.kill(-service.child.pid!, 'SIGINT');
    expect(await service.ended).toBe(0);
    expect(service.lines.filter((line) => /closed the connection/.test(`${line.log}`))).toEqual([]);
    const order = service.lines.flatMap((line) => line.part ?? (line.database ? ['database'] : []));
    expect(order).toEqual(['workers', 'pools', 'database']);
    expect(service.lines).toContainEqual({ database: 'clean' });
    expect(await postmasterPid(clusterOf(dataDir))).toBeNull();
  });
});

describe('the order of stopping', () => {
  it('is the reverse of registration, goes on after a failure, and happens once', async () => {
    const exits: number[] = [];
    const lifecycle = createLifecycle({ log: keepingLog(), exit: (code) => exits.push(code) });
    const seen: string[] = [];
    for (const name of ['database', 'pools', 'workers']) {
      lifecycle.onStop(name, (withinMs) => {
        seen.push(name);
        expect(withinMs).toBeGreaterThan(0);
        if (name === 'pools') throw new Error('cannot');
      });
    }
    expect(lifecycle.stopping).toBe(false);
    const both = [lifecycle.stop('test'), lifecycle.stop('test again')];
    expect(lifecycle.stopping).toBe(true);
    await Promise.all([...both, lifecycle.stopped]);
    expect(seen).toEqual(['workers', 'pools', 'database']);
    expect(exits).toEqual([1]);
  });
});
