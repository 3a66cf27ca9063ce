/** Calls, runs, attempts. */
import { once } from 'node:events';
import { setTimeout as pause } from 'node:timers/promises';
import { expect } from 'vitest';
import { type ContractTest, gate, handlers, quiet, until } from './queue-lab.ts';
import { addRaw } from './queue-stores.ts';

export const callTests: ContractTest[] = [
  [
    'a call runs its handler with its payload',
    async (lab) => {
      const queue = await lab.open();
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
    },
  ],
  [
    'many calls before the run are one run',
    async (lab) => {
      const [one, two] = [await lab.open(), await lab.open()];
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
    },
  ],
  [
    'calls during a run give exactly one more run',
    async (lab) => {
      const [one, two] = [await lab.open(), await lab.open()];
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
    },
  ],
  [
    'no two runs of one shard are at work together, and no call is lost',
    async (lab) => {
      const workers = [await lab.open({ concurrency: 4 }), await lab.open({ concurrency: 4 })];
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
    },
  ],
  [
    'attempts are bounded, the last error is kept, and the work can be called again',
    async (lab) => {
      const queue = await lab.open();
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
    },
  ],
  [
    'what can never be worked on fails once and is kept',
    async (lab) => {
      const queue = await lab.open();
      let runs = 0;
      await queue.work(handlers({ fold: async () => void runs++ }));
      await addRaw(lab.address, lab.name, 'fold', { shard: 64 });
      await addRaw(lab.address, lab.name, 'fold', 'shard 3');
      await addRaw(lab.address, lab.name, 'bake', {});
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
    },
  ],
  [
    'a run that takes too long is told to end, and is a failed attempt',
    async (lab) => {
      const queue = await lab.open({ maxRunMs: 50 });
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
    },
  ],
];
