import type { PointKind, ServicePoint } from '../upkeep/service-point.ts';
import { MAX_TASK_CAUTIONS, MORE_CAUTIONS } from '../upkeep/task-cautions.ts';
import type { AssetKind } from '../usage/meter.ts';
import type { StepWork } from './step-work.ts';

/** Common practice, no source: the pattern's own words and the maker's manual come before it. */
const titles: Record<StepWork, string> = {
  first_look: 'Look everything over first',
  look: 'Look',
  clean: 'Clean',
  look_again: 'Look again where it is clean now',
  measure: 'Measure',
  mend: 'Mend',
  replace: 'Replace',
  fasten: 'Check the fastening',
  fill: 'Check the level, fill',
  grease: 'Grease',
  test: 'Try',
  function_test: 'Run every function once, empty',
  look_last: 'Look',
  wipe_and_look: 'Wipe off and look once more',
  move: 'Move the lift',
};

export function titleOf(work: StepWork, of: string): string {
  return `${titles[work]}: ${of}`;
}

const how: Partial<Record<StepWork, readonly string[]>> = {
  first_look: [
    'Before anything is cleaned or moved: is any piece bent, cracked or missing?',
    'A piece that makes it unfit ends this card; the unit is stopped.',
  ],
  look: ['Is it bent, cracked, worn through, loose or missing?'],
  clean: [
    'Clean fittings, heads and recesses that will be worked on; dirt goes in with the grease.',
  ],
  look_again: ['Cracks show in clean metal and at the edge of paint.'],
  measure: ['Wipe the place and the gauge; write down what you read, not what it should be.'],
  grease: [
    'Wipe the fitting. Grease, swing the joint through, and grease again until it shows.',
    'A fitting that takes none is not done: say so.',
  ],
  fill: ['Read the level with the cylinders in; fill through a clean funnel.'],
  function_test: [
    'Fold, lift and extend through the whole stroke and back; run the winch out and in.',
    'Listen and watch for chatter, skips, drift and anything off square.',
  ],
  look_last: ['Along the whole length and at both ends: chafed, swollen, cracked, wet?'],
  wipe_and_look: ['Wipe off what oozed out. Tools counted, nothing left lying in the lift?'],
  move: [
    'The person at the controls sees everybody and says so before anything moves.',
    'No card and no phone says that it is safe to move.',
  ],
};

const threadLocked: readonly string[] = [
  'Held by thread-locker: look at its mark, leave the wrench. An unbroken mark is done.',
  'Mark moved: out, clean, fresh compound, torque in stages, and no load until it has cured.',
];

function howToFasten(point: ServicePoint | null): string[] {
  const { fastener, torque } = point ?? {};
  const said: string[] = [];
  if (fastener?.cleanRecess) said.push('Clean the recesses before a key goes in.');
  if (fastener?.order === 'crosswise') said.push('Tighten crosswise, in stages.');
  if (fastener?.order === 'along') said.push('Tighten one after the other along the row.');
  if (fastener?.threadLocker !== undefined || torque?.thread === 'thread_locker') {
    said.push(...threadLocked);
  }
  return said;
}

/** How the work is done, in short sentences. */
export function howOf(work: StepWork, point: ServicePoint | null): string[] {
  return work === 'fasten' ? howToFasten(point) : [...(how[work] ?? [])];
}

const always = "The equipment maker's manual, local codes and qualified practice come first.";
const hands = 'PTO out and wheels chocked before hands go in.';
const blocks = 'A raised load or lift rests on blocks, never on oil.';
const pressure = 'Release the pressure first. Never feel for a leak with a hand.';
const eyes = 'Wear eye protection.';
const drum = 'Never wear gloves near a turning drum.';
const moving = 'Everybody clear, nobody between or under, no hand in it while it moves.';
const oily: readonly PointKind[] = ['hose', 'cylinder', 'valve', 'fluid', 'filter'];
const eyeWork: readonly StepWork[] = ['clean', 'grease', 'fasten', 'mend', 'replace', 'fill'];

/** What is done, and whether the lift moves in it. */
interface CautionedStep {
  work: StepWork;
  controls: boolean;
}

/** What every such step must be told, whatever the pattern says. */
function generalCautions(
  { work, controls }: CautionedStep,
  assetKind: AssetKind,
  points: readonly ServicePoint[],
): string[] {
  const said = [always];
  if (controls) said.push(moving);
  else if (assetKind !== 'dolly_set') said.push(hands);
  if (assetKind === 'lift' || points.some((point) => point.liftPosition.blocked)) said.push(blocks);
  const isOily = points.some((point) => oily.includes(point.kind));
  if (isOily) said.push(pressure);
  if (isOily || eyeWork.includes(work)) said.push(eyes);
  if (assetKind === 'winch' || points.some((point) => point.kind === 'rope')) said.push(drum);
  return said;
}

/** The cautions of a step: what always holds, then the task's, then its points', each once. */
export function stepCautions(
  step: CautionedStep,
  assetKind: AssetKind,
  points: readonly ServicePoint[],
  ofTasks: readonly string[],
): string[] {
  const said = new Set(generalCautions(step, assetKind, points));
  for (const sentence of ofTasks) said.add(sentence);
  for (const point of points) for (const sentence of point.cautions) said.add(sentence);
  if (said.size <= MAX_TASK_CAUTIONS) return [...said];
  return [...[...said].slice(0, MAX_TASK_CAUTIONS - 1), MORE_CAUTIONS];
}
