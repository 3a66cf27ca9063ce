import { randomUUID } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import { type Answer, type Client, NoAnswer } from './client.ts';
import { adminKey, type Company, type Truck } from './company.ts';
import { randomFrom, type Series, wholeFrom } from './truth.ts';

interface Settled {
  streams: {
    counter: string | null;
    contiguous: number | null;
    conflict: number;
    refused: unknown[];
  }[];
}

interface Buffer {
  series: Series;
  /** Highest number up to which everything was answered as settled; -1 at first. */
  settled: number;
  /** Highest number sent so far. */
  sent: number;
}

interface Posted {
  counter: string;
  epoch: 0;
  firstSeq: number;
  at: number[];
  raw: number[];
}

/** A gateway that keeps each reading until an answer settles it. */
export class Device {
  readonly truck: Truck;
  readonly buffers: Buffer[];
  /** Anything the service said that breaks its word. */
  readonly broken: string[] = [];
  posts = 0;
  lost = 0;
  /** How many of each stream's last readings are kept back for the end. */
  held = 0;
  readonly #client: Client;
  readonly #random: () => number;
  #seenStarts = 0;
  #longest = 16;

  constructor(client: Client, truck: Truck, seed: number) {
    this.#client = client;
    this.truck = truck;
    this.#random = randomFrom(seed);
    this.buffers = truck.series.map((series) => ({ series, settled: -1, sent: -1 }));
  }

  get done(): boolean {
    return this.buffers.every((buffer) => buffer.settled >= this.#last(buffer));
  }

  #last({ series }: Buffer): number {
    return series.raw.length - 1 - this.held;
  }

  /** Sends what was kept back, each stream's in one go, until all is settled. */
  async sendRest(paceMs: number): Promise<void> {
    this.held = 0;
    this.#longest = 1_000;
    await this.run(paceMs);
  }

  /** Sends until all that is not kept back is settled. */
  async run(paceMs: number): Promise<void> {
    const postsMax = 20_000;
    while (!this.done && this.posts < postsMax && this.broken.length < 20) {
      if (this.#client.subject.starts !== this.#seenStarts) await this.#askWhereItStands();
      await this.#sendSomething();
      await sleep(this.#random() * 2 * paceMs);
    }
  }

  async #sendSomething(): Promise<void> {
    const dice = this.#random();
    if (dice < 0.05) return void (await this.#post([], { 'device-time': String(Date.now()) }));
    const streams: Posted[] = [];
    for (const buffer of this.buffers) {
      if (this.#random() < 0.75) streams.push(...this.#choose(buffer, dice));
    }
    if (dice > 0.92) {
      // The same post twice at once, as a device does that was too impatient.
      await Promise.all([this.#post(streams), this.#post(streams)]);
    } else await this.#post(streams, {}, dice > 0.8 ? this.#random() * 20 : undefined);
  }

  /** Which numbers of a stream go into a post: the next ones, some again, or some out of order. */
  #choose(buffer: Buffer, dice: number): Posted[] {
    const { series, settled } = buffer;
    const last = this.#last(buffer);
    const length = this.#longest > 16 ? this.#longest : wholeFrom(this.#random, 2, 16);
    let from = settled + 1;
    if (settled >= 0 && dice < 0.15) from = Math.max(0, settled - wholeFrom(this.#random, 0, 12));
    else if (settled >= 0 && dice < 0.3) from = settled + 1 + wholeFrom(this.#random, 3, 12);
    if (from > last) from = Math.min(last, settled + 1);
    const to = Math.min(last, from + length - 1);
    buffer.sent = Math.max(buffer.sent, to);
    const { counter } = series.plan;
    const at = series.at.slice(from, to + 1);
    return [{ counter, epoch: 0, firstSeq: from, at, raw: series.raw.slice(from, to + 1) }];
  }

  async #post(
    streams: readonly Posted[],
    headers: Record<string, string> = {},
    loseAfterMs?: number,
  ): Promise<void> {
    this.posts += 1;
    const key = this.truck.gatewayKey;
    const before = new Map(this.buffers.map((b) => [b.series.plan.counter, b.settled]));
    const lose = loseAfterMs === undefined ? {} : { loseAfterMs: Math.ceil(loseAfterMs) };
    let answer: Answer<Settled>;
    try {
      answer = await this.#client.once<Settled>('POST', '/v1/readings', {
        key,
        body: { streams },
        headers,
        ...lose,
      });
    } catch (error) {
      if (!(error instanceof NoAnswer)) throw error;
      this.lost += 1;
      return;
    }
    if (answer.status >= 500) return void (await sleep(50));
    if (answer.status !== 200 || answer.body.streams.length !== streams.length) {
      this.broken.push(`a post was answered ${answer.status} ${JSON.stringify(answer.body)}`);
      return;
    }
    answer.body.streams.forEach((stream, i) => {
      const { counter } = streams[i] as Posted;
      this.#take(stream, counter, before.get(counter) ?? -1);
    });
  }

  /** `before`: what was settled when the post was sent, and so must be settled in its answer. */
  #take(stream: Settled['streams'][number], counter: string, before: number): void {
    const buffer = this.buffers.find((each) => each.series.plan.counter === counter) as Buffer;
    if (stream.conflict > 0 || stream.refused.length > 0) {
      this.broken.push(`${counter}: ${JSON.stringify(stream)}`);
    }
    const contiguous = stream.contiguous ?? -1;
    if (contiguous > buffer.sent) {
      this.broken.push(`${counter}: ${contiguous} settled, but only ${buffer.sent} was sent`);
    }
    if (contiguous < before) {
      this.broken.push(`${counter}: ${before} was settled, then ${contiguous} was answered`);
    }
    // Two posts at once may be answered in either order.
    buffer.settled = Math.max(buffer.settled, contiguous);
  }

  /** After a start of the service: what it once settled must be settled still. */
  async #askWhereItStands(): Promise<void> {
    const { starts } = this.#client.subject;
    const { counters } = await this.#client.get<{
      counters: { counter: string; epochs: { contiguous: number | null }[] }[];
    }>('/v1/gateways/me/counters', this.truck.gatewayKey);
    for (const { series, settled } of this.buffers) {
      const found = counters.find((each) => each.counter === series.plan.counter);
      const contiguous = found?.epochs[0]?.contiguous ?? -1;
      if (contiguous < settled) {
        this.broken.push(`${series.plan.counter}: ${settled} was settled, now ${contiguous}`);
      }
    }
    this.#seenStarts = starts;
  }
}

/** Somebody at the yard who says that work is done, now and then twice. */
export class Clerk {
  recorded = 0;
  readonly broken: string[] = [];
  readonly #client: Client;
  readonly #company: Company;
  readonly #random: () => number;

  constructor(client: Client, company: Company, seed: number) {
    this.#client = client;
    this.#company = company;
    this.#random = randomFrom(seed);
  }

  async run(records: number, paceMs: number): Promise<void> {
    for (let left = records; left > 0; left -= 1) {
      const i = this.recorded;
      const { trucks } = this.#company;
      const truck = trucks[i % trucks.length] as Truck;
      const first = truck.series[0]?.at[0] as number;
      const path = `/v1/units/${truck.unitId}/tasks/grease_pivot/done`;
      const body = { at: new Date(first + i * 5_400_000).toISOString(), note: `record ${i}` };
      const call = { key: adminKey, body, idempotencyKey: randomUUID() };
      const twice = this.#random() < 0.3;
      const answers = await Promise.all(
        (twice ? [1, 2] : [1]).map(() => this.#client.call<{ doneId: string }>('POST', path, call)),
      );
      this.recorded += 1;
      const again = await this.#client.call<{ doneId: string }>('POST', path, call);
      const ids = new Set([...answers, again].map((answer) => answer.body.doneId));
      if (ids.size !== 1 || !again.replayed) {
        this.broken.push(`record ${i} was answered with ${[...ids]}, again: ${again.replayed}`);
      }
      await sleep(this.#random() * 2 * paceMs);
    }
  }
}

export interface SeenEvent {
  number: number;
  type: string;
  subject: string;
  data: Record<string, unknown>;
  personal: unknown;
  personalDigest: string | null;
  occurredAt: string;
  recordedAt: string;
  hash: string;
}

/** Reads the history with `after=` until told to end, as a follower would. */
export async function follow(client: Client, seen: SeenEvent[], signal: AbortSignal) {
  while (!signal.aborted) {
    await readOn(client, seen);
    await sleep(60);
  }
}

/** Reads what is new; answers how much that was. */
export async function readOn(client: Client, seen: SeenEvent[]): Promise<number> {
  const after = seen.at(-1)?.number ?? 0;
  const path = `/v1/events?after=${after}&limit=500`;
  const { items } = await client.get<{ items: SeenEvent[] }>(path, adminKey);
  seen.push(...items);
  return items.length;
}
