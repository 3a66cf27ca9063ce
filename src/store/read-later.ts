import type pg from 'pg';
import { InTurn } from './in-turn.ts';
import { type FleetSnapshot, openFleetSnapshot } from './pool.ts';
import type { Tx } from './tx.ts';

/** The longest pause between two statements. */
const idleMs = 30_000;

/**
 * A consistent view of a fleet that is opened by the first statement, so that it shows what was
 * committed before that and holds no connection while something else is done.
 */
export class ReadLater {
  readonly #open: () => Promise<FleetSnapshot>;
  #opening: Promise<{ snapshot: FleetSnapshot; turn: InTurn }> | null = null;
  readonly tx: Tx;

  constructor(pool: pg.Pool, fleetId: number) {
    this.#open = () => openFleetSnapshot(pool, fleetId, idleMs);
    const query = async (...args: unknown[]) => {
      this.#opening ??= this.#open().then((snapshot) => ({
        snapshot,
        turn: new InTurn(snapshot.tx),
      }));
      const { turn } = await this.#opening;
      return (turn.tx.query as (...all: unknown[]) => Promise<unknown>)(...args);
    };
    this.tx = { query: query as unknown as Tx['query'] };
  }

  /** Gives the connection back; statements that come later are refused. */
  async close(): Promise<void> {
    const opened = await this.#opening?.catch(() => null);
    if (!opened) return;
    await opened.turn.end();
    await opened.snapshot.close();
  }
}
