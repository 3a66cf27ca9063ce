import { spawn } from 'node:child_process';
import { readFile, stat, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { join } from 'node:path';
import pg from 'pg';
import { describe, expect, it, onTestFinished } from 'vitest';
import {
  alive,
  ask,
  clusterOf,
  keepingLog,
  madeDataDir,
  postmasterPid,
  scratch,
  start,
  startChild,
  until,
} from './embedded-lab.ts';

describe('embedded PostgreSQL', () => {
  it('starts in an empty folder, stops, and starts again with the same data and port', async () => {
    const dataDir = join(await scratch(), 'data');
    const first = await start(dataDir);
    expect(first.adopted).toBe(false);
    await ask(first.ownerUrl, 'create table kept as select 42 as answer');
    expect(await first.stop()).toBe('clean');
    expect(await postmasterPid(clusterOf(dataDir))).toBeNull();

    const second = await start(dataDir);
    expect(second.ownerUrl).toBe(first.ownerUrl);
    expect(await ask(second.ownerUrl, 'select answer from kept')).toEqual([{ answer: 42 }]);
    expect(await ask(second.ownerUrl, 'show data_checksums')).toEqual([{ data_checksums: 'on' }]);
    expect(await ask(second.ownerUrl, 'show server_encoding')).toEqual([
      { server_encoding: 'UTF8' },
    ]);
    expect(await ask(second.ownerUrl, 'show listen_addresses')).toEqual([
      { listen_addresses: '127.0.0.1' },
    ]);
    expect(await ask(second.ownerUrl, 'show unix_socket_directories')).toEqual([
      { unix_socket_directories: '' },
    ]);
    await second.stop();
  });

  it('keeps its password from other users and refuses a wrong one', async () => {
    const dataDir = await madeDataDir();
    const server = await start(dataDir);
    const { mode } = await stat(join(dataDir, 'embedded-postgres.password'));
    expect(mode & 0o077).toBe(0);
    await expect(ask(server.ownerUrl.replace(/:[^:@]+@/, ':guess@'), 'select 1')).rejects.toThrow(
      /password authentication failed/,
    );
    await server.stop();
  });

  it('takes over the server that a killed process left running', async () => {
    const dataDir = await madeDataDir();
    const child = await startChild(dataDir);
    const pid = await postmasterPid(clusterOf(dataDir));
    await child.kill();
    expect(pid !== null && alive(pid)).toBe(true);

    const server = await start(dataDir);
    expect(server).toMatchObject({ adopted: true, ownerUrl: child.answer.ownerUrl });
    expect(await postmasterPid(clusterOf(dataDir))).toBe(pid);
    // Not a multiple of three: the parts of the time need not be whole milliseconds.
    expect(await server.stop(7_001)).toBe('clean');
    await until('init has reaped it', () => !alive(pid!));
  });

  it('is shared by the processes of a data folder; the last one stops it', async () => {
    const dataDir = await madeDataDir();
    const first = await start(dataDir);
    const second = await startChild(dataDir);
    expect(second.answer).toMatchObject({ adopted: true, port: first.port });
    expect(await first.stop()).toBe('left to others');
    expect(await ask(second.answer.ownerUrl!, 'select 1 as up')).toEqual([{ up: 1 }]);
    expect(await second.stop()).toBe('clean');
    expect(await postmasterPid(clusterOf(dataDir))).toBeNull();
  });

  it('is started once by processes that start at the same moment in an empty folder', async () => {
    const dataDir = join(await scratch(), 'data');
    const children = await Promise.all([1, 2, 3].map(() => startChild(dataDir)));
    const ports = new Set(children.map((child) => child.answer.port));
    expect(children.map((child) => child.answer.error)).toEqual([undefined, undefined, undefined]);
    expect(ports.size).toBe(1);
    const ends = await Promise.all(children.map((child) => child.stop()));
    // Two that end at the same moment may both see it stop.
    expect(ends).toContain('clean');
    expect(ends.filter((end) => end !== 'clean' && end !== 'left to others')).toEqual([]);
    expect(await postmasterPid(clusterOf(dataDir))).toBeNull();
  });

  it('recovers after the server and its owner were both killed', async () => {
    const dataDir = await madeDataDir();
    const child = await startChild(dataDir);
    await ask(child.answer.ownerUrl!, 'create table kept as select 1 as one');
    const pid = await postmasterPid(clusterOf(dataDir));
    await child.kill();
    process.kill(pid!, 'SIGKILL');
    await until('the killed server is gone', () => !alive(pid!));
    expect(await postmasterPid(clusterOf(dataDir))).toBe(pid);

    const server = await start(dataDir);
    expect(server.adopted).toBe(false);
    expect(await ask(server.ownerUrl, 'select one from kept')).toEqual([{ one: 1 }]);
    await server.stop();
  });

  it('starts although the number in postmaster.pid now belongs to another program', async () => {
    const dataDir = await madeDataDir();
    const owner = await stat(join(clusterOf(dataDir), 'PG_VERSION'));
    // Of the same user, or PostgreSQL would see for itself that it is not its own.
    const other = spawn('sleep', ['300'], { uid: owner.uid, gid: owner.gid, cwd: '/' });
    onTestFinished(() => void other.kill());
    const stale = `${other.pid}\n${clusterOf(dataDir)}\n1\n5432\n\n127.0.0.1\n1 1\nready   \n`;
    await writeFile(join(clusterOf(dataDir), 'postmaster.pid'), stale);
    const log = keepingLog();
    const server = await start(dataDir, log);
    expect(log.lines.join('\n')).toContain('removed a stale postmaster.pid');
    expect(await ask(server.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    expect(other.exitCode).toBeNull();
    await server.stop();
  });

  it('starts with an empty or unreadable postmaster.pid', async () => {
    const dataDir = await madeDataDir();
    for (const text of ['', 'nonsense\n']) {
      await writeFile(join(clusterOf(dataDir), 'postmaster.pid'), text);
      const server = await start(dataDir);
      expect(await ask(server.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
      await server.stop();
    }
  });

  it('takes another port when its own is taken, and remembers that one', async () => {
    const dataDir = await madeDataDir();
    const first = await start(dataDir);
    await first.stop();
    const squatter = createServer().listen(first.port, '127.0.0.1');
    await new Promise((settle) => squatter.once('listening', settle));
    const second = await start(dataDir);
    expect(second.port).not.toBe(first.port);
    await second.stop();
    await new Promise((settle) => squatter.close(settle));
    const third = await start(dataDir);
    expect(third.port).toBe(second.port);
    await third.stop();
  });

  it('refuses a cluster of another major version and leaves it alone', async () => {
    const dataDir = await madeDataDir();
    const cluster = clusterOf(dataDir);
    const control = await readFile(join(cluster, 'global/pg_control'));
    await writeFile(join(cluster, 'PG_VERSION'), '17\n');
    await expect(start(dataDir)).rejects.toThrow(
      /made by PostgreSQL 17; .* brings PostgreSQL 18\. Nothing was changed.*pg_dump/s,
    );
    expect(await readFile(join(cluster, 'PG_VERSION'), 'utf8')).toBe('17\n');
    expect(control.equals(await readFile(join(cluster, 'global/pg_control')))).toBe(true);
  });

  it('shows the last words of a server that does not start', async () => {
    const dataDir = await madeDataDir();
    await writeFile(
      join(clusterOf(dataDir), 'postgresql.auto.conf'),
      "shared_buffers = '1 fish'\n",
    );
    await expect(start(dataDir)).rejects.toThrow(/did not start in .*last words:.*shared_buffers/s);
  });

  it('says so when the password file is lost or wrong', async () => {
    const dataDir = await madeDataDir();
    const path = join(dataDir, 'embedded-postgres.password');
    await writeFile(path, 'something-else\n');
    await expect(start(dataDir)).rejects.toThrow(/does not accept the password.*backup/s);
  });

  it('comes back on its port when the server is killed under it', async () => {
    const dataDir = await madeDataDir();
    const log = keepingLog();
    const lost: Error[] = [];
    const server = await start(dataDir, log, { onLost: (error) => void lost.push(error) });
    await ask(server.ownerUrl, 'create table kept as select 1 as one');
    process.kill((await postmasterPid(clusterOf(dataDir)))!, 'SIGKILL');
    await until('the server is back', () => log.lines.some((line) => line.includes('is back')));
    expect(await ask(server.ownerUrl, 'select one from kept')).toEqual([{ one: 1 }]);
    expect(await server.stop()).toBe('clean');
    expect(lost).toEqual([]);
  });

  it('tells its owner when the server cannot come back', async () => {
    const dataDir = await madeDataDir();
    const { promise, resolve } = Promise.withResolvers<Error>();
    const server = await start(dataDir, keepingLog(), { onLost: resolve });
    const cluster = clusterOf(dataDir);
    await writeFile(join(cluster, 'postgresql.auto.conf'), "shared_buffers = '1 fish'\n");
    process.kill((await postmasterPid(cluster))!, 'SIGKILL');
    expect((await promise).message).toMatch(/shared_buffers/);
    await server.stop();
  });

  it('gives up on a server that hangs, naming its process', async () => {
    const dataDir = await madeDataDir();
    const child = await startChild(dataDir);
    const pid = (await postmasterPid(clusterOf(dataDir)))!;
    process.kill(pid, 'SIGSTOP');
    await expect(start(dataDir, keepingLog(), { startTimeoutMs: 1_000 })).rejects.toThrow(
      new RegExp(`did not answer within 1 s \\(process ${pid} is ready but does not answer`),
    );
    process.kill(pid, 'SIGCONT');
    expect(await child.stop()).toBe('clean');
  });

  it('bounds its stop when a session does not react, and starts again after it', async () => {
    const dataDir = await madeDataDir();
    const server = await start(dataDir);
    const client = new pg.Client({ connectionString: server.ownerUrl });
    client.on('error', () => undefined);
    await client.connect();
    const { rows } = await client.query('select pg_backend_pid() as pid');
    process.kill(rows[0].pid, 'SIGSTOP');
    expect(await server.stop(900)).toBe('still running');
    // PostgreSQL kills the session itself five seconds after the immediate shutdown.
    const again = await start(dataDir);
    expect(again.adopted).toBe(false);
    expect(await ask(again.ownerUrl, 'select 1 as up')).toEqual([{ up: 1 }]);
    await again.stop();
    await client.end().catch(() => undefined);
  });
});
