import { expect, test } from 'vitest';
import type { ReadinessOfUnit } from '../../openapi/client.ts';
import { readinessText } from '../../src/demo/month/readiness-text.ts';

type Answer = ReadinessOfUnit['functions'][number];

function unit(number: string, answer: Answer['answer'], ...texts: string[]): ReadinessOfUnit {
  const reasons = texts.map((text) => ({
    what: 'stop' as const,
    id: text,
    kind: 'restriction' as const,
    effect: 'limited' as const,
    text,
    through: null,
    since: null,
    until: null,
    whoCanClear: 'dispatch',
    knownAt: '2026-11-02T08:00:00Z',
    ageOfData: 0,
  }));
  const wheelLift: Answer = {
    function: 'wheel_lift',
    answer,
    limits: {},
    limitsText: '',
    until: null,
    reasons,
    moreReasons: 0,
    notes: [],
    moreNotes: 0,
  };
  const road: Answer = { ...wheelLift, function: 'road', answer: 'yes', reasons: [] };
  const yard = { yardId: null, yardName: null, heardAt: null };
  return { unitId: number, number, ...yard, functions: [road, wheelLift] };
}

test('readiness is told by how many may go, and why each other one may not', () => {
  const text = readinessText([
    unit('11', 'yes'),
    unit('12', 'limited', 'Light cars only.'),
    unit('13', 'no', 'The hose is off.', 'The pump is out.', 'And the lamp.'),
    unit('14', 'unknown', 'Nobody knows.'),
  ]);
  expect(text.split('\n')).toEqual([
    'A wheel-lift call now: 1 may take the call, 1 with limits, 1 not, 1 unknown.',
    '  12    with limits  Light cars only. Clears: dispatch.',
    '  13    not          The hose is off. Clears: dispatch. And 2 more.',
    '  14    unknown      Nobody knows. Clears: dispatch.',
  ]);
});

test('long reasons stay on the terminal', () => {
  const text = readinessText([unit('12', 'no', 'long '.repeat(200).trim())]);
  for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
});
