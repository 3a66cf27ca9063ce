import type pg from 'pg';
import { expect } from 'vitest';
import type { Pools } from '../../src/store/pool.ts';
import { Client } from './client.ts';
import { adminKey, bringIn, type Company } from './company.ts';
import { Clerk, Device, follow, type SeenEvent } from './loader.ts';
import { type Crash, Subject } from './subject.ts';
import {
  checkDerived,
  checkEvents,
  checkReadings,
  checkThings,
  checkUsage,
  settled,
} from './verify.ts';

export interface Scenario {
  /** Settings of the service's processes, besides the usual ones. */
  env: Record<string, string>;
  /** Sees everything, and connects again when the server was away. */
  owner: pg.Pool;
  ownerUrl: string;
  pools: Pools;
  seed: number;
  trucks?: number;
  readings?: number;
  dones?: number;
  /** One process for everything, or the API and the workers apart. Default: one. */
  layout?: 'one' | 'apart';
  /** Armed one start after another, from the first. */
  crashes?: readonly Crash[];
  /** Armed when the company is there and the load begins. */
  crashUnderLoad?: Crash;
  /**
   * Armed when all but the end is worked on, so that nothing later can mend what the crash broke.
   * The end is one record of work done for assessments and events, else the last 70 readings of
   * each stream in one go.
   */
  crashAtEnd?: Crash;
  /** Happens while the load goes on. */
  disturb?(stage: Stage): Promise<void>;
}

export interface Stage {
  /** Address of the database, as its owner. */
  ownerUrl: string;
  /** The process that serves the API. */
  subject: Subject;
  client: Client;
  company: Company;
  devices: Device[];
}

export interface Outcome {
  /** Processes killed. */
  kills: number;
  posts: number;
  /** Posts whose answer was lost, on purpose or in a crash. */
  unanswered: number;
  events: number;
  /** From the last reading settled until all is folded, assessed and numbered, in ms. */
  drainMs: number;
  statuses: Record<string, number>;
  /** Answers that should never be given; the scenario decides. */
  faults: string[];
}

const baseEnv = { PORT: '0', HOST: '127.0.0.1', ADMIN_KEY: adminKey, LOG_LEVEL: 'info' };
/** A shard waits a minute for each worker that died over it. */
const drainWithinMs = 240_000;
const paceMs = 6;
const workerPoints = /^(fold|assess|sequence)\./;
const endsInRecord = ({ point }: Crash) => /^(assess|sequence)\./.test(point);

/** The processes of a scenario; `struck` is the one that crash points are armed in. */
function startProcesses(scenario: Scenario) {
  const { env, layout = 'one', crashes = [], crashUnderLoad, crashAtEnd } = scenario;
  const all = { ...baseEnv, ...env };
  if (layout === 'one') {
    const api = new Subject(all, crashes);
    api.start();
    return { api, struck: api, subjects: [api] };
  }
  const first = crashes[0] ?? crashUnderLoad ?? crashAtEnd;
  const inWorker = first !== undefined && workerPoints.test(first.point);
  const api = new Subject({ ...all, ROLE: 'api' }, inWorker ? [] : crashes);
  const worker = new Subject({ ...all, ROLE: 'worker' }, inWorker ? crashes : []);
  api.start();
  worker.start();
  return { api, struck: inWorker ? worker : api, subjects: [api, worker] };
}

/** Devices, a clerk and a follower at work until every reading is settled and worked on. */
async function load(
  scenario: Scenario,
  stage: Stage,
  struck: Subject,
): Promise<{ clerk: Clerk; followed: SeenEvent[]; drainMs: number }> {
  const { client, company, devices } = stage;
  const { owner, crashAtEnd, seed } = scenario;
  const clerk = new Clerk(client, company, seed);
  const followed: SeenEvent[] = [];
  const end = new AbortController();
  const following = follow(client, followed, end.signal);
  try {
    await Promise.all([
      ...devices.map((device) => device.run(paceMs)),
      clerk.run(scenario.dones ?? 12, 40),
      scenario.disturb?.(stage),
    ]);
    if (crashAtEnd) {
      await settled(owner, drainWithinMs);
      await struck.arm(crashAtEnd);
      if (endsInRecord(crashAtEnd)) await clerk.run(1, 0);
      else await Promise.all(devices.map((device) => device.sendRest(paceMs)));
    }
    const drainMs = await settled(owner, drainWithinMs);
    return { clerk, followed, drainMs: Math.round(drainMs) };
  } finally {
    end.abort();
    await following;
  }
}

/** Runs a company against a service that dies, and checks all that it says after. */
export async function runScenario(scenario: Scenario): Promise<Outcome> {
  const { owner, ownerUrl, pools, seed, trucks = 2, crashAtEnd } = scenario;
  const { crashes = [], crashUnderLoad } = scenario;
  const { api, struck, subjects } = startProcesses(scenario);
  const client = new Client(api);
  try {
    const plan = { trucks, readings: scenario.readings ?? 150, nowMs: Date.now(), seed };
    const company = await bringIn(client, plan);
    const devices = company.trucks.map((truck, i) => new Device(client, truck, seed * 31 + i));
    if (crashUnderLoad) await struck.arm(crashUnderLoad);
    const held = crashAtEnd && !endsInRecord(crashAtEnd) ? 70 : 0;
    for (const device of devices) device.held = held;
    const stage = { ownerUrl, subject: api, client, company, devices };
    const { clerk, followed, drainMs } = await load(scenario, stage, struck);
    if (!scenario.disturb) {
      const expected = crashes.length + [crashUnderLoad, crashAtEnd].filter(Boolean).length;
      const deaths = Array(expected).fill('SIGKILL');
      await struck.died(expected);
      expect(
        struck.exits.map((exit) => exit.signal),
        'deaths at the crash points',
      ).toEqual(deaths);
    }
    for (const { broken, done } of devices) {
      expect({ broken, done }).toEqual({ broken: [], done: true });
    }
    expect(clerk.broken).toEqual([]);
    await checkReadings(owner, pools, company);
    await checkUsage(client, company);
    await checkThings(owner, company, clerk.recorded);
    const events = await checkEvents(client, followed, company, clerk.recorded);
    const kills = subjects.reduce((sum, subject) => sum + subject.exits.length, 0);
    await checkDerived(owner, pools);
    for (const subject of subjects) await endWell(subject);
    return {
      kills,
      posts: devices.reduce((sum, device) => sum + device.posts, 0),
      unanswered: devices.reduce((sum, device) => sum + device.lost, 0),
      events,
      drainMs,
      statuses: Object.fromEntries(client.statuses),
      faults: client.faults.map((fault) => withLog(fault, subjects)),
    };
  } catch (error) {
    const words = subjects.map((subject) => subject.lastWords()).join('\n--\n');
    for (const subject of subjects) await subject.end('SIGKILL').catch(() => undefined);
    const text = error instanceof Error ? `${error.message}\n${error.stack}` : String(error);
    throw new Error(`${text}\nThe last words of the service:\n${words}`, { cause: error });
  }
}

/** A fault with what the service logged of it. */
function withLog(fault: string, subjects: readonly Subject[]): string {
  const id = /#([0-9a-f-]{36})/.exec(fault)?.[1] ?? 'none';
  const line = subjects.flatMap(({ lines }) => lines).find((each) => each.includes(id));
  return `${fault} ${line ?? ''}`;
}

/** The service stops when asked to, in time. */
async function endWell(subject: Subject): Promise<void> {
  await subject.url();
  const exit = await subject.end('SIGTERM');
  expect(exit, subject.lastWords()).toMatchObject({ code: 0 });
  expect(exit.tookMs).toBeLessThan(11_000);
}
