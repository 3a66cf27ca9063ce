/** Schedules and change notices. */
import { expect } from 'vitest';
import { type ContractTest, handlers, until } from './queue-lab.ts';

export const tickAndNoticeTests: ContractTest[] = [
  [
    'a schedule ticks once for two workers, and is never doubled by a second start',
    async (lab) => {
      const [one, two] = [await lab.open(), await lab.open()];
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
    },
  ],
  [
    'a change notice reaches other instances and other processes',
    async (lab) => {
      const [one, two] = [await lab.open(), await lab.open()];
      const heard: Record<string, string[]> = { one: [], two: [], other: [] };
      await one.onChange('fleet.*.readiness', (topic) => heard.one?.push(topic));
      const end = await two.onChange('fleet.7.>', (topic) => heard.two?.push(topic));
      await two.onChange('fleet.8.>', (topic) => heard.other?.push(topic));
      const teller = lab.child({ what: 'tell', lockMs: 1_000, topic: 'fleet.7.readiness' });
      await teller.says('told');
      await until(() => heard.one?.length === 1 && heard.two?.length === 1);
      await end();
      one.changed('fleet.7.readiness');
      one.changed('fleet.8.end');
      await until(() => heard.other?.length === 1 && heard.one?.length === 2);
      expect(heard.two).toEqual(['fleet.7.readiness']);
      one.changed('not a topic');
      expect((await one.health()).unsentNotices).toBe(1);
    },
  ],
];
