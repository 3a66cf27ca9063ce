/**
 * Another process on the same queue, for the queue contract. One argument: JSON of `ChildTask`.
 * Says what happens in lines on standard output.
 */
import { silentLog } from '../../src/log.ts';
import type { QueuePort } from '../../src/queue/port.ts';
import { openStore, type StoreAddress } from './queue-stores.ts';

export interface ChildTask {
  address: StoreAddress;
  name: string;
  /**
   * `hang`: take a fold job and never end it. `tell`: send a notice of `topic`. `leave`: work until
   * SIGTERM, close, and end when nothing is left to do.
   */
  what: 'hang' | 'tell' | 'leave';
  lockMs: number;
  topic: string;
}

const task = JSON.parse(process.argv[2] ?? '') as ChildTask;
const opened = await openStore(task.address);
const queue: QueuePort = await opened.open({
  name: task.name,
  log: silentLog,
  lockMs: task.lockMs,
});

if (task.what === 'tell') {
  queue.changed(task.topic);
  await queue.flush();
  await queue.close(5_000);
  await opened.end();
  console.log('told');
} else {
  const idle = async () => undefined;
  await queue.work({
    fold: () => {
      console.log('taken');
      return new Promise(() => undefined);
    },
    assess: idle,
    watch: idle,
    sequence: idle,
    sweep: idle,
    partitions: idle,
    leave: idle,
    compact: idle,
  });
  if (task.what === 'leave') {
    await queue.onChange(task.topic, () => undefined);
    process.once('SIGTERM', async () => {
      queue.changed(task.topic);
      await queue.close(1_000);
      await opened.end();
      console.log('closed');
    });
  }
  console.log('working');
}
