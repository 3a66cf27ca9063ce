import type { Tx } from './tx.ts';

/**
 * A transaction that many readers use at once: each statement waits for the one before. After one
 * that failed the database takes no more, and what was read is not to be believed: see `failure`.
 */
export class InTurn {
  #last: Promise<unknown> = Promise.resolve();
  #failure: unknown = null;
  readonly tx: Tx;

  constructor(tx: Tx) {
    const run = tx.query as unknown as (...all: unknown[]) => Promise<unknown>;
    const query = (...args: unknown[]) => {
      const answer = this.#last.then(() => {
        if (this.#failure !== null) throw this.#failure;
        return run.apply(tx, args);
      });
      this.#last = answer.catch((error: unknown) => {
        this.#failure ??= error;
      });
      return answer;
    };
    this.tx = { query: query as Tx['query'] };
  }

  /** What the first statement that failed threw; null: none did. */
  get failure(): unknown {
    return this.#failure;
  }
}
