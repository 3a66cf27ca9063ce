/**
 * What happens to units in the history besides their work: the defects that begin or end on a
 * day.
 */

import type { Liftwright } from '../../openapi/client.ts';
import { instantText } from '../domain/instant.ts';
import { type Defect, defects, fastClockMs } from './defects.ts';
import { Device } from './device.ts';
import type { HistoryWindow, Moment } from './moments.ts';
import { addGateway, type Directory, idOf } from './settle-in.ts';
import type { UnitHistory } from './unit-history.ts';
import type { WarpedClock } from './warped-clock.ts';

export interface StoryOptions {
  readonly api: Liftwright;
  readonly adminKey: string;
  readonly clock: WarpedClock;
  readonly window: HistoryWindow;
  readonly units: ReadonlyMap<string, UnitHistory>;
  readonly directory: Directory;
}

/** A week offline, in days of the history. */
const offlineDays = 7;
/** What a new controller shows before it has done anything here. */
const newControllerTicks = 37;

export class Story {
  readonly #options: StoryOptions;

  constructor(options: StoryOptions) {
    this.#options = options;
  }

  /** Days of the history on which a defect begins and ends. */
  #days(defect: Defect): { begins: number; ends: number } {
    const { days } = this.#options.window;
    const begins = Math.floor((days * defect.from) / 1000);
    const lasts = defect.kind === 'offline_week';
    const ends = lasts ? begins + offlineDays : Math.floor((days * defect.to) / 1000);
    return { begins, ends };
  }

  #of({ unit }: UnitHistory): Defect[] {
    return defects.filter((defect) => defect.unit === unit.number);
  }

  /** The device works on and keeps what it reads, but reaches nobody. */
  isOffline(history: UnitHistory, dayIndex: number): boolean {
    return this.#of(history).some((defect) => {
      const { begins, ends } = this.#days(defect);
      return defect.kind === 'offline_week' && dayIndex >= begins && dayIndex < ends;
    });
  }

  comesBack(history: UnitHistory, { dayIndex, slot }: Moment): boolean {
    return this.#of(history).some(
      (defect) =>
        defect.kind === 'offline_week' && slot === 'dawn' && dayIndex === this.#days(defect).ends,
    );
  }

  /** After the posts of a dawn: nothing is on its way, every unit is parked. */
  async dawn(history: UnitHistory, dayIndex: number): Promise<void> {
    for (const defect of this.#of(history)) {
      const { begins, ends } = this.#days(defect);
      if (dayIndex === begins) await this.#begin(history, defect);
      if (dayIndex === ends && defect.kind === 'fast_clock') history.device.clockAheadMs = 0;
    }
  }

  async #begin(history: UnitHistory, defect: Defect): Promise<void> {
    switch (defect.kind) {
      case 'silent':
        history.silent = true;
        break;
      case 'fast_clock':
        history.device.clockAheadMs = fastClockMs;
        break;
      case 'reset':
        for (const name of defect.counters ?? []) history.setDial(name, 0);
        break;
      case 'controller_replaced':
        await this.#replaceController(history, defect.counters ?? []);
        break;
      case 'lift_moved':
        await this.#swapLifts(history, this.#options.units.get(defect.with ?? '')!);
        break;
      case 'gateway_swapped':
        await this.#swapGateway(history);
        break;
      default:
        break;
    }
  }

  async #replaceController(history: UnitHistory, counters: readonly string[]): Promise<void> {
    const { api, directory } = this.#options;
    const { key } = directory.gateways.get(history.unit.number)!;
    for (const counter of counters) {
      const { epoch } = await api.postGatewayEpochs(
        'me',
        { counter, cause: 'controller_replaced' },
        { key },
      );
      history.device.begin(counter, epoch);
      history.setDial(counter, newControllerTicks);
    }
  }

  async #swapLifts(one: UnitHistory, other: UnitHistory): Promise<void> {
    const { api, adminKey, clock, directory } = this.#options;
    const from = instantText(clock.nowMs());
    const [first, second] = [one.assets.lift, other.assets.lift];
    for (const [serial, onto] of [
      [first, other],
      [second, one],
    ] as const) {
      const unitId = idOf(directory.units, onto.unit.number);
      const assetId = idOf(directory.assets, serial);
      await api.postInstalls({ unitId, assetId, from, move: true }, { key: adminKey });
      onto.assets.lift = serial;
    }
  }

  /** The controller keeps its values; what the old gateway counted by itself begins at zero. */
  async #swapGateway(history: UnitHistory): Promise<void> {
    const { api, adminKey, clock, directory } = this.#options;
    const { unit } = history;
    const serial = `GW-${unit.number}-B`;
    await addGateway(api, adminKey, directory, unit, { serial, fromMs: clock.nowMs(), toMs: null });
    history.device = new Device();
    for (const { counter, scope } of unit.counters) {
      history.device.begin(counter, 0);
      if (scope === 'gateway') history.setDial(counter, 0);
    }
  }
}
