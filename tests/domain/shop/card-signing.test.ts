import { describe, expect, test } from 'vitest';
import { taskOutcomes, type WorkedCard } from '../../../src/domain/shop/card-outcome.ts';
import {
  isChecked,
  lacking,
  type SignedAct,
  type SignedCommand,
  type SignedStep,
} from '../../../src/domain/shop/card-signing.ts';
import { type MergedStep, mergeSteps, told } from '../../../src/domain/shop/merge-steps.ts';

const command = (clientId: string, more: Partial<SignedCommand> = {}): SignedCommand => ({
  clientId,
  stepId: 's1',
  result: 'done',
  atMs: 0,
  personId: 'ada',
  replaces: [],
  trainee: false,
  ...more,
});
const signed = (act: SignedAct, personId: string, ...covers: string[]): SignedStep => ({
  act,
  stepId: 's1',
  personId,
  covers,
});
const lacks = (
  commands: SignedCommand[],
  signatures: SignedStep[],
  more: { liftCritical?: boolean; restReason?: string | null } = {},
) =>
  lacking({
    steps: [{ stepId: 's1', liftCritical: more.liftCritical ?? true }],
    merged: mergeSteps(told(commands)),
    signed: signatures,
    restReason: more.restReason ?? null,
  }).map(({ code }) => code);

describe('what is lacking before a card is signed off', () => {
  test.each<[string, SignedCommand[], SignedStep[], string[]]>([
    ['nothing was said of a step', [], [], ['no_result']],
    ['work that holds a load, unchecked', [command('a')], [], ['needs_check']],
    ['checked by another', [command('a')], [signed('check', 'ben', 'a')], []],
    ['checked by the doer', [command('a')], [signed('check', 'ada', 'a')], ['needs_check']],
    ['declared by the doer', [command('a')], [signed('self_check', 'ada', 'a')], []],
    [
      'checked by one of two doers',
      [command('a'), command('b', { personId: 'ben' })],
      [signed('check', 'ben', 'a', 'b')],
      ['needs_check'],
    ],
    [
      'done again after the check',
      [command('a'), command('b', { atMs: 1 })],
      [signed('check', 'ben', 'a')],
      ['needs_check'],
    ],
    ['not done: nothing to check', [command('a', { result: 'not_done' })], [], []],
    [
      'done by a trainee, checked but not countersigned',
      [command('a', { trainee: true })],
      [signed('check', 'ben', 'a')],
      ['needs_countersign'],
    ],
    [
      'done by a trainee, who countersigns himself',
      [command('a', { trainee: true })],
      [signed('check', 'ben', 'a'), signed('countersign', 'ada', 'a')],
      ['needs_countersign'],
    ],
    [
      'done by a trainee, countersigned and checked',
      [command('a', { trainee: true })],
      [signed('check', 'ben', 'a'), signed('countersign', 'ben', 'a')],
      [],
    ],
    [
      'a signature on another step',
      [command('a')],
      [{ ...signed('check', 'ben', 'a'), stepId: 's2' }],
      ['needs_check'],
    ],
  ])('%s', (_what, commands, signatures, codes) => {
    expect(lacks(commands, signatures)).toEqual(codes);
  });

  test('what was left with a reason lacks nothing; what holds no load needs no check', () => {
    expect(lacks([], [], { restReason: 'The unit is wanted.' })).toEqual([]);
    expect(lacks([command('a')], [], { liftCritical: false })).toEqual([]);
  });

  test('a second person is shown rather than the declaration', () => {
    const step = mergeSteps(told([command('a')])).get('s1')!;
    const both = [signed('self_check', 'ada', 'a'), signed('check', 'ben', 'a')];
    expect(isChecked(step, both)).toBe('check');
    expect(isChecked(step, both.slice(0, 1))).toBe('self_check');
    expect(isChecked(step, [])).toBeNull();
  });
});

const step = (stepId: string, pointKey: string | null, ...tasks: string[]) => ({
  stepId,
  work: 'grease' as const,
  assetId: 'lift',
  pointKey,
  tasks,
});
type Came = Pick<MergedStep, 'result' | 'doneAtMs'>;
const done = (atMs: number): Came => ({ result: 'done', doneAtMs: atMs });
const left: Came = { result: 'not_done', doneAtMs: null };
const outcome = (...chain: WorkedCard[]) =>
  taskOutcomes(chain).map(({ taskKey, doneAtMs }) => [taskKey, doneAtMs]);

describe('what came of the tasks', () => {
  const steps = [step('1', 'a', 'grease'), step('2', 'b', 'grease', 'yearly'), step('3', null)];

  test('done when all its steps are, at the time of the last one', () => {
    const merged = new Map([
      ['1', done(5)],
      ['2', done(9)],
    ]);
    expect(outcome({ steps, merged })).toEqual([
      ['grease', 9],
      ['yearly', 9],
    ]);
  });

  test('one step left, or never spoken of, leaves the task due', () => {
    const merged = new Map([
      ['1', left],
      ['2', done(9)],
    ]);
    expect(outcome({ steps, merged })).toEqual([
      ['grease', null],
      ['yearly', 9],
    ]);
    expect(outcome({ steps, merged: new Map([['2', done(9)]]) })[0]).toEqual(['grease', null]);
  });

  test('a card that follows does the rest; the time of the first part counts', () => {
    const first = {
      steps,
      merged: new Map([
        ['1', done(5)],
        ['2', left],
      ]),
    };
    const rest = [step('4', 'b', 'grease', 'yearly')];
    expect(outcome(first, { steps: rest, merged: new Map([['4', done(90)]]) })).toEqual([
      ['grease', 5],
      ['yearly', 90],
    ]);
    expect(outcome(first, { steps: rest, merged: new Map([['4', left]]) })).toEqual([
      ['grease', null],
      ['yearly', null],
    ]);
  });

  test('of a chain only the tasks of the last card are told', () => {
    const first = { steps, merged: new Map([['1', left]]) };
    const rest = [step('4', 'a', 'grease')];
    expect(outcome(first, { steps: rest, merged: new Map([['4', done(7)]]) })).toEqual([
      // Its other point was never done.
      ['grease', null],
    ]);
    expect(taskOutcomes([])).toEqual([]);
  });
});
