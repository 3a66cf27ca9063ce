import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished, test } from 'vitest';
import { clusterOf, postmasterPid, scratch } from './embedded-lab.ts';

const root = new URL('../../', import.meta.url);

/** Runs a command, `npm start`'s unless told, until it ends: what it says, and its exit code. */
async function startThatFails(settings: Record<string, string>, main = 'src/main.ts', args = '') {
  const { DATABASE_URL: _, REDIS_URL: __, ...clean } = process.env;
  const command = [fileURLToPath(new URL(main, root)), ...args.split(' ').filter(Boolean)];
  const child = spawn(process.execPath, command, {
    env: { ...clean, LOG_LEVEL: 'silent', ...settings },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  onTestFinished(() => void child.kill('SIGKILL'));
  let told = '';
  child.stderr.on('data', (chunk) => {
    told += chunk;
  });
  const [code] = await once(child, 'close');
  return { code, told };
}

test('a taken port is told in plain words, and the database is stopped again', async () => {
  const taken = createServer().listen(0, '127.0.0.1');
  await once(taken, 'listening');
  onTestFinished(() => void taken.close());
  const { port } = taken.address() as { port: number };
  const dataDir = join(await scratch(), 'data');
  const { code, told } = await startThatFails({ DATA_DIR: dataDir, PORT: String(port) });
  expect(told).toContain(`Port ${port} on 127.0.0.1 is taken by another program.`);
  expect(told).toContain('Set PORT');
  expect(told).not.toContain('    at ');
  expect(code).toBe(1);
  expect(await postmasterPid(clusterOf(dataDir))).toBeNull();
});

test('every problem of the settings is told together', async () => {
  const { code, told } = await startThatFails({ PORT: 'eighty', REDIS_URL: 'x', ROLE: 'king' });
  for (const name of ['PORT', 'REDIS_URL', 'ROLE']) expect(told).toContain(`  ${name}: `);
  expect(code).toBe(1);
});

test.each([
  ['src/rebuild/main.ts', '--fleet one', '--fleet must be'],
  ['src/rebuild/main.ts', '--flete 1', "Unknown option '--flete'"],
  ['src/demo/main.ts', '--days 3', '--days must be'],
  ['src/demo/main.ts', '--day 90', "Unknown option '--day'"],
  ['db/main.ts', '--rolls', "Unknown option '--rolls'"],
])('%s %s is refused in plain words', async (main, args, words) => {
  const { code, told } = await startThatFails({}, main, args);
  expect(told).toContain(words);
  expect(told).not.toContain('    at ');
  expect(code).toBe(1);
});
