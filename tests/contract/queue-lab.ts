/** What the tests of the queue contract work with. */
import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { setTimeout as pause } from 'node:timers/promises';
import { silentLog } from '../../src/log.ts';
import type { JobHandlers, QueueOptions, QueuePort } from '../../src/queue/port.ts';
import type { ChildTask } from './queue-child.ts';
import { type OpenedStore, type StoreAddress, wipe } from './queue-stores.ts';

export type ContractTest = [title: string, run: (lab: Lab) => Promise<void>];

export interface Child {
  process: ChildProcess;
  /** Resolves when the process has said this line. */
  says(line: string): Promise<void>;
}

let labs = 0;

/** One test's queue: its instances and processes, all closed by `tidy`. */
export class Lab {
  readonly address: StoreAddress;
  readonly name = `qt${process.pid}_${Math.trunc(performance.timeOrigin)}_${labs++}`;
  readonly #store: OpenedStore;
  readonly #queues: QueuePort[] = [];
  readonly #children: ChildProcess[] = [];

  constructor(address: StoreAddress, store: OpenedStore) {
    this.address = address;
    this.#store = store;
  }

  /** Another instance of the queue, as another process would open it. */
  async open(options: Partial<QueueOptions> = {}, from = this.#store): Promise<QueuePort> {
    const all = { name: this.name, log: silentLog, retryDelay: () => 10, ...options };
    const queue = await from.open(all);
    this.#queues.push(queue);
    return queue;
  }

  child(task: Pick<ChildTask, 'what' | 'lockMs' | 'topic'>, address = this.address): Child {
    const file = new URL('queue-child.ts', import.meta.url).pathname;
    const whole: ChildTask = { address, name: this.name, ...task };
    const started = spawn(process.execPath, [file, JSON.stringify(whole)], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    this.#children.push(started);
    const said: string[] = [];
    createInterface({ input: started.stdout }).on('line', (line) => said.push(line));
    return { process: started, says: (line) => until(() => said.includes(line)) };
  }

  async tidy(): Promise<void> {
    for (const child of this.#children) child.kill('SIGKILL');
    await Promise.all(this.#queues.map((queue) => queue.close(2_000)));
    await wipe(this.address, this.name);
  }
}

export interface Gate {
  opened: Promise<void>;
  open(): void;
}

export function gate(): Gate {
  const { promise, resolve } = Promise.withResolvers<void>();
  return { opened: promise, open: resolve };
}

/** Handlers that do nothing but what is given. */
export function handlers(given: Partial<JobHandlers>): JobHandlers {
  const idle = async () => undefined;
  return {
    fold: idle,
    assess: idle,
    watch: idle,
    sequence: idle,
    sweep: idle,
    partitions: idle,
    leave: idle,
    compact: idle,
    ...given,
  };
}

/** Looks again and again; the test's own time limit is the bound. */
export async function until(what: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await what())) await pause(10);
}

/** Nothing waits, runs, or will be tried again: what has not run by now never will. */
export async function quiet(queue: QueuePort): Promise<void> {
  await queue.flush();
  await until(async () => {
    const { reachable, waiting, active, delayed } = await queue.health();
    return reachable && waiting + active + delayed === 0;
  });
}
