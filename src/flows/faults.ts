/** So many faults in one run are not those of single units or lines: the run gives up. */
const faultsMost = 5;

/**
 * The faults of one run over many units, lines or fleets. What cannot be worked on is passed over,
 * so that it holds up none of the others, and is told at the end, so that it is seen and tried
 * again.
 */
export class Faults {
  readonly #errors: unknown[] = [];
  readonly #failed = new Set<string>();

  /** Whether this one failed in this run. */
  has(key: string): boolean {
    return this.#failed.has(key);
  }

  /** Answers null when it failed. @throws the faults so far, when they are too many */
  async pass<T>(key: string, fn: () => Promise<T>): Promise<T | null> {
    try {
      return await fn();
    } catch (error) {
      this.#failed.add(key);
      this.#errors.push(error);
      if (this.#errors.length >= faultsMost) this.tell();
      return null;
    }
  }

  /** @throws the fault, or an AggregateError of them; nothing when there was none */
  tell(): void {
    if (this.#errors.length === 0) return;
    if (this.#errors.length === 1) throw this.#errors[0];
    throw new AggregateError(this.#errors, `${this.#errors.length} could not be worked on`);
  }
}
