/**
 * A gateway: numbers its readings, keeps each until it is settled, and sends what is left. No
 * I/O.
 */

/** One member of `streams` in a post. */
export interface PostedStream {
  readonly counter: string;
  readonly epoch: number;
  readonly firstSeq: number;
  readonly at: readonly number[];
  readonly raw: readonly number[];
}

/** What the device looks at in an answer. */
export interface SettledStream {
  readonly counter: string | null;
  readonly epoch: number | null;
  readonly contiguous: number | null;
}

interface Buffer {
  readonly counter: string;
  readonly epoch: number;
  /** Number of the first reading still kept. */
  firstSeq: number;
  at: number[];
  raw: number[];
}

/** A real one overwrites its oldest; here the history is never so long offline. */
export const bufferMax = 50_000;

export class Device {
  /** How far its clock is ahead. */
  clockAheadMs = 0;
  readonly #open = new Map<string, Buffer>();
  readonly #left: Buffer[] = [];

  /**
   * Opens an epoch of a counter; numbers start at 0. What is left of the one before is still
   * sent.
   */
  begin(counter: string, epoch: number): void {
    const before = this.#open.get(counter);
    if (before && before.at.length > 0) this.#left.push(before);
    this.#open.set(counter, { counter, epoch, firstSeq: 0, at: [], raw: [] });
  }

  /** Keeps a reading; answers where it stands. */
  record(counter: string, trueMs: number, raw: number): PostedStream {
    const buffer = this.#open.get(counter);
    if (!buffer) throw new RangeError(`the device has no counter ${counter}`);
    if (buffer.at.length >= bufferMax) throw new RangeError(`the buffer of ${counter} is full`);
    const at = trueMs + this.clockAheadMs;
    const firstSeq = buffer.firstSeq + buffer.at.length;
    buffer.at.push(at);
    buffer.raw.push(raw);
    return { counter, epoch: buffer.epoch, firstSeq, at: [at], raw: [raw] };
  }

  /** Everything that is not settled, oldest epoch first. */
  waiting(): PostedStream[] {
    return [...this.#left, ...this.#open.values()]
      .filter(({ at }) => at.length > 0)
      .map((buffer) => ({ ...buffer, at: [...buffer.at], raw: [...buffer.raw] }));
  }

  /** Lets go of what an answer says is settled. */
  settle(answers: readonly SettledStream[]): void {
    for (const { counter, epoch, contiguous } of answers) {
      if (contiguous === null) continue;
      const fits = (each: Buffer) => each.counter === counter && each.epoch === epoch;
      const buffer = [...this.#left, ...this.#open.values()].find(fits);
      const settled = buffer ? contiguous + 1 - buffer.firstSeq : 0;
      if (!buffer || settled <= 0) continue;
      buffer.at.splice(0, settled);
      buffer.raw.splice(0, settled);
      buffer.firstSeq = contiguous + 1;
    }
    for (let i = this.#left.length - 1; i >= 0; i -= 1) {
      if (this.#left[i]!.at.length === 0) this.#left.splice(i, 1);
    }
  }
}

/** Parts of a stream with at most `size` readings each, in order. */
export function inBatches(stream: PostedStream, size: number): PostedStream[] {
  const batches: PostedStream[] = [];
  for (let i = 0; i < stream.at.length; i += size) {
    batches.push({
      ...stream,
      firstSeq: stream.firstSeq + i,
      at: stream.at.slice(i, i + size),
      raw: stream.raw.slice(i, i + size),
    });
  }
  return batches;
}

/**
 * What a counter of limited width shows for its true ticks, and how a reset or a new controller
 * changes it.
 */
export class Dial {
  readonly #modulus: number;
  #zero = 0;

  constructor(widthBits: number) {
    this.#modulus = 2 ** widthBits;
  }

  show(ticks: number): number {
    const value = (ticks - this.#zero) % this.#modulus;
    return value < 0 ? value + this.#modulus : value;
  }

  /** From here on `ticks` shows as `value`. */
  set(ticks: number, value: number): void {
    this.#zero = ticks - value;
  }
}
