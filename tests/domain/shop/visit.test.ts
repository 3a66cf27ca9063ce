import { expect, test } from 'vitest';
import { changeVisit, refuseVisit, type VisitPlan } from '../../../src/domain/shop/visit.ts';

const hour = 3_600_000;
const plan = (changes: Partial<VisitPlan> = {}): VisitPlan => ({
  yardId: 'north',
  bay: '2',
  fromMs: 10 * hour,
  toMs: 12 * hour,
  canSpareFromMs: 9 * hour,
  backByMs: 13 * hour,
  agreedBy: 'A. Penn',
  ...changes,
});

test.each<[string, Partial<VisitPlan>, string | null]>([
  ['as agreed', {}, null],
  ['on the very edges', { canSpareFromMs: 10 * hour, backByMs: 12 * hour }, null],
  ['with nothing agreed', { canSpareFromMs: null, backByMs: null }, null],
  ['before it can be spared', { canSpareFromMs: 10 * hour + 1 }, 'before dispatch can spare'],
  ['after it is wanted back', { backByMs: 12 * hour - 1 }, 'after dispatch wants the unit back'],
  ['without length', { toMs: 10 * hour }, 'must come after'],
  ['backwards', { toMs: 9 * hour }, 'must come after'],
  ['before 2000', { fromMs: -1 }, '2000'],
  ['longer than a year', { toMs: 10 * hour + 366 * 24 * hour + 1, backByMs: null }, 'a year'],
  ['a leap year long', { toMs: 10 * hour + 366 * 24 * hour, backByMs: null }, null],
])('a visit %s', (_, changes, refusal) => {
  const said = refuseVisit(plan(changes), 0);
  if (refusal === null) expect(said).toBeNull();
  else expect(said).toContain(refusal);
});

test.each<[string, Parameters<typeof changeVisit>[1], string | null]>([
  ['another bay', { bay: '3' }, 'A. Penn'],
  ['nothing said', {}, 'A. Penn'],
  ['the same times', { fromMs: 10 * hour, toMs: 12 * hour }, 'A. Penn'],
  ['another end', { toMs: 13 * hour }, null],
  ['another beginning', { fromMs: 11 * hour }, null],
  ['another yard', { yardId: 'south' }, null],
  ['wanted back earlier', { backByMs: 12 * hour }, null],
  ['no more said when it can be spared', { canSpareFromMs: null }, null],
  ['another end, agreed', { toMs: 13 * hour, agreedBy: 'B. Ruiz' }, 'B. Ruiz'],
  ['the agreement taken back', { agreedBy: null }, null],
])('agreed by, after a change: %s', (_, edit, agreedBy) => {
  expect(changeVisit(plan(), edit)).toEqual({ ...plan(), ...edit, agreedBy });
});
