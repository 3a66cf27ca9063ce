/** Shutdowns, killed workers, stores that lose data or are away. */
import { once } from 'node:events';
import { expect } from 'vitest';
import type { RunContext } from '../../src/queue/port.ts';
import { type ContractTest, gate, handlers, quiet, until } from './queue-lab.ts';
import { cuttableLine, openStore, wipe } from './queue-stores.ts';

export const endingTests: ContractTest[] = [
  [
    'a graceful close in the middle of a job spends no attempt',
    async (lab) => {
      const [first, second] = [await lab.open(), await lab.open()];
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
    },
  ],
  [
    'close keeps its deadline when a handler does not end; the job is done again',
    async (lab) => {
      const lockMs = 1_000;
      const [first, second] = [await lab.open({ lockMs }), await lab.open({ lockMs })];
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
    },
  ],
  [
    'the job of a killed worker is done once more',
    async (lab) => {
      const queue = await lab.open({ lockMs: 1_000 });
      const other = lab.child({ what: 'hang', lockMs: 1_000, topic: '' });
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
    },
  ],
  [
    'after the store has lost everything, calls, schedules and notices work again',
    async (lab) => {
      const queue = await lab.open();
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
      await wipe(lab.address, lab.name);
      const before = sweeps;
      queue.wake('fold', 4);
      await until(() => folds === 2 && sweeps > before + 1);
      await until(() => missed > 0);
      queue.changed('fleet.7.units');
      await until(() => topics.includes('fleet.7.units'));
    },
  ],
  [
    'a store that loses a job at work does not get it a second run at the same time',
    async (lab) => {
      const queue = await lab.open();
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
      await wipe(lab.address, lab.name);
      queue.wake('fold', 6);
      await queue.flush();
      await until(async () => (await queue.health()).active === 1);
      hold.open();
      await quiet(queue);
      expect([runs, most]).toEqual([2, 1]);
    },
  ],
  [
    'a store that is away throws at no caller, and all works again after it',
    async (lab) => {
      const line = await cuttableLine(lab.address);
      const behind = await openStore(line.address);
      try {
        const queue = await lab.open({}, behind);
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
    },
  ],
  [
    'close without a store that answers keeps its deadline, and leaves nothing behind',
    async (lab) => {
      const line = await cuttableLine(lab.address);
      const task = { what: 'leave', lockMs: 20_000, topic: 'fleet.7' } as const;
      const away = lab.child(task, line.address);
      const there = lab.child(task);
      await Promise.all([away.says('working'), there.says('working')]);
      line.cut();
      for (const child of [away, there]) {
        child.process.kill('SIGTERM');
        await child.says('closed');
        // A connection that goes on trying would keep the process from ending.
        if (child.process.exitCode === null) await once(child.process, 'exit');
        expect(child.process.exitCode).toBe(0);
      }
      await line.close();
    },
  ],
];
