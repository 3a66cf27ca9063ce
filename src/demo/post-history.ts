/**
 * Sends the company's history through the real API, moment by moment: the clock of the service
 * is set to the moment, the yard's gateways post what they hold, the story goes on, the shop
 * writes down its work.
 */

import type { Liftwright } from '../../openapi/client.ts';
import { addDays, localDay, startOfLocalDay } from '../domain/usage/local-day.ts';
import { type DemoUnit, deferredUnit, planUnits } from './company.ts';
import { defectOf, defects } from './defects.ts';
import { inParallel } from './in-parallel.ts';
import { type HistoryWindow, type Moment, momentsOf } from './moments.ts';
import type { Crew } from './month/crew.ts';
import { Month } from './month/month.ts';
import type { Asked } from './month/stage.ts';
import { createRandom } from './random.ts';
import { Sender } from './send.ts';
import { type Directory, idOf, settleIn, tellDone } from './settle-in.ts';
import { Shop } from './shop.ts';
import { Story } from './story.ts';
import { Truth } from './truth.ts';
import { UnitHistory } from './unit-history.ts';
import type { WarpedClock } from './warped-clock.ts';

export interface HistoryOptions {
  readonly api: Liftwright;
  readonly adminKey: string;
  readonly clock: WarpedClock;
  readonly window: HistoryWindow;
  readonly seed: string;
  /** Waits until the service has worked out everything that it was sent. */
  readonly drain: () => Promise<void>;
  /**
   * What the service does by itself every few hours of real time; here by the clock of the
   * history.
   */
  readonly keepHouse: () => Promise<void>;
  /** Called as a day of the history begins. */
  readonly onDay?: (dayIndex: number) => void;
}

export interface PostedHistory {
  readonly window: HistoryWindow;
  readonly units: readonly UnitHistory[];
  readonly directory: Directory;
  readonly truth: Truth;
  /** By unit number. */
  readonly senders: ReadonlyMap<string, Sender>;
  /** What dispatch asked in the last month, and was answered. */
  readonly asked: readonly Asked[];
}

const duplicateChance = 0.15;
const shuffleChance = 0.25;
const shuffledBatch = 25;
const keepHouseDays = 20;
const unitsAtOnce = 8;

class History {
  readonly #options: HistoryOptions;
  readonly #shop: Shop;
  readonly #directory: Directory;
  readonly #units: ReadonlyMap<string, UnitHistory>;
  readonly #senders: ReadonlyMap<string, Sender>;
  readonly #story: Story;
  readonly #month: Month;

  constructor(
    options: HistoryOptions,
    parts: {
      shop: Shop;
      directory: Directory;
      units: ReadonlyMap<string, UnitHistory>;
      senders: ReadonlyMap<string, Sender>;
      month: Month;
    },
  ) {
    this.#options = options;
    this.#shop = parts.shop;
    this.#directory = parts.directory;
    this.#units = parts.units;
    this.#senders = parts.senders;
    this.#month = parts.month;
    this.#story = new Story({ ...options, units: parts.units, directory: parts.directory });
  }

  async live(moment: Moment): Promise<void> {
    const { clock } = this.#options;
    clock.set(moment.atMs);
    const here = [...this.#units.values()].filter(({ unit }) => moment.yards.includes(unit.yard));
    await inParallel(here, unitsAtOnce, (history) => this.#post(history, moment));
    if (moment.slot === 'dawn') {
      for (const history of here) await this.#story.dawn(history, moment.dayIndex);
    }
    if (moment.slot === 'evening') {
      await inParallel(here, unitsAtOnce, (history) => this.#work(history, moment));
    }
  }

  /** The last moment: every gateway that still talks sends what it holds. */
  async end(): Promise<void> {
    const { clock, window } = this.#options;
    await this.#month.until(window.endMs);
    clock.set(window.endMs);
    const everywhere = [...this.#units.values()];
    await inParallel(everywhere, unitsAtOnce, async (history) => {
      history.advance(window.endMs);
      if (history.silent) return;
      await this.#sender(history).plain(history.device, this.#key(history));
    });
  }

  #sender({ unit }: UnitHistory): Sender {
    return this.#senders.get(unit.number)!;
  }

  #key({ unit }: UnitHistory): string {
    return this.#directory.gateways.get(unit.number)!.key;
  }

  async #post(history: UnitHistory, moment: Moment): Promise<void> {
    history.advance(moment.atMs);
    if (history.silent || this.#story.isOffline(history, moment.dayIndex)) return;
    const { device } = history;
    // In the evening a gateway always says that it is there; at dawn only after a night call.
    if (device.waiting().length === 0 && moment.slot !== 'evening') return;
    const { number } = history.unit;
    const sender = this.#sender(history);
    const key = this.#key(history);
    const random = createRandom(`${this.#options.seed}/post/${number}/${moment.atMs}`);
    if (this.#story.comesBack(history, moment)) {
      await sender.newestFirst(device, key, this.#options.drain);
    } else if (defectOf(number, 'duplicates') && random.chance(duplicateChance)) {
      await sender.twice(device, key);
    } else if (defectOf(number, 'shuffled') && random.chance(shuffleChance)) {
      await sender.shuffled(device, key, random, shuffledBatch);
    } else {
      await sender.plain(device, key);
    }
    const conflicts = history.conflicts.splice(0);
    if (conflicts.length > 0) await sender.post(device, key, conflicts);
  }

  async #work(history: UnitHistory, { dayIndex, day }: Moment): Promise<void> {
    const { unit, assets } = history;
    const midnightMs = startOfLocalDay(day, unit.yard.timeZone);
    const { api, adminKey } = this.#options;
    const unitId = idOf(this.#directory.units, unit.number);
    const done = this.#shop.workOn(unit, assets.lift, dayIndex, midnightMs, day);
    if (await this.#month.workedByCard(unit, done)) return;
    for (const each of done) await tellDone(api, adminKey, unitId, each);
  }
}

/**
 * The legal date of one unit may not be put off; one task of another is, for three weeks and
 * some use.
 */
async function defer(
  { api, adminKey, window }: HistoryOptions,
  directory: Directory,
  crew: Crew,
): Promise<void> {
  const unitId = idOf(directory.units, deferredUnit);
  const deferral = {
    untilDay: addDays(localDay(window.endMs, 'UTC'), 21),
    untilUse: { pto_hours: 25, lift_cycles: 120 },
    restriction: 'Nothing heavier than a small car; no long tows.',
    reason: 'The grease gun kit for this lift comes next week.',
    signature: crew.pin('lead'),
  };
  await api.postUnitTaskDeferrals(unitId, 'grease_joints', deferral, { key: adminKey });
}

/** Gateways to be exchanged on an agreed day. */
function leavingGateways(units: readonly DemoUnit[], window: HistoryWindow): Map<string, number> {
  const leaving = new Map<string, number>();
  for (const { kind, unit: number, from } of defects) {
    const unit = units.find((each) => each.number === number);
    if (kind === 'gateway_swapped' && unit) leaving.set(number, dawnOf(unit, window, from));
  }
  return leaving;
}

/**
 * Brings the company in and posts its whole history. The clock stands at the end of it
 * afterwards.
 */
export async function postHistory(options: HistoryOptions): Promise<PostedHistory> {
  const { api, adminKey, clock, window, seed, drain } = options;
  const truth = new Truth();
  const shop = new Shop(seed, window, truth);
  const planned = planUnits(seed, window.days);
  const leaving = leavingGateways(planned, window);
  const directory = await settleIn(api, adminKey, planned, window, shop, leaving);
  const units = new Map(
    planned.map((unit) => [unit.number, new UnitHistory(unit, window, truth)] as const),
  );
  const nowMs = () => clock.nowMs();
  const senders = new Map(planned.map(({ number }) => [number, new Sender(api, nowMs)] as const));
  const month = new Month({ ...options, directory, units: planned });
  const history = new History(options, { shop, directory, units, senders, month });
  let lastDay = -1;
  for (const moment of momentsOf(window)) {
    if (moment.dayIndex > lastDay) options.onDay?.(moment.dayIndex);
    await month.until(moment.atMs);
    if (moment.dayIndex > lastDay && moment.dayIndex % keepHouseDays === 0) {
      clock.set(moment.atMs);
      await options.keepHouse();
    }
    lastDay = moment.dayIndex;
    await history.live(moment);
  }
  await history.end();
  await drain();
  await defer(options, directory, await month.crew);
  await drain();
  const { asked } = month;
  return { window, units: [...units.values()], directory, truth, senders, asked };
}

/** When a part of the story happens: at a dawn, when every unit is parked. */
function dawnOf(unit: DemoUnit, window: HistoryWindow, thousandths: number): number {
  const dayIndex = Math.floor((window.days * thousandths) / 1000);
  return startOfLocalDay(addDays(window.firstDay, dayIndex), unit.yard.timeZone) + 5 * 3_600_000;
}
