/**
 * A night call: the lift sinks with a van on it. The stop waits for the drop, the shop finds a wet
 * hose in the morning, changes it the next day and signs; ten days later the same is told again.
 */
import type { Act, Stage } from './stage.ts';

const unit = '34';
const another = '38';

class NightCall {
  readonly #stage: Stage;
  #symptomId = '';
  #findingId = '';
  #firstCard = '';
  #secondCard = '';

  constructor(stage: Stage) {
    this.#stage = stage;
  }

  get #unitId(): string {
    return this.#stage.unitId(unit);
  }

  get #desk() {
    return { key: this.#stage.crew.phones.desk };
  }

  get #lead() {
    return { key: this.#stage.crew.phones.lead };
  }

  async tell(words: string, loadOnHook: boolean): Promise<void> {
    const body = { symptom: 'creeps_down_loaded' as const, loadOnHook, words };
    const told = await this.#stage.api.postUnitSymptoms(this.#unitId, body, this.#desk);
    this.#symptomId = told.symptomId;
    await this.#stage.ask(unit);
  }

  async drop(): Promise<void> {
    const { api } = this.#stage;
    const { stops } = await api.getUnitSymptom(this.#unitId, this.#symptomId, this.#desk);
    for (const { stopId, state } of stops) {
      if (state !== 'waits_for_drop') continue;
      const body = { words: 'The van is off.' };
      await api.postUnitStopDropped(this.#unitId, stopId, body, this.#desk);
    }
    await this.#stage.ask(unit);
  }

  /** The next call goes to another unit of the yard, on the strength of its own answer. */
  async sendAnother(): Promise<void> {
    const asked = await this.#stage.ask(another);
    if (asked.answer === 'yes') await this.#stage.send(asked, 'second call of the night');
  }

  async writeUp(): Promise<void> {
    const { api } = this.#stage;
    const told = await api.postUnitSymptomCard(this.#unitId, this.#symptomId, {}, this.#lead);
    this.#firstCard = told.cardId ?? '';
  }

  async look(beganMs: number): Promise<void> {
    const { cards } = this.#stage.parts;
    const wet = {
      tap: 'wet',
      words: 'Wet below the drum; the cover is rubbed through to the braid.',
      find: { grade: 'unfit' },
    } as const;
    const worked = await cards.work(this.#firstCard, {
      doer: 'tech',
      checker: 'checker',
      beganMs,
      tell: (step) => (step.pointKey === 'hoses' ? wet : undefined),
    });
    const found = worked.steps.flatMap(({ said }) => said.flatMap((each) => each.findingId ?? []));
    this.#findingId = found[0] ?? '';
    await cards.sign(worked, 'checker', 'The hose comes tomorrow.');
    await this.#stage.ask(unit);
  }

  async followUp(): Promise<void> {
    const card = await this.#stage.api.postJobCards(
      {
        unitId: this.#unitId,
        kind: 'follow_on',
        tasks: [],
        findings: [this.#findingId],
        follows: this.#firstCard,
        reasons: ['A new hose from the valve over the drum.'],
      },
      this.#lead,
    );
    this.#secondCard = card.cardId;
  }

  async mend(beganMs: number): Promise<void> {
    const { cards } = this.#stage.parts;
    const work = { doer: 'tech', checker: 'checker', beganMs } as const;
    await cards.sign(await cards.work(this.#secondCard, work), 'checker');
    const words = 'The hose was rubbed through; a new one is on.';
    const mending = { symptomId: this.#symptomId, cardId: this.#secondCard, words };
    await this.#stage.mended(unit, mending);
    await this.#stage.ask(unit);
  }

  async findSound(): Promise<void> {
    const { api, crew } = this.#stage;
    const words = 'Held ten minutes with a known load, oil warm and settled: not a mark.';
    const body = { how: 'unnecessary' as const, words, signature: crew.pin('lead') };
    await api.postUnitSymptomClose(this.#unitId, this.#symptomId, body, this.#lead);
  }
}

export function nightScene(stage: Stage): Act[] {
  const call = new NightCall(stage);
  const at = (days: number, clock: string) => stage.at(unit, days, clock);
  const act = (days: number, clock: string, run: () => Promise<void>): Act => ({
    atMs: at(days, clock),
    run,
  });
  return [
    act(20, '02:10', () => call.tell('It sinks a hand in ten minutes with the van on.', true)),
    act(20, '02:50', () => call.drop()),
    act(20, '03:05', () => call.sendAnother()),
    act(20, '07:40', () => call.writeUp()),
    act(20, '10:40', () => call.look(at(20, '07:45'))),
    act(19, '13:00', () => call.followUp()),
    act(19, '15:00', () => call.mend(at(19, '13:10'))),
    act(9, '03:20', () => call.tell('It sinks again, less than before.', false)),
    act(9, '09:00', () => call.findSound()),
  ];
}
