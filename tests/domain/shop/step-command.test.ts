import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { commandText, readStepCommand } from '../../../src/domain/shop/step-command.ts';

const ids = ['01900000-0000-7000-8000-000000000001', '01900000-0000-7000-8000-000000000002'];
const command = {
  clientId: ids[0],
  stepId: ids[1],
  result: 'not_right',
  tap: 'cracked',
  words: 'At the root.',
  find: { grade: 'mend_by', point: 'pin', mendByDay: '2026-11-02' },
  measurement: { part: 'pad', value: 8.25, unit: 'mm', wiped: true, temperatureC: -3.5 },
  at: '2026-11-01T08:00:00-05:00',
  atControls: ids[0],
  replaces: [ids[1], ids[0], ids[1]],
};

const read = (value: unknown) => {
  const found = readStepCommand(value);
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  return found.said;
};

describe('a command is read', () => {
  test('with everything in it', () => {
    expect(read(command)).toEqual({
      clientId: ids[0],
      stepId: ids[1],
      result: 'not_right',
      tap: 'cracked',
      reason: null,
      words: 'At the root.',
      find: { grade: 'mend_by', pointKey: 'pin', mendByDay: '2026-11-02' },
      measurement: {
        ...{ part: 'pad', thousandths: 8250, unit: 'mm', gauge: null, tool: null, wiped: true },
        temperatureTenthsC: -35,
      },
      atMs: Date.UTC(2026, 10, 1, 13),
      atControls: ids[0],
      replaces: [ids[0], ids[1]],
    });
  });

  test('what is null is as if it were not there, and letters of ids may be large', () => {
    const bare = { clientId: 'ABCDEF00-0000-7000-8000-000000000001', stepId: ids[1] };
    const said = { ...bare, result: 'done', at: command.at };
    const nulls = { tap: null, reason: null, words: null, find: null, measurement: null };
    expect(read({ ...said, ...nulls, atControls: null })).toEqual(read(said));
    expect(read(said).clientId).toBe(bare.clientId.toLowerCase());
  });

  test('whatever comes, it is read or told where it is wrong, and never thrown', () => {
    fc.assert(
      fc.property(fc.anything(), fc.constantFrom(...Object.keys(command)), (value, key) => {
        for (const each of [value, { ...command, [key]: value }]) {
          const found = readStepCommand(each);
          if (!found.ok) expect(found.problems.length).toBeGreaterThan(0);
        }
      }),
    );
  });
});

describe('what a command says', () => {
  const textOf = (value: object, person = 'ada') => commandText(read(value), person);

  test('does not depend on the order of its keys, nor on how a time is written', () => {
    const turned = Object.fromEntries(Object.entries(command).reverse());
    expect(textOf(turned)).toBe(textOf(command));
    expect(textOf({ ...command, at: '2026-11-01T13:00:00Z' })).toBe(textOf(command));
    expect(textOf({ ...command, clientId: ids[1] })).toBe(textOf(command));
  });

  test.each([
    ['result', { result: 'done' }],
    ['step', { stepId: ids[0] }],
    ['tap', { tap: 'bent' }],
    ['reason', { reason: 'no_time' }],
    ['words', { words: 'Elsewhere.' }],
    ['find', { find: { grade: 'unfit' } }],
    ['measurement', { measurement: { gauge: 'go' } }],
    ['time', { at: '2026-11-01T13:00:01Z' }],
    ['controls', { atControls: ids[1] }],
    ['replaces', { replaces: [] }],
  ])('another %s is another word', (_what, more) => {
    expect(textOf({ ...command, ...more })).not.toBe(textOf(command));
  });

  test('and so is the same from another person', () => {
    expect(textOf(command, 'ben')).not.toBe(textOf(command, 'ada'));
  });
});
