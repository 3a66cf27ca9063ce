/** Where the scenes of the month play: the API, the crew, ids, and times by a yard's clock. */
import type { Liftwright } from '../../../openapi/client.ts';
import { addDays, localDay, startOfLocalDay } from '../../domain/usage/local-day.ts';
import { type DemoUnit, serialOf } from '../company.ts';
import type { HistoryWindow } from '../moments.ts';
import { type Directory, idOf } from '../settle-in.ts';
import type { Crew } from './crew.ts';
import type { CardWork } from './work-card.ts';

/** One thing that somebody does at an instant of the history. */
export interface Act {
  readonly atMs: number;
  run(): Promise<void>;
}

/** What dispatch was answered, and what that rested on. */
export interface Asked {
  readonly at: string;
  readonly unit: string;
  readonly answer: string;
  readonly event: number;
}

export interface StageParts {
  readonly api: Liftwright;
  readonly adminKey: string;
  readonly crew: Crew;
  readonly cards: CardWork;
  readonly directory: Directory;
  readonly window: HistoryWindow;
  readonly seed: string;
  readonly units: ReadonlyMap<string, DemoUnit>;
}

const minuteMs = 60_000;

export class Stage {
  readonly parts: StageParts;
  /** Every answer that dispatch was given, in order. */
  readonly asked: Asked[] = [];

  constructor(parts: StageParts) {
    this.parts = parts;
  }

  get api(): Liftwright {
    return this.parts.api;
  }

  get crew(): Crew {
    return this.parts.crew;
  }

  unitId(number: string): string {
    return idOf(this.parts.directory.units, number);
  }

  /** The lift that the unit came with; none of the units of a scene swaps its lift. */
  liftId(number: string): string {
    return idOf(this.parts.directory.assets, serialOf(number, 'lift'));
  }

  yardId(number: string): string {
    const unit = this.parts.units.get(number);
    return idOf(this.parts.directory.yards, unit?.yard.key ?? '');
  }

  /** An instant so many days before the last day, by the clock of the unit's yard: '02:10'. */
  at(number: string, daysBefore: number, clock: string): number {
    const unit = this.parts.units.get(number);
    if (!unit) throw new RangeError(`there is no unit ${number}`);
    const { timeZone } = unit.yard;
    const day = addDays(localDay(this.parts.window.endMs, timeZone), -daysBefore);
    const [hours = 0, minutes = 0] = clock.split(':').map(Number);
    return startOfLocalDay(day, timeZone) + (hours * 60 + minutes) * minuteMs;
  }

  tasks(number: string, ...keys: readonly string[]): { assetId: string; task: string }[] {
    return keys.map((task) => ({ assetId: this.liftId(number), task }));
  }

  /**
   * What a card mends is closed with it; where something was left in between, the lead says which
   * card it was.
   */
  async mended(
    number: string,
    { symptomId, cardId, words }: { symptomId: string; cardId: string; words: string },
  ): Promise<void> {
    const { phones } = this.crew;
    const unitId = this.unitId(number);
    const { state } = await this.api.getUnitSymptom(unitId, symptomId, { key: phones.desk });
    if (state === 'mended') return;
    const body = { how: 'mended' as const, cardId, words, signature: this.crew.pin('lead') };
    await this.api.postUnitSymptomClose(unitId, symptomId, body, { key: phones.lead });
  }

  /** Dispatch sends a unit on the strength of what it was answered. */
  async send(asked: Asked, reference: string): Promise<void> {
    const body = { functions: ['wheel_lift' as const], reliedOn: asked.event, reference };
    const desk = { key: this.crew.phones.desk };
    await this.api.postUnitAssignments(this.unitId(asked.unit), body, desk);
  }

  /** Dispatch asks whether a unit may take a call for its wheel lift. */
  async ask(number: string): Promise<Asked> {
    const key = this.crew.phones.desk;
    const { at, event, functions } = await this.api.getUnitReadiness(this.unitId(number), { key });
    const wheelLift = functions.find((each) => each.function === 'wheel_lift');
    const asked = { at, unit: number, answer: wheelLift?.answer ?? 'not_fitted', event };
    this.asked.push(asked);
    return asked;
  }
}
