/** How the crew works through a job card: step by step, told by phone, checked and signed. */
import type { Liftwright, StepCommand, WholeJobCard } from '../../../openapi/client.ts';
import { instantText } from '../../domain/instant.ts';
import { POINT_TAPS, type PointTap } from '../../domain/upkeep/point-tap.ts';
import { createRandom, type Random } from '../random.ts';
import type { Crew, MemberKey } from './crew.ts';

type Step = WholeJobCard['steps'][number];
type Reading = NonNullable<StepCommand['measurement']>;

/** What is told of one step, where it is not just done. */
export interface Told {
  readonly tap?: PointTap;
  readonly words?: string;
  readonly find?: { grade: 'keep_watch' | 'mend_by' | 'unfit'; mendByDay?: string };
  readonly notDone?: 'waits_for_part' | 'no_time';
  readonly value?: number;
}

export interface WorkOptions {
  readonly doer: MemberKey;
  /** Checks what is lift-critical, stands at the controls, vouches for a trainee. */
  readonly checker: MemberKey;
  readonly beganMs: number;
  /** What is told of a step otherwise than that it is done; undefined: it is done. */
  readonly tell?: (step: Step) => Told | undefined;
  readonly words?: string;
}

const stepMs = 3 * 60_000;
const commandsMost = 100;

/** An id as a phone makes it, the same for the same seed. */
export function clientId(random: Random): string {
  const hex = Array.from({ length: 32 }, () => random.int(0, 15).toString(16)).join('');
  const parts = [hex.slice(0, 8), hex.slice(8, 12), `4${hex.slice(13, 16)}`];
  return [...parts, `8${hex.slice(17, 20)}`, hex.slice(20)].join('-');
}

const isDone = (tap: string) => POINT_TAPS[tap as PointTap]?.result === 'done';

/** What a worn part measures here: a little of its way to the limit, with the gauge's own error. */
function measured(step: Step, random: Random): Reading[] {
  return step.wearParts.slice(0, 1).flatMap(({ key, unit, nominal, limit }) => {
    if (nominal === null || limit === null) return [];
    const share = random.int(15, 45) / 100;
    const value = Math.round((nominal + (limit - nominal) * share) * 100) / 100;
    return [{ part: key, value, unit: unit as NonNullable<Reading['unit']> }];
  });
}

function commandOf(step: Step, at: string, told: Told | undefined, context: Context) {
  const { random, controls } = context;
  const base = { clientId: clientId(random), stepId: step.stepId, at };
  const words = told?.words === undefined ? {} : { words: told.words };
  if (told?.notDone)
    return { ...base, ...words, result: 'not_done' as const, reason: told.notDone };
  if (told?.find) {
    const tap = told.tap === undefined ? {} : { tap: told.tap };
    return { ...base, ...words, ...tap, result: 'not_right' as const, find: told.find };
  }
  const tap = told?.tap ?? (step.taps.find(isDone) as PointTap | undefined);
  const [reading] = measured(step, random);
  const value = told?.value ?? reading?.value;
  const measurement =
    reading === undefined || value === undefined
      ? {}
      : { measurement: { ...reading, value, tool: 'feeler gauge', wiped: true } };
  return {
    ...base,
    ...words,
    ...measurement,
    ...(tap === undefined ? {} : { tap }),
    result: 'done' as const,
    ...(step.needsControls ? { atControls: controls } : {}),
  };
}

interface Context {
  readonly random: Random;
  readonly controls: string;
}

export class CardWork {
  readonly #api: Liftwright;
  readonly #crew: Crew;
  readonly #seed: string;

  constructor(api: Liftwright, crew: Crew, seed: string) {
    this.#api = api;
    this.#crew = crew;
    this.#seed = seed;
  }

  /**
   * Puts hands on and tells every step, then says that nothing more is to be done. A find that
   * ends the card ends it here, too. Answers the card as it stands.
   */
  async work(cardId: string, options: WorkOptions): Promise<WholeJobCard> {
    const crew = this.#crew;
    const key = crew.phones.shop;
    const { doer, beganMs } = options;
    const signature = await crew.signIn(doer);
    const at = instantText(beganMs);
    const card = await this.#api.postJobCardBegin(cardId, { signature, at }, { key });
    const random = createRandom(`${this.#seed}/card/${card.unitId}/${beganMs}`);
    const context = { random, controls: crew.id(options.checker) };
    let doneMs = beganMs;
    const commands = [];
    for (const step of card.steps) {
      doneMs += stepMs;
      const told = options.tell?.(step);
      commands.push(commandOf(step, instantText(doneMs), told, context));
      if (told?.find?.grade === 'unfit' && step.endsCardIfUnfit) break;
    }
    for (let i = 0; i < commands.length; i += commandsMost) {
      const some = commands.slice(i, i + commandsMost);
      const body = { signature, commands: some };
      const { verdicts } = await this.#api.postJobCardCommands(cardId, body, { key });
      const refused = verdicts.find(({ verdict }) => verdict === 'refused');
      if (refused) throw new Error(`a step was refused: ${refused.detail ?? 'without a word'}`);
    }
    const now = await this.#api.getJobCard(cardId, { key });
    if (now.state !== 'hands_on') return now;
    return this.#api.postJobCardEndWork(
      cardId,
      {
        signature: crew.pin(doer),
        togetherAndSafe: true,
        ...(options.words === undefined ? {} : { words: options.words }),
        at: instantText(doneMs),
      },
      { key },
    );
  }

  /** A second person checks and vouches for what lacks it, then the lead signs. */
  async sign(card: WholeJobCard, checker: MemberKey, restNotDone?: string): Promise<WholeJobCard> {
    const key = this.#crew.phones.shop;
    const lacking = (code: string) =>
      card.lacking.filter((each) => each.code === code).map(({ stepId }) => stepId);
    const signature = this.#crew.pin(checker);
    const [toVouch, toCheck] = [lacking('needs_countersign'), lacking('needs_check')];
    const { cardId } = card;
    if (toVouch.length > 0) {
      await this.#api.postJobCardCountersigns(cardId, { signature, stepIds: toVouch }, { key });
    }
    if (toCheck.length > 0) {
      await this.#api.postJobCardChecks(cardId, { signature, stepIds: toCheck }, { key });
    }
    return this.#api.postJobCardSignOff(
      cardId,
      {
        signature: this.#crew.pin('lead'),
        ...(restNotDone === undefined ? {} : { restNotDone }),
      },
      { key: this.#crew.phones.lead },
    );
  }
}
