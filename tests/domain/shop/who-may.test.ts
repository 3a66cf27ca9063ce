import { describe, expect, test } from 'vitest';
import type { Competence } from '../../../src/domain/shop/competence.ts';
import {
  mayCheck,
  mayDoSteps,
  refuseCountersign,
  type Worker,
} from '../../../src/domain/shop/who-may.ts';

const who = (personId: string, trainee: boolean, ...competences: Competence[]): Worker => ({
  personId,
  trainee,
  competences,
});

describe('steps', () => {
  test.each([
    [who('a', false, 'lift_work'), 'yes'],
    [who('a', true, 'lift_work'), 'countersign'],
    [who('a', false), 'no'],
    [who('a', false, 'lift_check', 'lead', 'driving', 'dispatch', 'yearly_inspection'), 'no'],
  ])('%j: %s', (worker, expected) => {
    expect(mayDoSteps(worker)).toBe(expected);
  });
});

describe('a countersign of what d did', () => {
  test.each([
    [who('a', false, 'lift_work'), null],
    [who('a', false, 'lift_check'), null],
    [who('a', false, 'lead'), null],
    [who('a', true, 'lift_work'), 'trainee'],
    [who('a', true, 'lift_work', 'lead'), null],
    [who('a', false, 'driving', 'dispatch'), 'not_competent'],
    [who('d', false, 'lift_work', 'lift_check', 'lead'), 'own_work'],
  ])('%j: %s', (worker, expected) => {
    expect(refuseCountersign(worker, 'd')).toBe(expected);
  });
});

describe('a check of what d and e did', () => {
  const doers = ['d', 'e'];
  test.each<[Worker, boolean, string]>([
    [who('a', false, 'lift_check'), false, 'second_person'],
    [who('a', false, 'lift_check'), true, 'second_person'],
    [who('a', true, 'lift_work', 'lift_check'), false, 'trainee'],
    [who('a', false, 'lift_work', 'lead'), false, 'not_competent'],
    [who('d', false, 'lift_work', 'lift_check', 'lead'), false, 'own_work'],
    [who('e', false, 'lift_work', 'lift_check', 'lead'), false, 'own_work'],
    [who('d', false, 'lift_work'), true, 'declared_self_check'],
    [who('d', true, 'lift_work'), true, 'trainee'],
    [who('d', false, 'lift_check'), true, 'not_competent'],
  ])('%j, alone: %s: %s', (worker, alone, expected) => {
    const may = mayCheck(worker, doers, alone);
    expect('as' in may ? may.as : may.refusal).toBe(expected);
  });

  test('nobody who did any of it is ever a second person', () => {
    for (const alone of [true, false]) {
      for (const doer of doers) {
        const may = mayCheck(who(doer, false, 'lift_work', 'lift_check', 'lead'), doers, alone);
        expect(may).not.toEqual({ as: 'second_person' });
      }
    }
  });
});
