/** How a unit's gateway sends what it holds, with the habits that the defects give it. */
import type { Liftwright } from '../../openapi/client.ts';
import { type Device, inBatches, type PostedStream, type SettledStream } from './device.ts';
import type { Random } from './random.ts';

export interface StreamAnswer extends SettledStream {
  readonly accepted: number;
  readonly duplicate: number;
  readonly conflict: number;
  readonly missing: readonly (readonly [number, number])[];
  readonly refused: readonly unknown[];
}

/** What the answers of a unit's posts said, added up. */
export interface Tally {
  posts: number;
  readings: number;
  duplicates: number;
  conflicts: number;
  /** Answers that named missing numbers. */
  gaps: number;
  refused: number;
}

export const emptyTally = (): Tally => ({
  posts: 0,
  readings: 0,
  duplicates: 0,
  conflicts: 0,
  gaps: 0,
  refused: 0,
});

/** What one post may hold; the service's bound is higher. */
const readingsPerPost = 4_000;

export class Sender {
  readonly tally = emptyTally();
  readonly #api: Liftwright;
  readonly #nowMs: () => number;

  constructor(api: Liftwright, nowMs: () => number) {
    this.#api = api;
    this.#nowMs = nowMs;
  }

  /** One post; what its answer settles leaves the device. */
  async post(device: Device, key: string, streams: readonly PostedStream[]): Promise<void> {
    const headers = { 'device-time': String(this.#nowMs() + device.clockAheadMs) };
    const posted = streams.map(({ at, raw, ...rest }) => ({ ...rest, at: [...at], raw: [...raw] }));
    const { streams: answers } = await this.#api.postReadings(
      { streams: posted },
      { key, headers },
    );
    device.settle(answers);
    this.tally.posts += 1;
    for (const answer of answers) {
      this.tally.readings += answer.accepted;
      this.tally.duplicates += answer.duplicate;
      this.tally.conflicts += answer.conflict;
      this.tally.gaps += answer.missing.length > 0 ? 1 : 0;
      this.tally.refused += answer.refused.length;
    }
  }

  /** Everything that waits, in as few posts as it takes; an empty one when nothing does. */
  async plain(device: Device, key: string): Promise<void> {
    const waiting = device.waiting();
    const size = Math.max(1, Math.floor(readingsPerPost / Math.max(1, waiting.length)));
    const rounds = waiting.map((stream) => inBatches(stream, size));
    const posts = Math.max(1, ...rounds.map((batches) => batches.length));
    for (let i = 0; i < posts; i += 1) {
      const streams = rounds.flatMap((batches) => batches.slice(i, i + 1));
      await this.post(device, key, streams);
    }
  }

  /** The same body twice, as when the first answer was lost. */
  async twice(device: Device, key: string): Promise<void> {
    const streams = device.waiting();
    await this.post(device, key, streams);
    if (streams.length > 0) await this.post(device, key, streams);
  }

  /**
   * In small batches and any order. A stream's very first number goes first all the same: where a
   * stream begins is not to be guessed from a later one.
   */
  async shuffled(device: Device, key: string, random: Random, size: number): Promise<void> {
    const batches = device.waiting().flatMap((stream) => inBatches(stream, size));
    const first = batches.filter(({ firstSeq }) => firstSeq === 0);
    const later = random.shuffle(batches.filter(({ firstSeq }) => firstSeq > 0));
    for (const batch of [...first, ...later]) await this.post(device, key, [batch]);
  }

  /** The newest half first, then `between`, then the rest. */
  async newestFirst(device: Device, key: string, between: () => Promise<void>): Promise<void> {
    const halves = device.waiting().map((stream) => {
      return inBatches(stream, Math.max(1, Math.ceil(stream.at.length / 2)));
    });
    await this.post(
      device,
      key,
      halves.flatMap((half) => half.slice(1)),
    );
    await between();
    await this.plain(device, key);
  }
}
