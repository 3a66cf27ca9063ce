import type { AddressInfo } from 'node:net';
import { createServer, connect as dial, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterEach, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import {
  openPools,
  type PoolOptions,
  type Pools,
  withFleet,
  withTransaction,
} from '../../src/store/pool.ts';
import { useDatabase } from '../helpers/db.ts';
import { keepingLog } from './embedded-lab.ts';

const one = { app: 1, batcher: 1, scheduler: 1, queue: 1 };

describe('pools', () => {
  const db = useDatabase();
  const log = keepingLog();
  const opened: Pools[] = [];
  const open = (options: Partial<PoolOptions> = {}, url = db.ownerUrl): Pools => {
    const pools = openPools(url, { log, sizes: one, ...options });
    opened.push(pools);
    return pools;
  };

  beforeAll(async () => {
    await db.owner.query(
      `insert into liftwright.fleet (fleet_id, name, created_at)
       select n, 'fleet ' || n, '2026-01-01Z' from generate_series(1, 3) n`,
    );
    await db.owner.query(
      `insert into liftwright.yard (fleet_id, yard_id, name, time_zone, created_at)
       select n, gen_random_uuid(), 'yard', 'UTC', '2026-01-01Z' from generate_series(1, 3) n`,
    );
  });
  afterEach(async () => {
    for (const pools of opened.splice(0)) await pools.close(100);
  });

  const yards = (pools: Pools, fleets: number | number[]) =>
    withFleet(pools.app, fleets, async (tx) => {
      const { rows } = await tx.query('select fleet_id from yard order by 1');
      return rows.map((row) => row.fleet_id);
    });

  it('log in as their roles, with bounds and a search path', async () => {
    const pools = open({ statementTimeoutMs: 1_234, idleInTransactionMs: 2_345 });
    const sql = `select current_user::text as me, current_setting('search_path') as path,
      current_setting('statement_timeout') as statement,
      current_setting('idle_in_transaction_session_timeout') as idle,
      (select setting from pg_settings
       where name = 'synchronous_commit' and source = 'client') as commits`;
    const seen = [];
    for (const name of ['app', 'batcher', 'scheduler', 'queue'] as const) {
      seen.push((await pools[name].query(sql)).rows[0]);
    }
    const bounds = { statement: '1234ms', idle: '2345ms' };
    expect(seen).toEqual([
      { me: 'lw_app', path: 'liftwright', ...bounds, commits: null },
      { me: 'lw_batcher', path: 'liftwright', ...bounds, commits: null },
      { me: 'lw_scheduler', path: 'liftwright', ...bounds, commits: null },
      { me: 'lw_queue', path: 'bullmq', ...bounds, commits: 'off' },
    ]);
    expect(pools.gauges().app).toEqual({ total: 1, idle: 1, waiting: 0 });
  });

  it('show exactly the fleets named, and none to whoever comes next', async () => {
    const pools = open();
    expect(await yards(pools, 2)).toEqual([2]);
    expect(await yards(pools, 99)).toEqual([]);
    expect(await yards(pools, [1, 3])).toEqual([1, 3]);
    expect((await pools.app.query('select * from yard')).rows).toEqual([]);
    expect(await withTransaction(pools.app, (tx) => tx.query('select * from yard'))).toMatchObject({
      rows: [],
    });
  });

  it('refuse what is not a list of fleets, before anything is sent', async () => {
    const pools = open();
    for (const bad of [[], 0, -1, 1.5, Number.NaN, 2 ** 31, ["1}'; drop"] as never]) {
      await expect(yards(pools, bad)).rejects.toThrow(RangeError);
    }
    expect(pools.gauges().app.total).toBe(0);
  });

  it('roll back when the callback fails, and give the client back', async () => {
    const pools = open();
    const failing = withFleet(pools.app, 1, async (tx) => {
      await tx.query("update yard set name = 'changed'");
      throw new Error('second thoughts');
    });
    await expect(failing).rejects.toThrow('second thoughts');
    const { rows } = await db.owner.query(
      "select count(*)::int as n from liftwright.yard where name = 'changed'",
    );
    expect(rows[0].n).toBe(0);
    expect(pools.gauges().app).toEqual({ total: 1, idle: 1, waiting: 0 });
  });

  it('never report a commit that was a rollback', async () => {
    const pools = open();
    const hiding = withFleet(pools.app, 1, async (tx) => {
      await tx.query("update yard set name = 'hidden'");
      await tx.query('select 1 / 0').catch(() => undefined);
      return 'all is well';
    });
    await expect(hiding).rejects.toThrow(/rolled back/);
    expect(await yards(pools, 1)).toEqual([1]);
  });

  it('survive the end of an idle connection', async () => {
    const pools = open();
    const { rows } = await pools.app.query('select pg_backend_pid() as pid');
    await db.owner.query('select pg_terminate_backend($1)', [rows[0].pid]);
    while (pools.gauges().app.total > 0) await sleep(5);
    expect(log.lines.join('\n')).toContain('a database connection broke');
    expect(await yards(pools, 1)).toEqual([1]);
  });

  it('survive the end of a connection in use, between and during statements', async () => {
    const pools = open();
    for (const during of [false, true]) {
      const cut = withFleet(pools.app, 1, async (tx) => {
        const { rows } = await tx.query('select pg_backend_pid() as pid');
        const end = db.owner.query('select pg_terminate_backend($1)', [rows[0].pid]);
        if (during) await tx.query('select pg_sleep(20)');
        await end;
        await sleep(50);
        return tx.query('select 1');
      });
      await expect(cut).rejects.toThrow(/terminat|closed|not queryable/i);
      expect(await yards(pools, 1)).toEqual([1]);
    }
  });

  it('lose no client when the transaction cannot begin', async () => {
    const target = new URL(db.ownerUrl);
    const upstream = { port: Number(target.port || 5432), host: target.hostname };
    let cutBegin = true;
    const sockets = new Set<Socket>();
    const proxy = createServer((near) => {
      const far = dial(upstream);
      for (const socket of [near, far]) {
        sockets.add(socket.on('error', () => undefined));
      }
      near.on('data', (chunk) => {
        if (cutBegin && chunk.includes('begin; set local')) near.destroy();
        else far.write(chunk);
      });
      far.pipe(near);
      near.on('close', () => far.destroy());
    }).listen(0, '127.0.0.1');
    await new Promise((settle) => proxy.once('listening', settle));
    onTestFinished(() => {
      for (const socket of sockets) socket.destroy();
      proxy.close();
    });
    target.hostname = '127.0.0.1';
    target.port = String((proxy.address() as AddressInfo).port);
    const pools = open({ connectTimeoutMs: 2_000 }, target.href);
    for (let i = 0; i < 3; i += 1)
      await expect(yards(pools, 1)).rejects.toThrow(/terminated unexpectedly/);
    cutBegin = false;
    expect(await yards(pools, 1)).toEqual([1]);
  });

  it('end statements and idle transactions that take too long', async () => {
    const pools = open({ statementTimeoutMs: 100, idleInTransactionMs: 100 });
    const slow = withFleet(pools.app, 1, (tx) => tx.query('select pg_sleep(20)'));
    await expect(slow).rejects.toThrow(/statement timeout/);
    const idle = withFleet(pools.app, 1, async (tx) => {
      await sleep(400);
      return tx.query('select 1');
    });
    await expect(idle).rejects.toThrow();
    expect(await yards(pools, 1)).toEqual([1]);
  });

  it('bound the wait for a client', async () => {
    const pools = open({ connectTimeoutMs: 100 });
    await withFleet(pools.app, 1, async () => {
      await expect(yards(pools, 1)).rejects.toThrow(/timeout/);
    });
    expect(await yards(pools, 1)).toEqual([1]);
  });

  it('close although a client was never given back', async () => {
    const pools = open({ statementTimeoutMs: 1_000 });
    const held = await pools.app.connect();
    const query = held.query('select pg_sleep(20)');
    query.catch(() => undefined);
    await pools.close(100);
    await expect(query).rejects.toThrow();
    held.release(true);
    await expect(pools.app.query('select 1')).rejects.toThrow(/after calling end/);
  });
});
