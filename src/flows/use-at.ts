import { localDay } from '../domain/usage/local-day.ts';
import type { Tx } from '../store/tx.ts';
import { assetWork } from '../store/unit-work.ts';
import { usageBefore } from '../store/usage.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { UseLookup } from './look-up-use.ts';

/** What an asset's meters stood at, in grains; `since`: from when on each is known. */
export interface UseAt {
  grains: Record<string, number>;
  knownSinceMs: Record<string, number | null>;
}

/**
 * What the meters of an asset stood at at instants of the past: its starting value, where it was
 * brought in with one, and what was counted and adjusted since. Looked up from what is folded,
 * never asked for.
 */
export class MetersAt {
  readonly #tx: Tx;
  readonly #fleetId: number;
  readonly #assetId: string;
  readonly #known = new Map<string, Promise<number>>();
  #work: ReturnType<typeof assetWork> | null = null;

  constructor(tx: Tx, fleetId: number, assetId: string) {
    this.#tx = tx;
    this.#fleetId = fleetId;
    this.#assetId = assetId;
  }

  /** Everything that was counted of a meter up to an instant. */
  async #counted(meter: string, atMs: number): Promise<number> {
    this.#work ??= assetWork(this.#tx, this.#fleetId, this.#assetId, 0);
    const { sources, uses } = await this.#work;
    const { zone } = await zoneOfAsset(this.#tx, this.#fleetId, this.#assetId, atMs);
    const of = { fleetId: this.#fleetId, assetId: this.#assetId, zone };
    const lookup = new UseLookup(this.#tx, of, sources, uses, false);
    const before = await usageBefore(this.#tx, this.#fleetId, this.#assetId, localDay(atMs, zone));
    return (before.get(meter) ?? 0) + (await lookup.until(meter, atMs));
  }

  async #once(meter: string, atMs: number): Promise<number> {
    const key = `${meter} ${atMs}`;
    const known = this.#known.get(key) ?? this.#counted(meter, atMs);
    this.#known.set(key, known);
    return known;
  }

  async at(meters: readonly string[], atMs: number): Promise<UseAt> {
    this.#work ??= assetWork(this.#tx, this.#fleetId, this.#assetId, 0);
    const { sources, starts } = await this.#work;
    const answer: UseAt = { grains: {}, knownSinceMs: {} };
    for (const meter of meters) {
      const start = starts.find((each) => each.meter === meter);
      const first = sources.find((each) => each.meter === meter)?.fromMs ?? null;
      answer.knownSinceMs[meter] = start?.atMs ?? first;
      if (start === undefined) answer.grains[meter] = await this.#once(meter, atMs);
      else if (atMs <= start.atMs) answer.grains[meter] = start.grains;
      else {
        const since = await this.#once(meter, start.atMs);
        answer.grains[meter] = start.grains + (await this.#once(meter, atMs)) - since;
      }
    }
    return answer;
  }
}
