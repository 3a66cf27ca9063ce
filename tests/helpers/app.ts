import type { FastifyInstance } from 'fastify';
import { pino } from 'pino';
import { afterAll, beforeAll } from 'vitest';
import { buildApp } from '../../src/app.ts';
import type { RequestLimits } from '../../src/domain/access/allowance.ts';
import type { Role } from '../../src/domain/access/role.ts';
import { PostCommitter } from '../../src/flows/commit-together.ts';
import { foundFleet, makeKey, sha256 } from '../../src/flows/keys.ts';
import { StreamDirectory } from '../../src/flows/record-readings.ts';
import { keepHouse, sweep } from '../../src/flows/sweep.ts';
import type { FlowDeps } from '../../src/flows/work.ts';
import type { ShardedJob } from '../../src/queue/jobs.ts';
import type { QueuePort } from '../../src/queue/port.ts';
import { jobHandlers } from '../../workers/handlers.ts';
import { Client } from './client.ts';
import { type FreshDatabase, useDatabase } from './db.ts';

/** 2026-03-02, noon in Chicago; six days before the clocks go forward there. */
export const startMs = Date.UTC(2026, 2, 2, 18);
export const hourMs = 3_600_000;
export const dayMs = 24 * hourMs;

/** Stands still until it is set. */
export class SetClock {
  #ms = startMs;
  nowMs(): number {
    return this.#ms;
  }
  set(ms: number): void {
    this.#ms = ms;
  }
}

/**
 * The wake-up calls of the code under test, worked on in this process and in order, so that a test
 * says when. What it works on is the real thing; the queue's own promises are held elsewhere.
 */
export class CallsInHand {
  readonly calls = new Set<string>();
  readonly changes: string[] = [];
  wake(job: string, ...shard: number[]): void {
    this.calls.add([job, ...shard].join(' '));
  }
  changed(topic: string): void {
    this.changes.push(topic);
  }
}

const roundsMost = 100;
/** Tests sign often; `sign-flood.test.ts` is about what a hash really costs. */
const pinCostLog2 = 6;
const context = { signal: new AbortController().signal, attempt: 1, queuedAtMs: 0 };

/** The service on a database of its own: API, flows and workers, a clock and calls in hand. */
export class TestApp {
  readonly clock = new SetClock();
  readonly queue = new CallsInHand();
  stopping = false;
  /** The clock stands still and with it every window; a test that is about limits sets them. */
  limits: RequestLimits = { gateway: 1_000_000, people: 1_000_000, integrator: 1_000_000 };
  /** Lines that the service logged as errors: what it never says to a client. */
  readonly logged: string[] = [];
  readonly db: FreshDatabase;
  #app: FastifyInstance | null = null;
  #admin: Client | null = null;

  constructor(db: FreshDatabase) {
    this.db = db;
  }

  get deps(): FlowDeps {
    return { pools: this.db.pools, clock: this.clock, queue: this.queue, pinCostLog2 };
  }

  get app(): FastifyInstance {
    if (this.#app === null) throw new Error('The service exists only while tests run.');
    return this.#app;
  }

  /** The first admin of fleet 1. */
  get admin(): Client {
    return this.#admin as Client;
  }

  async open(): Promise<void> {
    await keepHouse(this.deps);
    const secret = await foundFleet(this.deps, { name: 'Fleet one', adminKey: null });
    this.#app = await this.another();
    this.#admin = this.client(secret as string);
    await this.settle();
  }

  /** One more process of the same service: nothing shared but the database. */
  async another(pools = this.db.pools): Promise<FastifyInstance> {
    const app = await buildApp({
      pools,
      clock: this.clock,
      queue: this.queue as unknown as QueuePort,
      directory: new StreamDirectory(),
      posts: new PostCommitter(pools.batcher),
      limits: this.limits,
      pinCostLog2,
      // A busy machine must not look like a store that is away.
      ...(pools === this.db.pools ? { askMostMs: 30_000 } : {}),
      log: pino({ level: 'error' }, { write: (line) => this.logged.push(line) }),
      stopping: this,
      version: '1.2.3',
      isReady: async () => !this.stopping,
    });
    await app.ready();
    return app;
  }

  async close(): Promise<void> {
    await this.#app?.close();
  }

  client(key: string | null, app: FastifyInstance = this.app): Client {
    return new Client(app, key, this.logged);
  }

  /** A client with a new key of a role, in the fleet of the admin. */
  async as(role: Exclude<Role, 'gateway'>, admin = this.admin): Promise<Client> {
    const { key } = await admin.made('/v1/keys', { role, name: `a ${role}` });
    return this.client(key);
  }

  /** Another company on the same database; the owner brings it in. Answers its admin. */
  async otherFleet(): Promise<Client> {
    const { owner } = this.db;
    const { rows } = await owner.query(
      `insert into liftwright.fleet (name, created_at) values ('Fleet two', 'epoch')
       returning fleet_id`,
    );
    const fleetId = rows[0].fleet_id as number;
    const key = makeKey(fleetId);
    await owner.query(
      `insert into liftwright.api_key (fleet_id, key_id, prefix, sha256, role, name, created_at)
       values ($1, $2, $3, $4, 'admin', 'first', 'epoch')`,
      [fleetId, key.keyId, key.prefix, sha256(key.secret)],
    );
    await owner.query(
      `insert into liftwright.event_chain (fleet_id, last_number, last_hash)
       values ($1, 0, decode(repeat('00', 32), 'hex'))`,
      [fleetId],
    );
    return this.client(key.secret);
  }

  /** Moves the clock; partitions are made ahead as the schedule would. */
  async goTo(ms: number): Promise<void> {
    this.clock.set(ms);
    await keepHouse(this.deps);
  }

  /**
   * Works on the calls that were sent, and on the calls that this work sends, and on nothing else.
   */
  async answerCalls(): Promise<void> {
    const handlers = jobHandlers(this.deps);
    for (let round = 0; this.queue.calls.size > 0; round += 1) {
      if (round > roundsMost) throw new Error(`It calls for ever: ${[...this.queue.calls]}`);
      const calls = [...this.queue.calls];
      this.queue.calls.clear();
      for (const call of calls) {
        const [job, shard] = call.split(' ');
        await handlers[job as ShardedJob]({ shard: Number(shard) }, context);
      }
    }
  }

  /** Works until nothing waits to be folded, assessed or numbered, called for or not. */
  async settle(): Promise<void> {
    for (let round = 0; round < roundsMost; round += 1) {
      await this.answerCalls();
      if ((await sweep(this.deps)) === 0) return;
    }
    throw new Error('Something waits for ever.');
  }

  /** Moves the clock and lets what is due happen. */
  async settleAt(ms: number): Promise<void> {
    await this.goTo(ms);
    await this.settle();
  }
}

/** Gives the calling file a service, opened before its tests and closed after them. */
export function useApp(): TestApp {
  const app = new TestApp(useDatabase());
  beforeAll(() => app.open());
  afterAll(() => app.close());
  return app;
}
