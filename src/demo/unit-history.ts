/**
 * One unit through the history: its calls, what its counters make of them, what its gateway
 * records, and the defects that spoil single readings. What the readings mean goes to the truth
 * as they are recorded.
 */

import { startOfLocalDay } from '../domain/usage/local-day.ts';
import { type DemoCounter, type DemoUnit, serialOf } from './company.ts';
import { readCall, type Standing, type TrueReading } from './counting.ts';
import { defectOf } from './defects.ts';
import { Device, Dial, type PostedStream } from './device.ts';
import { type Call, nextDay, planDay } from './duty.ts';
import { createRandom, type Random } from './random.ts';
import type { Truth } from './truth.ts';

type Spoil = 'jitter' | 'spike' | 'conflict';

/** A reading on its way to the gateway, with the one before it in its call. */
interface Planned extends TrueReading {
  readonly afterMs: number;
  readonly afterTicks: number;
  readonly spoil: Spoil | null;
}

interface Counting {
  readonly spec: DemoCounter;
  readonly dial: Dial;
  standing: Standing;
  planned: Planned[];
  /** True ticks of the last reading recorded. */
  lastShown: number;
}

const spikeTicks = 4_000;

/**
 * Of the calls long enough for it, one in so many has a spoilt reading, the first one among
 * them.
 */
const spoiltOneIn = { jitter: 12, spike: 30, conflict: 25 } as const;

export class UnitHistory {
  readonly unit: DemoUnit;
  /** Serials of what is on it now. */
  readonly assets: Record<'lift' | 'chassis', string>;
  device: Device;
  /** It records and sends nothing any more. */
  silent = false;
  /** Numbers to send again with a value that is another. */
  conflicts: PostedStream[] = [];
  /** Readings spoilt so far, by kind. */
  readonly planted = { jitter: 0, spike: 0, conflict: 0 };
  readonly #truth: Truth;
  readonly #counting: Counting[];
  readonly #window: { readonly firstDay: string; readonly days: number };
  #day: string;
  #dayIndex = 0;
  #mayBeSpoilt = 0;

  constructor(unit: DemoUnit, window: { firstDay: string; days: number }, truth: Truth) {
    this.unit = unit;
    this.assets = {
      lift: serialOf(unit.number, 'lift'),
      chassis: serialOf(unit.number, 'chassis'),
    };
    this.device = new Device();
    for (const { counter } of unit.counters) this.device.begin(counter, 0);
    this.#truth = truth;
    this.#window = window;
    this.#day = window.firstDay;
    this.#counting = unit.counters.map((spec) => {
      const standing = { ticks: spec.startTicks, parts: 0 };
      return {
        spec,
        dial: new Dial(spec.widthBits),
        standing,
        planned: [],
        lastShown: spec.startTicks,
      };
    });
  }

  /** Has the gateway record what it read up to an instant; it must not go back. */
  advance(toMs: number): void {
    while (startOfLocalDay(this.#day, this.unit.yard.timeZone) <= toMs) {
      const calls = planDay(this.unit.duty, this.#day);
      for (const [index, call] of calls.entries()) this.#plan(call, index);
      this.#day = nextDay(this.#day);
      this.#dayIndex += 1;
    }
    for (const counting of this.#counting) {
      let count = 0;
      while (count < counting.planned.length && counting.planned[count]!.atMs <= toMs) {
        if (!this.silent) this.#record(counting, counting.planned[count]!);
        count += 1;
      }
      counting.planned = counting.planned.slice(count);
    }
  }

  /** Live: the gateway records a counter now, `ticks` further than it last stood. */
  recordNow(counter: string, nowMs: number, ticks: number): void {
    const counting = this.#find(counter);
    const reading = { atMs: nowMs, ticks: counting.lastShown + ticks };
    const before = { afterMs: nowMs, afterTicks: counting.lastShown };
    this.#record(counting, { ...reading, ...before, spoil: null });
  }

  /** From here on a counter shows `value` where it stands. */
  setDial(counter: string, value: number): void {
    const { dial, lastShown } = this.#find(counter);
    dial.set(lastShown, value);
  }

  #find(counter: string): Counting {
    const found = this.#counting.find(({ spec }) => spec.counter === counter);
    if (!found) throw new RangeError(`unit ${this.unit.number} has no counter ${counter}`);
    return found;
  }

  #plan(call: Call, index: number): void {
    const { duty, number } = this.unit;
    const random = createRandom(`${duty.seed}/spoil/${number}/${this.#day}/${index}`);
    for (const counting of this.#counting) {
      const { spec } = counting;
      const { readings, after } = readCall(call, spec, counting.standing);
      counting.standing = after;
      const spoilt = this.#spoilt(spec, readings, random);
      readings.forEach((reading, i) => {
        const before = readings[Math.max(0, i - 1)]!;
        counting.planned.push({
          ...reading,
          afterMs: before.atMs,
          afterTicks: before.ticks,
          spoil: i === spoilt?.index ? spoilt.kind : null,
        });
      });
    }
  }

  /**
   * Which reading of a call is spoilt, if any: never the first or the last, so that nothing is
   * lost by leaving it out, and never in a call over midnight, so that no day depends on it.
   */
  #spoilt(spec: DemoCounter, readings: readonly TrueReading[], random: Random) {
    const kind = this.#active(spec);
    if (!kind || readings.length < 4) return null;
    const midnightMs = startOfLocalDay(nextDay(this.#day), this.unit.yard.timeZone);
    if (readings.at(-1)!.atMs >= midnightMs) return null;
    this.#mayBeSpoilt += 1;
    if ((this.#mayBeSpoilt - 1) % spoiltOneIn[kind] !== 0) return null;
    return { index: random.int(2, readings.length - 2), kind };
  }

  /** The defect that spoils readings of this counter on the day that is planned. */
  #active(spec: DemoCounter): Spoil | null {
    const share = (this.#dayIndex * 1000) / this.#window.days;
    for (const kind of ['jitter', 'spike', 'conflict'] as const) {
      const defect = defectOf(this.unit.number, kind);
      if (!defect?.counters?.includes(spec.counter)) continue;
      if (share >= defect.from && share < defect.to) return kind;
    }
    return null;
  }

  #record(counting: Counting, reading: Planned): void {
    const { spec, dial } = counting;
    const { atMs, ticks, afterMs, afterTicks, spoil } = reading;
    let raw = dial.show(ticks);
    if (spoil === 'jitter') raw = dial.show(afterTicks) - 1;
    if (spoil === 'spike') raw += spikeTicks;
    const kept = this.device.record(spec.counter, atMs, raw);
    if (spoil === 'conflict') this.conflicts.push({ ...kept, raw: [raw + 1] });
    if (spoil !== null) this.planted[spoil] += 1;
    counting.lastShown = ticks;
    this.#truth.add({
      asset: this.assets[spec.assetKind],
      meter: spec.meter,
      timeZone: this.unit.yard.timeZone,
      fromMs: afterMs,
      toMs: atMs,
      grains: (ticks - afterTicks) * spec.grainsPerTick,
    });
  }
}
