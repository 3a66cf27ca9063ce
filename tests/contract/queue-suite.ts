/** What every store of the queue must do. Run by queue.test.ts for each of them. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { silentLog } from '../../src/log.ts';
import type { JobHandlers, QueueOptions, QueuePort, RunContext } from '../../src/queue/port.ts';
import type { ChildTask } from './queue-child.ts';
import {
  addRaw,
  cuttableLine,
  migrateStore,
  type OpenedStore,
  openStore,
  type StoreAddress,
  wipe,
} from './queue-stores.ts';

interface Gate {
  opened: Promise<void>;
  open(): void;
}

function gate(): Gate {
  const { promise, resolve } = Promise.withResolvers<void>();
  return { opened: promise, open: resolve };
}

/** Handlers that do nothing but what is given. */
function handlers(given: Partial<JobHandlers>): JobHandlers {
  const idle = async () => undefined;
  return { fold: idle, assess: idle, sequence: idle, sweep: idle, partitions: idle, ...given };
}

/** Looks again and again; the test's own time limit is the bound. */
async function until(what: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await what())) await pause(10);
}

/** Nothing waits, runs, or will be tried again: what has not run by now never will. */
async function quiet(queue: QueuePort): Promise<void> {
  await queue.flush();
  await until(async () => {
    const { reachable, waiting, active, delayed } = await queue.health();
    return reachable && waiting + active + delayed === 0;
  });
}

export interface FoundStore {
  address: StoreAddress;
  /** Fails when the queue has left connections behind. */
  end(): Promise<void>;
}

export function queueContract(title: string, find: () => Promise<FoundStore>): void {
  describe(title, () => {
    let found: FoundStore;
    let address: StoreAddress;
    let store: OpenedStore;
    let name = '';
    let queues: QueuePort[] = [];
    let children: ChildProcess[] = [];
    let tests = 0;
    const prefix = `qt${process.pid}_${Math.trunc(performance.timeOrigin)}`;

    beforeAll(async () => {
      found = await find();
      address = found.address;
      await migrateStore(address);
      store = await openStore(address);
    });
    afterEach(async () => {
      for (const child of children) child.kill('SIGKILL');
      await Promise.all(queues.map((queue) => queue.close(2_000)));
      queues = [];
      children = [];
      await wipe(address, name);
    });
    afterAll(async () => {
      await store?.end();
      await found?.end();
    });

    async function open(options: Partial<QueueOptions> = {}, from = store): Promise<QueuePort> {
      if (queues.length === 0) name = `${prefix}_${tests++}`;
      const queue = await from.open({ name, log: silentLog, retryDelay: () => 10, ...options });
      queues.push(queue);
      return queue;
    }

    async function child(task: Pick<ChildTask, 'what' | 'lockMs' | 'topic'>) {
      const file = new URL('queue-child.ts', import.meta.url).pathname;
      const whole: ChildTask = { address, name, ...task };
      const started = spawn(process.execPath, [file, JSON.stringify(whole)], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      children.push(started);
      const said: string[] = [];
      createInterface({ input: started.stdout }).on('line', (line) => said.push(line));
      return { process: started, says: (line: string) => until(() => said.includes(line)) };
    }

    test('a call runs its handler with its payload', async () => {
      const queue = await open();
      const seen: unknown[] = [];
      await queue.work(
        handlers({
          fold: async (payload, context) => void seen.push([payload, context.attempt]),
          sweep: async (payload) => void seen.push(payload),
        }),
      );
      queue.wake('fold', 63);
      await quiet(queue);
      queue.wake('sweep');
      await quiet(queue);
      expect(seen).toEqual([[{ shard: 63 }, 1], {}]);
    });

    test('many calls before the run are one run', async () => {
      const [one, two] = [await open(), await open()];
      for (let call = 0; call < 25; call++) {
        one.wake('fold', 1);
        two.wake('fold', 1);
        await Promise.all([one.flush(), two.flush()]);
      }
      expect((await one.health()).waiting).toBe(1);
      let runs = 0;
      await one.work(handlers({ fold: async () => void runs++ }));
      await quiet(one);
      expect(runs).toBe(1);
    });

    test('calls during a run give exactly one more run', async () => {
      const [one, two] = [await open(), await open()];
      const hold = gate();
      let runs = 0;
      let atWork = 0;
      let most = 0;
      const all = handlers({
        fold: async () => {
          runs++;
          most = Math.max(most, ++atWork);
          await hold.opened;
          atWork--;
        },
      });
      await one.work(all);
      await two.work(all);
      one.wake('fold', 7);
      await until(() => runs === 1);
      for (let call = 0; call < 20; call++) {
        one.wake('fold', 7);
        two.wake('fold', 7);
        await Promise.all([one.flush(), two.flush()]);
      }
      expect(runs).toBe(1);
      hold.open();
      await quiet(one);
      expect(runs).toBe(2);
      expect(most).toBe(1);
    });

    test('no two runs of one shard are at work together, and no call is lost', async () => {
      const workers = [await open({ concurrency: 4 }), await open({ concurrency: 4 })];
      const atWork = new Map<number, number>();
      let most = 0;
      // What a commit is to a real flow: raised before the call, seen by the run.
      const marks = new Map<number, number>();
      const done = new Map<number, number>();
      const all = handlers({
        fold: async ({ shard }) => {
          const seen = marks.get(shard) ?? 0;
          atWork.set(shard, (atWork.get(shard) ?? 0) + 1);
          most = Math.max(most, atWork.get(shard) ?? 0);
          await pause(3);
          atWork.set(shard, (atWork.get(shard) ?? 0) - 1);
          done.set(shard, seen);
        },
      });
      for (const worker of workers) await worker.work(all);
      for (let call = 0; call < 400; call++) {
        const shard = call % 5;
        marks.set(shard, call);
        workers[call % 2]?.wake('fold', shard);
        if (call % 10 === 0) await pause(2);
      }
      for (const worker of workers) await quiet(worker);
      expect(most).toBe(1);
      expect(done).toEqual(marks);
    });

    test('attempts are bounded, the last error is kept, and the work can be called again', async () => {
      const queue = await open();
      const attempts: number[] = [];
      let broken = true;
      let runs = 0;
      await queue.work(
        handlers({
          assess: async (_payload, { attempt }) => {
            if (!broken) {
              runs++;
              return;
            }
            attempts.push(attempt);
            throw new Error(`no luck ${attempt}`);
          },
        }),
      );
      queue.wake('assess', 3);
      await quiet(queue);
      expect(attempts).toEqual([1, 2, 3, 4, 5]);
      expect(await queue.failures(10)).toMatchObject([
        { name: 'assess', payload: { shard: 3 }, error: 'no luck 5', attempts: 5 },
      ]);
      broken = false;
      queue.wake('assess', 3);
      await quiet(queue);
      expect(runs).toBe(1);
      expect(await queue.replay(10)).toEqual({ called: 1, dropped: 0 });
      await quiet(queue);
      expect(runs).toBe(2);
      expect((await queue.health()).failed).toBe(0);
    });

    test('what can never be worked on fails once and is kept', async () => {
      const queue = await open();
      let runs = 0;
      await queue.work(handlers({ fold: async () => void runs++ }));
      await addRaw(address, name, 'fold', { shard: 64 });
      await addRaw(address, name, 'fold', 'shard 3');
      await addRaw(address, name, 'bake', {});
      await until(async () => (await queue.health()).failed === 3);
      const failed = await queue.failures(10);
      expect(failed.map((job) => job.attempts)).toEqual([1, 1, 1]);
      expect(failed.map((job) => job.error).sort()).toEqual([
        expect.stringContaining('payload of fold:'),
        expect.stringContaining('payload of fold: shard'),
        'unknown job "bake"',
      ]);
      expect(runs).toBe(0);
      expect(await queue.replay(10)).toEqual({ called: 0, dropped: 3 });
    });

    test('a run that takes too long is told to end, and is a failed attempt', async () => {
      const queue = await open({ maxRunMs: 50 });
      const attempts: number[] = [];
      await queue.work(
        handlers({
          fold: async (_payload, { attempt, signal }) => {
            attempts.push(attempt);
            if (attempt > 1) return;
            await once(signal, 'abort');
            signal.throwIfAborted();
          },
        }),
      );
      queue.wake('fold', 0);
      await quiet(queue);
      expect(attempts).toEqual([1, 2]);
    });

    test('a graceful close in the middle of a job spends no attempt', async () => {
      const [first, second] = [await open(), await open()];
      const contexts: RunContext[] = [];
      await first.work(
        handlers({
          fold: async (_payload, context) => {
            contexts.push(context);
            await once(context.signal, 'abort');
            throw new Error('the database went away');
          },
        }),
      );
      first.wake('fold', 9);
      await until(() => contexts.length === 1);
      await first.close(5_000);
      await second.work(handlers({ fold: async (_p, context) => void contexts.push(context) }));
      await quiet(second);
      expect(contexts.map((context) => context.attempt)).toEqual([1, 1]);
      expect(await second.failures(10)).toEqual([]);
    });

    test('close keeps its deadline when a handler does not end; the job is done again', async () => {
      const lockMs = 1_000;
      const [first, second] = [await open({ lockMs }), await open({ lockMs })];
      const hold = gate();
      let firstRuns = 0;
      let ended = false;
      await first.work(
        handlers({
          fold: async () => {
            firstRuns++;
            await hold.opened;
            ended = true;
          },
        }),
      );
      first.wake('fold', 2);
      await until(() => firstRuns === 1);
      await first.close(300);
      expect(ended).toBe(false);
      let secondRuns = 0;
      await second.work(handlers({ fold: async () => void secondRuns++ }));
      await until(() => secondRuns === 1);
      hold.open();
      await quiet(second);
      expect([firstRuns, secondRuns]).toEqual([1, 1]);
    });

    test('the job of a killed worker is done once more', async () => {
      const queue = await open({ lockMs: 1_000 });
      const other = await child({ what: 'hang', lockMs: 1_000, topic: '' });
      await other.says('working');
      queue.wake('fold', 5);
      await other.says('taken');
      other.process.kill('SIGKILL');
      await once(other.process, 'exit');
      const attempts: number[] = [];
      await queue.work(handlers({ fold: async (_p, { attempt }) => void attempts.push(attempt) }));
      await quiet(queue);
      expect(attempts).toEqual([1]);
      expect(await queue.failures(10)).toEqual([]);
    });

    test('after the store has lost everything, calls, schedules and notices work again', async () => {
      const queue = await open();
      let folds = 0;
      let sweeps = 0;
      await queue.work(
        handlers({ fold: async () => void folds++, sweep: async () => void sweeps++ }),
      );
      await queue.every('sweep', 1_000);
      let missed = 0;
      const topics: string[] = [];
      await queue.onChange(
        'fleet.>',
        (topic) => topics.push(topic),
        () => missed++,
      );
      queue.wake('fold', 4);
      await until(() => folds === 1 && sweeps > 0);
      await wipe(address, name);
      const before = sweeps;
      queue.wake('fold', 4);
      await until(() => folds === 2 && sweeps > before + 1);
      await until(() => missed > 0);
      queue.changed('fleet.7.units');
      await until(() => topics.includes('fleet.7.units'));
    });

    test('a store that loses a job at work does not get it a second run at the same time', async () => {
      const queue = await open();
      const hold = gate();
      let runs = 0;
      let atWork = 0;
      let most = 0;
      await queue.work(
        handlers({
          fold: async () => {
            runs++;
            most = Math.max(most, ++atWork);
            await hold.opened;
            atWork--;
          },
        }),
      );
      queue.wake('fold', 6);
      await until(() => runs === 1);
      await wipe(address, name);
      queue.wake('fold', 6);
      await queue.flush();
      await until(async () => (await queue.health()).active === 1);
      hold.open();
      await quiet(queue);
      expect([runs, most]).toEqual([2, 1]);
    });

    test('a schedule ticks once for two workers, and is never doubled by a second start', async () => {
      const [one, two] = [await open(), await open()];
      let runs = 0;
      const all = handlers({ sweep: async () => void runs++ });
      await one.work(all);
      await two.work(all);
      const startMs = performance.now();
      await Promise.all([one.every('sweep', 300), two.every('sweep', 300)]);
      await two.every('sweep', 300);
      await until(() => runs >= 9);
      const { schedules } = await one.health();
      const elapsedMs = performance.now() - startMs;
      const counted = runs;
      expect(schedules).toMatchObject([{ job: 'sweep', everyMs: 300 }]);
      const ticks = schedules[0]?.ticks ?? 0;
      // At the start one, or two when both register at the same moment; then one per period; and
      // the one that is being prepared. A doubled schedule would have twice as many.
      expect(counted).toBeLessThanOrEqual(elapsedMs / 300 + 2);
      expect(ticks).toBeLessThanOrEqual(elapsedMs / 300 + 3);
    });

    test('a change notice reaches other instances and other processes', async () => {
      const [one, two] = [await open(), await open()];
      const heard: Record<string, string[]> = { one: [], two: [], other: [] };
      await one.onChange('fleet.*.readiness', (topic) => heard.one?.push(topic));
      const end = await two.onChange('fleet.7.>', (topic) => heard.two?.push(topic));
      await two.onChange('fleet.8.>', (topic) => heard.other?.push(topic));
      const teller = await child({ what: 'tell', lockMs: 1_000, topic: 'fleet.7.readiness' });
      await teller.says('told');
      await until(() => heard.one?.length === 1 && heard.two?.length === 1);
      await end();
      one.changed('fleet.7.readiness');
      one.changed('fleet.8.end');
      await until(() => heard.other?.length === 1 && heard.one?.length === 2);
      expect(heard.two).toEqual(['fleet.7.readiness']);
      one.changed('not a topic');
      expect((await one.health()).unsentNotices).toBe(1);
    });

    test('a store that is away throws at no caller, and all works again after it', async () => {
      const line = await cuttableLine(address);
      const behind = await openStore(line.address);
      try {
        const queue = await open({}, behind);
        let runs = 0;
        await queue.work(handlers({ fold: async () => void runs++ }));
        queue.wake('fold', 1);
        await until(() => runs === 1);
        line.cut();
        await until(async () => !(await queue.health()).reachable);
        queue.wake('fold', 2);
        queue.changed('fleet.1.units');
        await queue.flush();
        expect((await queue.health()).unsentCalls).toBeGreaterThan(0);
        line.mend();
        await until(async () => (await queue.health()).reachable);
        queue.wake('fold', 3);
        await until(() => runs === 2);
        await queue.close(5_000);
      } finally {
        await line.close();
        await behind.end();
      }
    });

    test('close without a store that answers keeps its deadline', async () => {
      const line = await cuttableLine(address);
      const behind = await openStore(line.address);
      const queue = await open({}, behind);
      await queue.work(handlers({}));
      await queue.onChange('fleet.>', () => undefined);
      line.cut();
      queue.wake('fold', 2);
      await queue.close(1_000);
      queue.wake('fold', 2);
      await line.close();
      await behind.end();
    });
  });
}
