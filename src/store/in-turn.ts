import type { Tx } from './tx.ts';

const tooLate = new Error('The transaction has ended.');

/**
 * A transaction that many readers use at once: each statement waits for the one before. After one
 * that failed the database takes no more, and what was read is not to be believed: see `failure`.
 * Readers may still be at work when the answer is known, so whoever ends the transaction first
 * calls `end`: a statement after it would run in whatever the connection is used for next.
 */
export class InTurn {
  #last: Promise<unknown> = Promise.resolve();
  #failure: unknown = null;
  #ended = false;
  readonly tx: Tx;

  constructor(tx: Tx) {
    const run = tx.query as unknown as (...all: unknown[]) => Promise<unknown>;
    const query = (...args: unknown[]) => {
      const answer = this.#last.then(() => {
        if (this.#ended) throw tooLate;
        if (this.#failure !== null) throw this.#failure;
        return run.apply(tx, args);
      });
      this.#last = answer.catch((error: unknown) => {
        if (error !== tooLate) this.#failure ??= error;
      });
      return answer;
    };
    this.tx = { query: query as Tx['query'] };
  }

  /** Waits for the statement that is on its way, if any; those that come later are refused. */
  async end(): Promise<void> {
    this.#ended = true;
    await this.#last;
  }

  /** What the first statement that failed threw; null: none did. */
  get failure(): unknown {
    return this.#failure;
  }
}
