/**
 * The last month of the company's history with the shop's work in it: who signs, what was stopped
 * and agreed, what dispatch was answered. Acts happen between the moments of the history, each at
 * its own instant.
 */
import type { Liftwright } from '../../../openapi/client.ts';
import type { DemoUnit } from '../company.ts';
import type { HistoryWindow } from '../moments.ts';
import type { Directory } from '../settle-in.ts';
import type { WarpedClock } from '../warped-clock.ts';
import { type Crew, hireCrew } from './crew.ts';
import { deskScenes } from './desk-scenes.ts';
import { type Act, type Asked, Stage } from './stage.ts';

export interface MonthOptions {
  readonly api: Liftwright;
  readonly adminKey: string;
  readonly clock: WarpedClock;
  readonly window: HistoryWindow;
  readonly seed: string;
  readonly directory: Directory;
  readonly units: readonly DemoUnit[];
}

export const monthDays = 30;

export class Month {
  readonly #options: MonthOptions;
  readonly #hiring: Promise<Crew>;
  #stage: Stage | null = null;
  #acts: Act[] = [];

  /** The crew is hired from here on, beside whatever else goes on. */
  constructor(options: MonthOptions) {
    this.#options = options;
    const { api, adminKey, seed, clock, window } = options;
    const nowMs = () => clock.nowMs();
    this.#hiring = hireCrew(api, adminKey, { seed, nowMs, sinceMs: window.startMs });
    // Told where it is waited for.
    this.#hiring.catch(() => undefined);
  }

  get crew(): Promise<Crew> {
    return this.#hiring;
  }

  get asked(): readonly Asked[] {
    return this.#stage?.asked ?? [];
  }

  /** Everything that happens before an instant; the clock stands at the last of it. */
  async until(atMs: number): Promise<void> {
    const { clock, window } = this.#options;
    if (atMs < window.endMs - (monthDays + 1) * 86_400_000) return;
    if (this.#stage === null) await this.#open();
    while (this.#acts[0] !== undefined && this.#acts[0].atMs < atMs) {
      const act = this.#acts.shift()!;
      // What would have been before the history begins is taken up at its beginning.
      clock.set(Math.max(act.atMs, clock.nowMs()));
      await act.run();
    }
  }

  async #open(): Promise<void> {
    const { api, adminKey, directory, window, seed, units } = this.#options;
    const crew = await this.#hiring;
    const byNumber = new Map(units.map((unit) => [unit.number, unit]));
    const parts = { api, adminKey, crew, directory, window, seed, units: byNumber };
    const stage = new Stage(parts);
    this.#stage = stage;
    this.#acts = deskScenes(stage)
      .filter((act) => act.atMs < window.endMs)
      .sort((a, b) => a.atMs - b.atMs);
  }
}
