import type pg from 'pg';
import { crashPoint } from '../crash-points.ts';
import { Problem } from '../errors.ts';
import { type PlainPost, recordPostGroup } from '../store/post-group.ts';
import { recordNewRuns } from '../store/reading.ts';

/** What `recordNewRuns` answers: numbers settled per stream, or null for the long way. */
type Stored = Map<number, string> | null;

interface Waiting {
  post: PlainPost;
  readings: number;
  settle(stored: Stored): void;
  fail(error: unknown): void;
}

export interface CommitBounds {
  /** Groups on their way at a time. */
  lanes: number;
  /** Posts in a group; 1: every post is a transaction of its own. */
  postsMost: number;
  /** Readings in a group; a post with more goes alone. */
  readingsMost: number;
  /** Posts being worked on in this process; more are refused at once. */
  postsInside: number;
  /** Readings being worked on in this process. */
  readingsInside: number;
}

const defaults: CommitBounds = {
  lanes: 3,
  postsMost: 256,
  readingsMost: 2_000,
  postsInside: 4_000,
  readingsInside: 2_000_000,
};

/** A post that goes alone and takes longer than this goes on beside the lanes. */
const singleMs = 200;

/**
 * Commits small posts that arrive together in one transaction, whatever fleets they are of. A post
 * never waits for others to come: it goes with those that are there as soon as one of the lanes is
 * free, so under little load it goes alone and at once, and under much load the groups grow. Each
 * is answered when the commit is durable. A post that fails, that needs the long way or waits for a
 * lock harms no other: a group leaves it out and it goes singly, as all do when a group fails.
 */
export class PostCommitter {
  readonly #batcher: pg.Pool;
  readonly #bounds: CommitBounds;
  #waiting: Waiting[] = [];
  #lanesUsed = 0;
  #posts = 0;
  #readings = 0;
  #awake = false;
  /** Gateways with a post on its way: the next waits, for it would only wait for a lock. */
  readonly #underWay = new Set<string>();

  constructor(batcher: pg.Pool, bounds: Partial<CommitBounds> = {}) {
    this.#batcher = batcher;
    this.#bounds = { ...defaults, ...bounds };
  }

  /**
   * Works on a post of so many readings, within the bounds of what may be inside at a time.
   *
   * @throws Problem overloaded, early, while too much is inside
   */
  async admit<T>(readings: number, work: () => Promise<T>): Promise<T> {
    const { postsInside, readingsInside } = this.#bounds;
    if (this.#posts >= postsInside || this.#readings >= readingsInside) {
      throw new Problem('overloaded', 'Too many posts are being worked on.', { retryAfterS: 5 });
    }
    this.#posts += 1;
    this.#readings += readings;
    try {
      return await work();
    } finally {
      this.#posts -= 1;
      this.#readings -= readings;
    }
  }

  /** Stores a plain post, alone or with others; see `recordNewRuns`. */
  commit(post: PlainPost): Promise<Stored> {
    const readings = post.runs.reduce((sum, run) => sum + run.raw.length, 0);
    const { postsMost, readingsMost } = this.#bounds;
    if (postsMost <= 1 || readings > readingsMost) return this.#alone(post);
    return new Promise((settle, fail) => {
      this.#waiting.push({ post, readings, settle, fail });
      this.#wake();
    });
  }

  #alone({ contact, runs }: PlainPost): Promise<Stored> {
    return recordNewRuns(this.#batcher, contact, runs);
  }

  /** Posts that were read from sockets in the same turn of the event loop go together. */
  #wake(): void {
    if (this.#awake) return;
    this.#awake = true;
    setImmediate(() => {
      this.#awake = false;
      while (this.#lanesUsed < this.#bounds.lanes) {
        const group = this.#takeGroup();
        if (group.length === 0) return;
        this.#lanesUsed += 1;
        void this.#send(group).finally(() => {
          this.#lanesUsed -= 1;
          this.#wake();
        });
      }
    });
  }

  #takeGroup(): Waiting[] {
    const group: Waiting[] = [];
    const left: Waiting[] = [];
    let readings = 0;
    for (const each of this.#waiting) {
      const fits =
        group.length < this.#bounds.postsMost &&
        (group.length === 0 || readings + each.readings <= this.#bounds.readingsMost) &&
        !this.#underWay.has(nameOf(each.post));
      if (!fits) {
        left.push(each);
        continue;
      }
      group.push(each);
      readings += each.readings;
      this.#underWay.add(nameOf(each.post));
    }
    this.#waiting = left;
    return group;
  }

  /** Ends when the lane is free again. */
  async #send(group: readonly Waiting[]): Promise<void> {
    if (group.length === 1) {
      // One that waits for a lock must not keep the lane from all others.
      const patience = new Promise((settle) => setTimeout(settle, singleMs).unref());
      await Promise.race([this.#sendAlone(group[0] as Waiting), patience]);
      return;
    }
    let left = group;
    try {
      crashPoint('post_group.before_statement');
      const stored = await recordPostGroup(
        this.#batcher,
        group.map(({ post }) => post),
      );
      crashPoint('post_group.after_statement');
      for (const [i, each] of group.entries()) {
        const seen = stored[i];
        if (seen) this.#end(each, () => each.settle(seen));
      }
      left = group.filter((_each, i) => !stored[i]);
    } catch {
      // Whose fault it was is found out singly. Had it been committed after all, the numbers are
      // known by then, and the long way finds them to be the same.
    }
    for (const each of left) void this.#sendAlone(each);
  }

  async #sendAlone(each: Waiting): Promise<void> {
    try {
      const stored = await this.#alone(each.post);
      this.#end(each, () => each.settle(stored));
    } catch (error) {
      this.#end(each, () => each.fail(error));
    }
  }

  #end({ post }: Waiting, answer: () => void): void {
    this.#underWay.delete(nameOf(post));
    answer();
    this.#wake();
  }
}

const nameOf = ({ contact }: PlainPost): string => `${contact.fleetId} ${contact.gatewayId}`;
