import { execFile } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import {
  chmod,
  link,
  lstat,
  mkdir,
  readdir,
  readFile,
  realpath,
  rm,
  stat,
  writeFile,
} from 'node:fs/promises';
import { platform } from 'node:os';
import { dirname, isAbsolute, join, resolve } from 'node:path';
import { promisify } from 'node:util';
import type { Log } from '../src/log.ts';
import { EmbeddedError, type RunAs, spawnSettings } from './embedded-binaries.ts';

const run = promisify(execFile);

/** Where root keeps what the server's own user must reach, first fit. */
const SHARED_PLACES = ['/var/lib/liftwright', '/opt/liftwright'];
/** Users that root may run the server as, first fit; no user is ever created. */
const SERVER_USERS = ['liftwright', 'postgres', 'nobody'];

const NOTE = 'embedded-postgres.json';
const PASSWORD = 'embedded-postgres.password';
const MARKER = 'data-folder';

/** The folders and secrets of one embedded server. */
export interface Home {
  /** The operator's data folder, its real path. */
  dataDir: string;
  /** Holds the cluster, the server's log and its remembered port. */
  folder: string;
  /** PGDATA. */
  cluster: string;
  logFile: string;
  portFile: string;
  /** Where a copy of the programs may go. */
  programs: string;
  /** Password of the owner. */
  password: string;
  runAs: RunAs;
}

const isRoot = () => process.getuid?.() === 0;

const code = (error: unknown) => (error as NodeJS.ErrnoException).code ?? '';

/** Writes a new file as a whole; answers false when it is there already. */
async function writeOnce(path: string, text: string): Promise<boolean> {
  const part = `${path}.${process.pid}.${randomBytes(4).toString('hex')}`;
  await writeFile(part, text, { mode: 0o600, flag: 'wx', flush: true });
  try {
    await link(part, path);
    return true;
  } catch (error) {
    if (code(error) === 'EEXIST') return false;
    throw error;
  } finally {
    await rm(part, { force: true });
  }
}

async function readIfThere(path: string): Promise<string | null> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    if (code(error) === 'ENOENT') return null;
    throw error;
  }
}

interface Account {
  name: string;
  uid: number;
  gid: number;
}

async function accounts(): Promise<Account[]> {
  const lines = (await readFile('/etc/passwd', 'utf8').catch(() => '')).split('\n');
  return lines.flatMap((line) => {
    const [name, , uid, gid] = line.split(':');
    return name && uid && gid ? [{ name, uid: Number(uid), gid: Number(gid) }] : [];
  });
}

async function chooseServerUser(): Promise<RunAs> {
  if (!isRoot()) return null;
  const known = await accounts();
  for (const name of SERVER_USERS) {
    const account = known.find((one) => one.name === name && one.uid !== 0);
    if (account) return account;
  }
  throw new EmbeddedError(
    'PostgreSQL refuses to run as root, and none of the users ' +
      `${SERVER_USERS.join(', ')} exists to run it as. Create one (useradd --system liftwright), ` +
      'start the service as an ordinary user, or set DATABASE_URL.',
  );
}

/** True when the server's user can enter the folder, asked by doing it. */
async function canEnter(folder: string, runAs: RunAs): Promise<boolean> {
  if (runAs === null) return true;
  try {
    await run('/bin/sh', ['-c', 'cd -- "$1"', 'sh', folder], {
      ...spawnSettings(runAs),
      timeout: 10_000,
    });
    return true;
  } catch (error) {
    if (code(error) !== 'EPERM') return false;
    throw new EmbeddedError(
      `This process is root but may not start a program as user ${runAs.name} (a container ` +
        'without the right SETUID?). Start the service as an ordinary user, or set DATABASE_URL.',
    );
  }
}

/** A folder that only root can change and everyone can enter. */
async function sharedPlace(runAs: RunAs): Promise<string> {
  for (const place of SHARED_PLACES) {
    try {
      await mkdir(place, { recursive: true, mode: 0o755 });
      const info = await lstat(place);
      const closed = info.isDirectory() && info.uid === 0 && (info.mode & 0o022) === 0;
      if (closed && (await canEnter(place, runAs))) return place;
    } catch (error) {
      if (error instanceof EmbeddedError) throw error;
      // Read-only or missing parent: the next place may do.
    }
  }
  throw new EmbeddedError(
    `User ${runAs?.name}, which runs PostgreSQL for root, cannot reach the data folder, and ` +
      `neither ${SHARED_PLACES.join(' nor ')} can be made. Set DATA_DIR to a folder outside ` +
      'closed ones such as /root, start the service as an ordinary user, or set DATABASE_URL.',
  );
}

/** A data folder that was deleted leaves its outside database behind: say where, touch nothing. */
async function mentionLeftovers(place: string, dataDir: string, log: Log): Promise<void> {
  for (const name of await readdir(place)) {
    const owner = await readIfThere(join(place, name, MARKER)).catch(() => null);
    if (owner?.trim() !== dataDir) continue;
    log.warn(
      { folder: join(place, name) },
      `${join(place, name)} holds the database of an earlier ${dataDir}; it is not used any more`,
    );
  }
}

/** The remembered folder of the server; decided and written down at the first start. */
async function homeFolder(dataDir: string, runAs: RunAs, log: Log): Promise<string> {
  const note = join(dataDir, NOTE);
  let text = await readIfThere(note);
  if (text === null) {
    let folder = 'postgres';
    if (!(await canEnter(dataDir, runAs))) {
      const place = await sharedPlace(runAs);
      await mentionLeftovers(place, dataDir, log);
      folder = join(place, `data-${randomBytes(6).toString('hex')}`);
      log.info(
        { dataDir, folder, user: runAs?.name },
        `the database lives in ${folder}: user ${runAs?.name}, which runs PostgreSQL for root, ` +
          `cannot enter ${dataDir}`,
      );
    }
    await writeOnce(note, `${JSON.stringify({ folder })}\n`);
    text = await readFile(note, 'utf8');
  }
  let folder: unknown;
  try {
    folder = (JSON.parse(text) as { folder?: unknown }).folder;
  } catch {
    folder = undefined;
  }
  if (typeof folder !== 'string' || folder === '') {
    throw new EmbeddedError(
      `${note} cannot be read as JSON with a "folder". It names the database's folder; restore ` +
        'it from a backup, or write {"folder": "postgres"} when that folder holds the database.',
    );
  }
  return resolve(dataDir, folder);
}

/** Outside the data folder, a marker names its owner: two folders must not share one server. */
async function claimOutside(folder: string, dataDir: string): Promise<void> {
  const marker = join(folder, MARKER);
  await writeOnce(marker, `${dataDir}\n`);
  const owner = (await readFile(marker, 'utf8')).trim();
  if (owner === dataDir) return;
  const theirs = await readIfThere(join(owner, NOTE)).catch(() => null);
  if (theirs?.includes(JSON.stringify(folder))) {
    throw new EmbeddedError(
      `${dataDir} is a copy of ${owner}: both name ${folder} as the place of their database. ` +
        `Use ${owner}, or delete ${join(dataDir, NOTE)} here to begin with an empty database.`,
    );
  }
  await writeFile(marker, `${dataDir}\n`, { mode: 0o600 });
}

/** The server's user owns the cluster alone: what root writes beside it stays out of its hands. */
async function makeHome(folder: string, dataDir: string): Promise<void> {
  const outside = !folder.startsWith(join(dataDir, '/'));
  const there = await stat(folder).catch(() => null);
  if (there === null && outside && (await readIfThere(join(dataDir, PASSWORD))) !== null) {
    throw new EmbeddedError(
      `The database of ${dataDir} lives in ${folder}, which does not exist. Bring it back; or, ` +
        `to begin with an empty database, delete ${NOTE} and ${PASSWORD} in ${dataDir}.`,
    );
  }
  await mkdir(folder, { recursive: true, mode: isRoot() ? 0o711 : 0o700 });
  if (there === null && isRoot()) await chmod(folder, 0o711);
  if (outside) await claimOutside(folder, dataDir);
}

/** An existing cluster keeps its owner; PostgreSQL runs as nobody else. */
async function clusterUser(cluster: string, chosen: RunAs): Promise<RunAs> {
  const info = await stat(join(cluster, 'PG_VERSION')).catch(() => null);
  if (info === null || platform() === 'win32') return chosen;
  const me = process.getuid?.() ?? info.uid;
  if (me === 0) {
    if (info.uid === 0) {
      throw new EmbeddedError(
        `${cluster} belongs to root, and PostgreSQL does not run as root. Give it to another ` +
          `user: chown -R ${chosen?.name} ${cluster}`,
      );
    }
    const name = (await accounts()).find((one) => one.uid === info.uid)?.name;
    return { uid: info.uid, gid: info.gid, name: name ?? `number ${info.uid}` };
  }
  if (info.uid === me) return null;
  throw new EmbeddedError(
    `${cluster} belongs to the user with number ${info.uid}, this process is ${me}. Start the ` +
      'service as that user (or root), or set DATA_DIR to another folder.',
  );
}

async function readPassword(dataDir: string, cluster: string): Promise<string> {
  const path = join(dataDir, PASSWORD);
  if ((await readIfThere(path)) === null) {
    if ((await stat(join(cluster, 'PG_VERSION')).catch(() => null)) !== null) {
      throw new EmbeddedError(
        `${path} is missing, and the database in ${cluster} cannot be opened without it. ` +
          'Restore the file from a backup.',
      );
    }
    await writeOnce(path, `${randomBytes(32).toString('base64url')}\n`);
  }
  return (await readFile(path, 'utf8')).trim();
}

/** Folders made here must be open to the server's user; others stay as they are. */
async function makeDataDir(dataDir: string): Promise<string> {
  const made = await mkdir(dataDir, { recursive: true, mode: isRoot() ? 0o755 : 0o700 });
  if (made !== undefined && isRoot()) {
    for (let at = dataDir; at.length >= made.length; at = dirname(at)) await chmod(at, 0o755);
  }
  return realpath(dataDir);
}

/**
 * Finds or makes the folders of the embedded server of a data folder.
 * @throws EmbeddedError in plain words when the folder cannot be used.
 */
export async function openHome(wanted: string, log: Log): Promise<Home> {
  if (!isAbsolute(wanted)) throw new EmbeddedError(`The data folder ${wanted} is not absolute.`);
  try {
    const dataDir = await makeDataDir(wanted);
    const chosen = await chooseServerUser();
    const folder = await homeFolder(dataDir, chosen, log);
    const cluster = join(folder, 'cluster');
    const runAs = await clusterUser(cluster, chosen);
    await makeHome(folder, dataDir);
    if (!(await canEnter(folder, runAs))) {
      throw new EmbeddedError(
        `The database is in ${folder}, which user ${runAs?.name}, who owns it, cannot reach. ` +
          `Move ${dataDir} out of closed folders such as /root, or open the folders above it ` +
          '(chmod o+x).',
      );
    }
    const password = await readPassword(dataDir, cluster);
    return {
      dataDir,
      folder,
      cluster,
      logFile: join(folder, 'server.log'),
      portFile: join(folder, 'port'),
      programs: runAs === null ? join(dataDir, 'programs') : await programsPlace(runAs, folder),
      password,
      runAs,
    };
  } catch (error) {
    if (error instanceof EmbeddedError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    throw new EmbeddedError(
      `The data folder ${wanted} cannot be used: ${reason}. Give this user the right to write ` +
        'there, free some space, or set DATA_DIR to another folder.',
    );
  }
}

async function programsPlace(runAs: RunAs, folder: string): Promise<string> {
  try {
    return await sharedPlace(runAs);
  } catch {
    return join(folder, 'programs');
  }
}
