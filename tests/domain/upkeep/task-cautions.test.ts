import { expect, test } from 'vitest';
import {
  MAX_TASK_CAUTIONS,
  MORE_CAUTIONS,
  taskCautions,
} from '../../../src/domain/upkeep/task-cautions.ts';

const points = new Map([
  ['pivot', { cautions: ['PTO out.', 'Lift on blocks.'] }],
  ['hose', { cautions: ['Pressure released.', 'PTO out.'] }],
  ['pin', { cautions: ['Not of this task.'] }],
]);

test('a task has its own cautions and those of its points, each once, in order', () => {
  const task = { points: ['pivot', 'hose'], cautions: ['Wheels chocked.', 'Lift on blocks.'] };
  expect(taskCautions(task, points)).toEqual([
    'Wheels chocked.',
    'Lift on blocks.',
    'PTO out.',
    'Pressure released.',
  ]);
  expect(taskCautions({ points: ['pivot'], cautions: [] }, points)).toEqual([
    'PTO out.',
    'Lift on blocks.',
  ]);
});

test('what is too much to show is said, never left out in silence', () => {
  const many = (of: string, n: number) => Array.from({ length: n }, (_, i) => `${of} ${i}`);
  const own = many('own', 20);
  const three = new Map(['a', 'b', 'c'].map((key) => [key, { cautions: many(key, 20) }]));
  const full = taskCautions({ points: ['a', 'b'], cautions: own }, three);
  expect(full).toHaveLength(MAX_TASK_CAUTIONS);
  expect(full).not.toContain(MORE_CAUTIONS);
  const over = taskCautions({ points: ['a', 'b', 'c'], cautions: own }, three);
  expect(over).toHaveLength(MAX_TASK_CAUTIONS);
  expect(over.at(-1)).toBe(MORE_CAUTIONS);
  expect(over.slice(0, -1)).toEqual(full.slice(0, -1));
});
