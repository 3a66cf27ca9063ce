import { v7 as uuid } from 'uuid';
import { expect } from 'vitest';
import type { TestApp } from './app.ts';
import type { Answer, Client, Json } from './client.ts';
import { FleetBuilder, patternOf, startMs, type Truck, text } from './fleet.ts';

const place = { side: 'left', place: 'By the boom' };
const points = [
  { ...place, key: 'pin', kind: 'pin', name: 'Fold pin', serves: ['wheel_lift', 'road'] },
  {
    ...{ ...place, key: 'bolt', kind: 'fastener', name: 'Pivot bolt', liftCritical: true },
    ...{ torque: { nm: 90, thread: 'dry' }, liftPosition: { reach: 'out' }, tool: 'wrench' },
  },
  { ...place, key: 'fitting', kind: 'grease_fitting', name: 'Pivot fitting' },
];
const every = { days: 30 };
const tasks = [
  { key: 'grease', name: 'Grease it', points: ['fitting'], every },
  { key: 'bolts', name: 'Check the bolt', points: ['bolt'], every },
  { key: 'look', name: 'Look at the pin', points: ['pin'], every },
];
export const cardPattern = { ...patternOf(...tasks), servicePoints: points };

export interface Worker {
  personId: string;
  signature: object;
}

/** A shop with people and a unit, and what is done with its cards, through the API. */
export class Shop {
  readonly fleet: FleetBuilder;
  readonly #app: TestApp;
  truck!: Truck;
  patternId!: string;
  /** A technician, one who may check, one who leads, a driver, one who learns. */
  ann!: Worker;
  ben!: Worker;
  lee!: Worker;
  dan!: Worker;
  tia!: Worker;

  constructor(app: TestApp, client?: Client) {
    this.#app = app;
    this.fleet = new FleetBuilder(app, client);
  }

  async open(): Promise<void> {
    const { fleet } = this;
    const made = await fleet.client.made('/v1/patterns', { document: cardPattern });
    this.patternId = made.patternId;
    this.truck = await this.newTruck();
    this.ann = await fleet.person(['lift_work']);
    this.ben = await fleet.person(['lift_work', 'lift_check']);
    this.lee = await fleet.person(['lead']);
    this.dan = await fleet.person(['driving']);
    this.tia = await fleet.person(['lift_work'], { passesNeeded: 3 });
    await this.#app.settle();
  }

  newTruck(): Promise<Truck> {
    return this.fleet.truck({ patternId: this.patternId, counters: [] });
  }

  get client(): Client {
    return this.fleet.client;
  }

  /** A card of tasks of the truck, or of another. */
  async write(tasks: string[], more: object = {}, truck = this.truck): Promise<Json> {
    return this.client.made('/v1/job-cards', {
      unitId: truck.unitId,
      tasks: tasks.map((task) => ({ assetId: truck.liftId, task })),
      ...more,
    });
  }

  read(cardId: string): Promise<Json> {
    return this.client.read(`/v1/job-cards/${cardId}`);
  }

  act(card: Json, act: string, by: Worker | null, more: object = {}): Promise<Answer> {
    const signed = by === null ? {} : { signature: by.signature };
    return this.client.post(`/v1/job-cards/${card.cardId}/${act}`, { ...signed, ...more });
  }

  async did(card: Json, act: string, by: Worker | null, more: object = {}): Promise<Json> {
    const answer = await this.act(card, act, by, more);
    expect([200, 201], JSON.stringify(answer.body)).toContain(answer.status);
    return answer.body;
  }

  /** A command on a step, as a phone makes it. */
  command(step: Json, result = 'done', more: object = {}): Json {
    const controls = step.needsControls && result === 'done';
    return {
      clientId: uuid(),
      stepId: step.stepId,
      result,
      at: text(startMs),
      ...(controls ? { atControls: this.ben.personId } : {}),
      ...(result === 'not_done' ? { reason: 'no_time' } : {}),
      ...(result === 'not_right' ? { words: 'It is bent.', find: { grade: 'keep_watch' } } : {}),
      ...more,
    };
  }

  /** Tells steps; answers the verdicts in words. */
  async tell(card: Json, by: Worker, ...commands: Json[]): Promise<string[]> {
    const { verdicts } = await this.did(card, 'commands', by, { commands });
    return verdicts.map((each: Json) => each.verdict);
  }

  /** Begins a card and does every step of it. */
  async work(card: Json, by: Worker, more: object = {}): Promise<void> {
    await this.did(card, 'begin', by);
    const commands = card.steps.map((step: Json) => this.command(step, 'done', more));
    expect(new Set(await this.tell(card, by, ...commands))).toEqual(new Set(['taken']));
  }

  /** Hands off, together and safe. */
  end(card: Json, by: Worker, more: object = {}): Promise<Json> {
    return this.did(card, 'end-work', by, { togetherAndSafe: true, ...more });
  }

  critical(card: Json): string[] {
    return card.steps.filter((s: Json) => s.liftCritical).map((s: Json) => s.stepId);
  }

  /** The stops of a unit that stand, as `kind functions`. */
  async stops(truck = this.truck): Promise<Json[]> {
    const { rows } = await this.#app.db.owner.query(
      `select kind, functions, cause_kind, placed_by_person from liftwright.stop
       where unit_id = $1 and state <> 'cleared' order by stop_id`,
      [truck.unitId],
    );
    return rows;
  }
}
