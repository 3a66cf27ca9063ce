import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { CrashPoint } from '../../src/crash-points.ts';

export interface Crash {
  point: CrashPoint;
  nth: number;
}

export interface Exit {
  code: number | null;
  signal: NodeJS.Signals | null;
}

const MAIN = fileURLToPath(new URL('./service-main.ts', import.meta.url));
/** A loader that posts as fast as it can is what the limits are there for. */
const unlimited = { RATE_LIMIT_GATEWAY: '0', RATE_LIMIT_PEOPLE: '0' };
const startWithinMs = 90_000;
const linesKept = 400;

/** One run of the service's process. */
interface Run {
  child: ChildProcess;
  up: Promise<string>;
  exited: Promise<Exit>;
}

/** The service under test: its process, started again each time that it dies. */
export class Subject {
  /** How often it was started. */
  starts = 0;
  /** How each process ended, oldest first. */
  readonly exits: Exit[] = [];
  /** The newest lines of all its processes. */
  readonly lines: string[] = [];
  readonly #env: Readonly<Record<string, string>>;
  #crashes: Crash[];
  #run: Run | null = null;
  #again = true;

  /** `crashes`: armed at the first start, at the second, and so on; later starts live. */
  constructor(env: Readonly<Record<string, string>>, crashes: readonly Crash[] = []) {
    this.#env = env;
    this.#crashes = [...crashes];
  }

  start(): void {
    const crash = this.#crashes.shift();
    const args = crash ? [crash.point, String(crash.nth)] : [];
    this.starts += 1;
    const child = spawn(process.execPath, [MAIN, ...args], {
      env: { PATH: process.env.PATH ?? '', NODE_NO_WARNINGS: '1', ...unlimited, ...this.#env },
      stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
    });
    const up = Promise.withResolvers<string>();
    up.promise.catch(() => undefined);
    for (const stream of [child.stdout, child.stderr]) {
      createInterface({ input: stream as NonNullable<typeof stream> }).on('line', (line) => {
        this.lines.push(line);
        if (this.lines.length > linesKept) this.lines.shift();
        const url = /"url":"([^"]+)".*"msg":"serving"/.exec(line)?.[1];
        if (url) up.resolve(url);
        if (line.includes('"msg":"working"')) up.resolve('');
      });
    }
    const exited = new Promise<Exit>((settle) => {
      child.once('exit', (code, signal) => {
        this.exits.push({ code, signal });
        up.reject(new Error(`the service ended (${signal ?? code}) before it served`));
        settle({ code, signal });
        // Anything but a kill is an end that somebody must look at.
        if (this.#again && signal === 'SIGKILL') this.start();
      });
    });
    this.#run = { child, up: up.promise, exited };
  }

  /** Where it serves, once it does; a death on the way is waited out. */
  async url(): Promise<string> {
    const deadline = AbortSignal.timeout(startWithinMs);
    while (!deadline.aborted) {
      const run = this.#run as Run;
      const url = await Promise.race([run.up.catch(() => null), sleep(1_000, undefined)]);
      if (typeof url === 'string' && run.child.exitCode === null && run.child.signalCode === null) {
        return url;
      }
      if (run.child.exitCode !== null) break;
      await sleep(10);
    }
    // What it said last may still be in the pipe.
    await sleep(300);
    throw new Error(`The service does not serve. Its last words:\n${this.lastWords()}`);
  }

  /** Waits a moment until it has died so often: work can be seen as done before the death is. */
  async died(times: number): Promise<void> {
    for (let i = 0; i < 200 && this.exits.length < times; i += 1) await sleep(25);
  }

  lastWords(count = 25): string {
    return this.lines.slice(-count).join('\n');
  }

  /** Arms a crash in the running process. */
  async arm(crash: Crash): Promise<void> {
    await this.url();
    const { child } = this.#run as Run;
    const armed = new Promise<void>((settle) => child.once('message', () => settle()));
    child.send(crash);
    await armed;
  }

  /** Kills the process at once; it is started again. */
  async kill(): Promise<void> {
    const run = this.#run as Run;
    run.child.kill('SIGKILL');
    await run.exited;
  }

  /** Ends the process with a signal and starts it again; answers how it ended. */
  async restart(signal: NodeJS.Signals): Promise<Exit & { tookMs: number }> {
    const ended = await this.end(signal);
    this.#again = true;
    this.start();
    return ended;
  }

  /** Ends it for good with a signal; answers how it ended and how long that took. */
  async end(signal: NodeJS.Signals): Promise<Exit & { tookMs: number }> {
    const run = this.#run as Run;
    this.#again = false;
    const since = performance.now();
    run.child.kill(signal);
    const exit = await run.exited;
    return { ...exit, tookMs: performance.now() - since };
  }
}
