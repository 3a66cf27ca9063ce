/**
 * The company's shop: when it looks at a unit, and what it then does and writes down. Pure but
 * for its memory.
 */
import { builtInMeter, grainsPerUnit } from '../domain/usage/meter.ts';
import { type DemoUnit, patterns, statutoryUnit } from './company.ts';
import { weekdayOf } from './duty.ts';
import type { HistoryWindow } from './moments.ts';
import type { PatternTask } from './patterns/caution.ts';
import { createRandom, type Random } from './random.ts';
import type { Truth } from './truth.ts';

/** A task that was done, to be told to the service. */
export interface DoneTask {
  readonly task: string;
  readonly atMs: number;
  readonly estimated: boolean;
}

interface LastDone {
  readonly atMs: number;
  readonly grains: Readonly<Record<string, number>>;
}

const dayMs = 86_400_000;
const hourMs = 3_600_000;
const monthDays = 30.4;

/**
 * Share of an interval at which a task brings a unit in; when it is there, what is nearly due
 * is done too.
 */
const bringsIn = { early: 0.87, usual: 1, lapsed: 1, unstated: Number.POSITIVE_INFINITY };
const doneAlong = 0.7;
/** Thousandths of the history after which a lapsed shop does nothing any more. */
const lapsesAt = 780;

export class Shop {
  readonly #seed: string;
  readonly #window: HistoryWindow;
  readonly #truth: Truth;
  /** By serial of the lift and task. */
  readonly #last = new Map<string, LastDone>();

  constructor(seed: string, window: HistoryWindow, truth: Truth) {
    this.#seed = seed;
    this.#window = window;
    this.#truth = truth;
  }

  /** What was done before the history begins, as far as anybody knows. */
  takeOver(unit: DemoUnit, lift: string): DoneTask[] {
    if (unit.upkeep === 'unstated') return [];
    const random = createRandom(`${this.#seed}/before/${unit.number}`);
    return patterns[unit.pattern].tasks.map((task) => {
      const atMs = this.#window.startMs - this.#daysBefore(unit, task, random) * dayMs;
      this.#last.set(`${lift} ${task.key}`, { atMs, grains: {} });
      return { task: task.key, atMs, estimated: !task.statutory };
    });
  }

  /** What the shop does with a unit on a day, `midnightMs` being when the day began. */
  workOn(unit: DemoUnit, lift: string, dayIndex: number, midnightMs: number, day: string) {
    const lapsed = unit.upkeep === 'lapsed' && dayIndex * 1000 >= this.#window.days * lapsesAt;
    const closed = weekdayOf(day) === 0 || weekdayOf(day) === 6;
    if (closed || lapsed) return [];
    const atMs = midnightMs + 7.5 * hourMs;
    const { tasks } = patterns[unit.pattern];
    const due = tasks.map((task) => ({ task, share: this.#share(unit, lift, task, atMs) }));
    if (!due.some(({ share }) => share >= bringsIn[unit.upkeep])) return [];
    const done: DoneTask[] = [];
    for (const { task, share } of due) {
      if (share < doneAlong) continue;
      const taskAtMs = atMs + done.length * 12 * 60_000;
      const grains: Record<string, number> = {};
      for (const meter of Object.keys(task.every)) grains[meter] = this.#truth.total(lift, meter);
      this.#last.set(`${lift} ${task.key}`, { atMs: taskAtMs, grains });
      done.push({ task: task.key, atMs: taskAtMs, estimated: false });
    }
    return done;
  }

  #daysBefore(unit: DemoUnit, task: PatternTask, random: Random): number {
    const { days, months } = task.every;
    const interval = days ?? (months === undefined ? 60 : months * monthDays);
    const share = random.next();
    if (!task.statutory) return Math.max(1, Math.floor(interval * 0.6 * share));
    // One unit's legal date comes shortly before the end of the history, all others' after it.
    const left = unit.number === statutoryUnit ? -4 : 20 + 120 * share;
    return Math.max(1, Math.floor(365 - this.#window.days - left));
  }

  /** How much of its interval a task has used; the legal inspection is somebody else's to do. */
  #share(unit: DemoUnit, lift: string, task: PatternTask, atMs: number): number {
    const last = this.#last.get(`${lift} ${task.key}`);
    if (!last || task.statutory) return 0;
    let share = 0;
    for (const [name, interval] of Object.entries(task.every)) {
      const meter = builtInMeter(name);
      if (meter) {
        const used = this.#truth.total(lift, name) - (last.grains[name] ?? 0);
        share = Math.max(share, used / (interval * grainsPerUnit[meter.dimension]));
      } else {
        const days = name === 'days' ? interval : interval * monthDays;
        share = Math.max(share, (atMs - last.atMs) / dayMs / days);
      }
    }
    // The shop knows its dust; the first salt of a winter always comes as a surprise.
    return share * (unit.yard.key === 'mesa' ? (task.severity?.dust ?? 1) : 1);
  }
}
