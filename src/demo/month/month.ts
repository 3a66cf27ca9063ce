/**
 * The last month of the company's history with the shop's work in it: what drivers told, which
 * cards were worked and signed, what was stopped and agreed, what dispatch was answered. Acts
 * happen between the moments of the history, each at its own instant.
 */
import type { Liftwright } from '../../../openapi/client.ts';
import type { DemoUnit } from '../company.ts';
import type { HistoryWindow } from '../moments.ts';
import type { Directory } from '../settle-in.ts';
import type { DoneTask } from '../shop.ts';
import type { WarpedClock } from '../warped-clock.ts';
import { type Crew, hireCrew } from './crew.ts';
import { crossbarScene } from './crossbar-scene.ts';
import { deskScenes } from './desk-scenes.ts';
import { driverScenes } from './driver-scenes.ts';
import { nightScene } from './night-scene.ts';
import { type Act, type Asked, Stage } from './stage.ts';
import { CardWork } from './work-card.ts';

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
/** Its next upkeep in the month is worked with a job card; of all others the shop only tells. */
const cardedUnit = '11';

export class Month {
  readonly #options: MonthOptions;
  readonly #hiring: Promise<Crew>;
  #stage: Stage | null = null;
  #acts: Act[] = [];
  #carded = false;

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

  /**
   * What the shop did on a unit in the morning, by card where it is the unit's turn: its phone had
   * no signal in the yard, so that all of it comes in the evening. False: no card was written.
   */
  async workedByCard(unit: DemoUnit, done: readonly DoneTask[]): Promise<boolean> {
    const stage = this.#stage;
    const turn = !this.#carded && unit.number === cardedUnit && done.length > 0;
    if (stage === null || !turn) return false;
    this.#carded = true;
    const { api, crew } = stage;
    const { cards } = stage.parts;
    const keys = done.map(({ task }) => task);
    const card = await api.postJobCards(
      { unitId: stage.unitId(unit.number), tasks: stage.tasks(unit.number, ...keys) },
      { key: crew.phones.lead },
    );
    const beganMs = this.#options.clock.nowMs() - 8 * 3_600_000;
    const work = { doer: 'tech', checker: 'checker', beganMs } as const;
    await cards.sign(await cards.work(card.cardId, work), 'checker');
    return true;
  }

  async #open(): Promise<void> {
    const { api, adminKey, directory, window, seed, units } = this.#options;
    const crew = await this.#hiring;
    const byNumber = new Map(units.map((unit) => [unit.number, unit]));
    const cards = new CardWork(api, crew, seed);
    const parts = { api, adminKey, crew, cards, directory, window, seed, units: byNumber };
    const stage = new Stage(parts);
    this.#stage = stage;
    const scenes = [nightScene, crossbarScene, deskScenes, driverScenes];
    this.#acts = scenes
      .flatMap((scene) => scene(stage))
      .filter((act) => act.atMs < window.endMs)
      .sort((a, b) => a.atMs - b.atMs);
  }
}
