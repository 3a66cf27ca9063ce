import { expect } from 'vitest';
import { createRandom } from '../../src/demo/random.ts';
import type { TestApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { contractFaults } from '../helpers/contract.ts';
import {
  FleetBuilder,
  greaseTask,
  liftCounter,
  ptoCounter,
  run,
  startMs,
  tickMs,
} from '../helpers/fleet.ts';
import { postFrames, vehicleHours } from '../helpers/frame.ts';
import { oddPost, type Post } from './bodies.ts';

const atOnce = 8;
const settleEvery = 2_000;
const neighbourEvery = 50;
const failuresMost = 20;
const busCounter = { ...ptoCounter, counter: 'bus_pto', basis: 'j1939_248' };
const engaged = {
  ...{ counter: 'bus_on', meter: 'pto_hours', resolution: 0.05, basis: 'derived_j1939_3948' },
};

/** What of the answer to a post is wrong: a fault of ours, or a shape that was not promised. */
function faultsOf(post: Post, response: { statusCode: number; type: string; text: string }) {
  const { statusCode: status, type, text } = response;
  const inLines = type.startsWith('application/x-ndjson');
  const body: unknown = text === '' ? null : inLines ? text : JSON.parse(text);
  const faults = contractFaults('POST', post.url, { status, type, body });
  if (status >= 500) faults.push(`answered ${status}`);
  // A line is answered on its own, with a refusal in it that must not be ours either.
  if (inLines && /"status":5|"internal"/.test(text)) faults.push('a line was answered with a 5xx');
  return faults;
}

/** Two gateways that do all as they should: one counts itself, one hands on what its bus says. */
class Neighbours {
  readonly #fleet: FleetBuilder;
  #posted = 0;
  #counting = { liftId: '', client: null as Client | null };
  #onBus = { liftId: '', client: null as Client | null };

  constructor(fleet: FleetBuilder) {
    this.#fleet = fleet;
  }

  async move(patternId: string): Promise<void> {
    const counting = await this.#fleet.truck({ patternId, counters: [ptoCounter] });
    const onBus = await this.#fleet.truck({ patternId, counters: [busCounter] });
    this.#counting = { liftId: counting.liftId, client: counting.gateway.client };
    this.#onBus = { liftId: onBus.liftId, client: onBus.gateway.client };
  }

  /** The next reading: one tick more, in the time that a tick takes. */
  async post(): Promise<void> {
    const n = this.#posted;
    this.#posted += 1;
    const at = startMs - 25 * 86_400_000 + n * tickMs;
    const stream = { counter: 'pto_hours', epoch: 0, ...run(n, [at, 1_000 + n]) };
    const client = this.#counting.client as Client;
    const { streams } = await client.made('/v1/readings', { streams: [stream] });
    expect(streams).toMatchObject([{ contiguous: n, accepted: 1, refused: [], missing: [] }]);
    const answer = await postFrames(this.#onBus.client as Client, [vehicleHours(at, 1_000 + n)]);
    expect(answer.counters).toMatchObject([{ accepted: 1, raw: 1_000 + n }]);
  }

  /** Every reading counts, and nothing else does. */
  async check(): Promise<void> {
    const use = (this.#posted - 1) * (tickMs / 1_000);
    for (const { liftId } of [this.#counting, this.#onBus]) {
      const days = await this.#fleet.days(liftId);
      expect(Object.values(days).reduce((sum, grains) => sum + grains, 0)).toBe(use);
    }
    const { counters } = await (this.#counting.client as Client).read('/v1/gateways/me/counters');
    const last = this.#posted - 1;
    expect(counters).toMatchObject([{ epochs: [{ contiguous: last, highest: last }] }]);
    const { items, conflicts } = await (this.#counting.client as Client).read(
      '/v1/gateways/me/verdicts',
    );
    expect(items.filter((each: { verdict: string }) => each.verdict !== 'baseline')).toEqual([]);
    expect(conflicts).toEqual([]);
  }
}

export interface BodiesReport {
  posts: number;
  perSecond: number;
  statuses: Record<string, number>;
  /** Posts of each well-behaved neighbour meanwhile. */
  neighbourPosts: number;
  failures: string[];
}

/**
 * Has a gateway post so many bodies that are broken somewhere, the workers fold what is left of
 * them, and two others go on posting properly: they lose and gain nothing.
 */
export async function fuzzBodies(app: TestApp, cases: number, seed: string): Promise<BodiesReport> {
  const random = createRandom(seed);
  const fleet = new FleetBuilder(app);
  const patternId = await fleet.pattern(greaseTask);
  const counters = [ptoCounter, liftCounter, busCounter, engaged];
  const { gateway } = await fleet.truck({ patternId, counters });
  const neighbours = new Neighbours(fleet);
  await neighbours.move(patternId);
  const report: BodiesReport = {
    ...{ posts: 0, perSecond: 0, statuses: {}, neighbourPosts: 0, failures: [] },
  };
  const one = async () => {
    const post = oddPost(random);
    const { url, headers, payload } = post;
    const authorization = `Bearer ${gateway.client.key}`;
    const response = await app.app.inject({
      ...{ method: 'POST', url, headers: { ...headers, authorization }, payload },
    });
    const type = String(response.headers['content-type'] ?? '');
    const text = response.body;
    report.posts += 1;
    const { statusCode } = response;
    report.statuses[statusCode] = (report.statuses[statusCode] ?? 0) + 1;
    const faults = faultsOf(post, { statusCode, type, text });
    if (faults.length === 0 || report.failures.length >= failuresMost) return;
    report.failures.push(
      [
        `${url} ${JSON.stringify(headers)} ${payload.toString('base64').slice(0, 2_000)}`,
        `  ${faults.join('; ')}: ${text.slice(0, 300)}`,
        `  ${statusCode >= 500 ? app.logged.at(-1)?.slice(0, 1_500) : ''}`,
      ].join('\n'),
    );
  };
  const begun = performance.now();
  for (let sent = 0; sent < cases; sent += settleEvery) {
    let left = Math.min(settleEvery, cases - sent);
    const sender = async () => {
      while (left > 0) {
        left -= 1;
        await one();
      }
    };
    const neighbour = async () => {
      for (let i = Math.ceil(left / neighbourEvery); i > 0; i -= 1) {
        await neighbours.post();
        report.neighbourPosts += 1;
      }
    };
    await Promise.all([neighbour(), ...Array.from({ length: atOnce }, sender)]);
    app.clock.set(app.clock.nowMs() + 60_000);
    await app.settle();
  }
  report.perSecond = Math.round((report.posts * 1_000) / (performance.now() - begun));
  await neighbours.check();
  return report;
}
