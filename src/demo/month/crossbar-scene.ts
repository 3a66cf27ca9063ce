/**
 * Play at the crossbar: the trainee measures the washers and takes up the tension bolts, somebody
 * who may vouches for the trainee and checks. What wears has its life on record.
 */
import { instantText } from '../../domain/instant.ts';
import type { Act, Stage } from './stage.ts';

const unit = '36';

async function fitWashers(stage: Stage, fittedMs: number): Promise<void> {
  const { api, crew } = stage;
  const body = {
    part: 'pivot_washer',
    points: ['pivot_washers'],
    fittedAt: instantText(fittedMs),
    fittedBy: crew.nameOf('tech'),
    supplier: 'Ridge Valley Parts',
    lot: 'W-2207',
    warrantyUntilUse: { lift_cycles: 1500 },
  };
  await api.postAssetPartLives(stage.liftId(unit), body, { key: crew.phones.shop });
}

async function tellPlay(stage: Stage): Promise<string> {
  const words = 'It knocks when I set it down, and swings a hand to the left.';
  const body = { symptom: 'play_at_crossbar' as const, loadOnHook: false, words };
  const desk = { key: stage.crew.phones.desk };
  const { symptomId } = await stage.api.postUnitSymptoms(stage.unitId(unit), body, desk);
  await stage.ask(unit);
  return symptomId;
}

/** The trainee works the card; somebody who may vouches and checks, and the lead signs. */
async function workCard(stage: Stage, cardId: string, beganMs: number, takenUpMs: number) {
  const { api, crew } = stage;
  const { cards } = stage.parts;
  const worked = await cards.work(cardId, {
    doer: 'trainee',
    checker: 'checker',
    beganMs,
    tell: (step) => {
      if (step.work === 'measure') return { value: 0.95 };
      if (step.pointKey !== 'tension_bolts' || step.work !== 'fasten') return undefined;
      return { tap: 'taken_up', words: 'Half a turn each; it swings with an even drag.' };
    },
  });
  const takenUp = {
    point: 'tension_bolts',
    part: 'pivot_washer',
    turns: 0.5,
    gapBefore: 0.95,
    gapAfter: 0.35,
    unit: 'mm' as const,
    at: instantText(takenUpMs),
    doneBy: crew.nameOf('trainee'),
  };
  await api.postAssetTakeUps(stage.liftId(unit), takenUp, { key: crew.phones.shop });
  await cards.sign(worked, 'checker');
}

export function crossbarScene(stage: Stage): Act[] {
  const at = (days: number, clock: string) => stage.at(unit, days, clock);
  let symptomId = '';
  let cardId = '';
  return [
    { atMs: at(27, '09:30'), run: () => fitWashers(stage, at(27, '09:00')) },
    {
      atMs: at(12, '16:40'),
      run: async () => {
        symptomId = await tellPlay(stage);
      },
    },
    {
      atMs: at(11, '07:30'),
      run: async () => {
        const lead = { key: stage.crew.phones.lead };
        const unitId = stage.unitId(unit);
        cardId = (await stage.api.postUnitSymptomCard(unitId, symptomId, {}, lead)).cardId ?? '';
      },
    },
    {
      atMs: at(11, '11:00'),
      run: async () => {
        await workCard(stage, cardId, at(11, '07:40'), at(11, '09:00'));
        const words = 'The washers are half worn; the tension bolts were taken up.';
        await stage.mended(unit, { symptomId, cardId, words });
        await stage.ask(unit);
      },
    },
  ];
}
