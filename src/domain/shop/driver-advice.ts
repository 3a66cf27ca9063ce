import type { UnitFunction } from '../upkeep/service-point.ts';
import { nameOf } from '../upkeep/upkeep-reason.ts';
import type { StopTime, Symptom } from './symptom.ts';

/** What the driver does now. */
export const DRIVER_ACTS = ['stop_at_once', 'finish_the_drop', 'no_new_call', 'go_on'] as const;
export type DriverAct = (typeof DRIVER_ACTS)[number];

export interface DriverAdvice {
  act: DriverAct;
  /** One or two short sentences, for a phone at night. */
  words: string;
  /** Always shown with them. */
  cautions: string[];
}

/** What a symptom, by its rule, takes away and when; `stop` null: nothing. */
export interface ToldTrouble {
  stop: StopTime | null;
  functions: readonly UnitFunction[];
  loadOnHook: boolean;
}

const underLoad =
  'Nobody goes under the lift, or between it and a car: oil alone holds nothing up for sure.';
const atRest = 'Before hands go near: PTO out, levers in the middle, wheels chocked.';
const neverFeel =
  'Never feel for a leak. Oil under pressure goes through skin: a puncture is for the emergency ' +
  'room at once, however small it looks.';
const clearOfRope = 'Nobody stands in line with a loaded rope; no gloves near a turning drum.';
const makersFirst =
  "The equipment maker's manual, local codes and qualified practice come before this.";

const oily: readonly Symptom[] = ['leak', 'oil_on_rod', 'creeps_down_loaded', 'oil_hot'];
const ropes: readonly Symptom[] = ['rope_birdnests', 'winch_creeps'];

/** What comes with any answer about this symptom. Common practice, no source. */
export function symptomCautions(symptom: Symptom): string[] {
  const own = [
    ...(oily.includes(symptom) ? [neverFeel] : []),
    ...(ropes.includes(symptom) ? [clearOfRope] : []),
  ];
  return [underLoad, ...own, atRest, makersFirst];
}

/** What comes with any answer about an incident. Common practice, no source. */
export const incidentCautions: readonly string[] = [
  'People first: get clear of traffic and of the load, and call for help if anybody is hurt.',
  underLoad,
  neverFeel,
  atRest,
  makersFirst,
];

function listed(functions: readonly UnitFunction[]): string {
  const names = functions.map((each) => (each === 'dollies' ? 'dollies' : nameOf(each)));
  const last = names.at(-1) ?? '';
  return names.length > 1 ? `${names.slice(0, -1).join(', ')} and ${last}` : last;
}

/** Whether the unit may still be driven when those functions are gone. */
const mayDrive = (functions: readonly UnitFunction[]) => !functions.includes('road');

function words(act: DriverAct, { functions, loadOnHook }: ToldTrouble): string {
  const used = functions.filter((each) => each !== 'road');
  const what = used.length > 0 ? listed(used) : 'unit';
  const drive = mayDrive(functions)
    ? 'You may drive the unit home empty.'
    : 'Do not drive the unit until the shop has answered.';
  switch (act) {
    case 'stop_at_once':
      return loadOnHook
        ? 'Stop as soon as it is safe. Do not lift, lower or drive on with the load; secure it, ' +
            'keep everybody clear and call the shop.'
        : `Stop. Do not use the ${what}. ${drive}`;
    case 'finish_the_drop':
      return (
        'Finish this drop, slowly, with the safety chains or straps on; if it gets worse, stop. ' +
        `Then take no call with the ${what} until the shop has cleared it.`
      );
    case 'no_new_call':
      return `Take no call with the ${what} until the shop has cleared it. ${drive}`;
    case 'go_on':
      return 'You may go on with care. Tell it again if it comes back or gets worse.';
  }
}

/**
 * What to tell the driver. A stop that waits for the drop waits only while there is a load on: with
 * none it holds at once.
 */
export function adviseDriver(symptom: Symptom, told: ToldTrouble): DriverAdvice {
  const act = actOf(told);
  return { act, words: words(act, told), cautions: symptomCautions(symptom) };
}

function actOf({ stop, loadOnHook }: ToldTrouble): DriverAct {
  if (stop === null) return 'go_on';
  if (stop === 'at_once') return 'stop_at_once';
  return loadOnHook ? 'finish_the_drop' : 'no_new_call';
}

/** After an incident nothing of the unit is used until it was inspected in full. */
export function adviseAfterIncident(loadOnHook: boolean): DriverAdvice {
  const load = loadOnHook
    ? ' Leave the load where it is, secure it, and have another unit take it.'
    : '';
  return {
    act: 'stop_at_once',
    words: `Stop. Nothing of this unit is used until the shop has inspected it in full.${load}`,
    cautions: [...incidentCautions],
  };
}
