import { describe, expect, test } from 'vitest';
import { earlierDay, servedFunctions } from '../../../src/domain/shop/finding.ts';
import { joinLimits, limitsText } from '../../../src/domain/shop/limit.ts';
import {
  firstStopState,
  hasRunOut,
  mayActOnStop,
  nextStopState,
  STOP_ACTS,
  STOP_KINDS,
  STOP_STATES,
  type StopAct,
  type StopKind,
} from '../../../src/domain/shop/stop.ts';

const states = `
  | state          | dropped  | hasten   | extend | clear   | clear_by_procedure | clear_by_repair |
  | waits_for_drop | standing | standing | same   | cleared | cleared            | cleared         |
  | standing       | .        | .        | same   | cleared | cleared            | cleared         |
  | cleared        | .        | .        | .      | .       | .                  | .               |
`;

const whoMay = `
  | kind        | dropped | hasten | extend   | clear    | clear_by_procedure | clear_by_repair |
  | work_lock   | .       | .      | placer   | placer   | lead               | .               |
  | defect      | all     | all    | lead     | lead     | .                  | lead            |
  | officer     | all     | all    | lead     | .        | .                  | lead            |
  | restriction | all     | all    | dispatch | dispatch | .                  | .               |
`;

/** Rows of a table in words: by row and column. */
function readTable(text: string): [row: string, column: string, cell: string][] {
  const [head, ...rows] = text
    .trim()
    .split('\n')
    .map((line) =>
      line
        .split('|')
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
  return rows.flatMap(([name, ...cells]) =>
    cells.map((cell, i): [string, string, string] => [name!, head![i + 1]!, cell]),
  );
}

describe('a stop', () => {
  test.each(readTable(states))('%s, %s: %s', (state, act, to) => {
    const next = nextStopState(state as (typeof STOP_STATES)[number], act as StopAct);
    expect(next ?? '.').toBe(to === 'same' ? state : to);
  });

  test('the tables have every state, kind and act', () => {
    expect(readTable(states).map(([state, act]) => `${state} ${act}`)).toEqual(
      STOP_STATES.flatMap((state) => STOP_ACTS.map((act) => `${state} ${act}`)),
    );
    expect(readTable(whoMay).map(([kind, act]) => `${kind} ${act}`)).toEqual(
      STOP_KINDS.flatMap((kind) => STOP_ACTS.map((act) => `${kind} ${act}`)),
    );
  });

  test('begins as it takes effect', () => {
    expect(firstStopState('at_once')).toBe('standing');
    expect(firstStopState('after_drop')).toBe('waits_for_drop');
  });
});

describe('who may', () => {
  const placer = { personId: 'p', competences: [] };
  const placingLead = { personId: 'p', competences: ['lead'] };
  const lead = { personId: 'l', competences: ['lead', 'lift_work'] };
  const dispatch = { personId: 'd', competences: ['dispatch'] };
  const other = { personId: 'o', competences: ['lift_work', 'lift_check', 'driving'] };
  const people = { nobody: null, placer, placingLead, lead, dispatch, other };
  const allowed: Record<string, (keyof typeof people)[]> = {
    '.': [],
    all: ['nobody', 'placer', 'placingLead', 'lead', 'dispatch', 'other'],
    placer: ['placer', 'placingLead'],
    lead: ['placingLead', 'lead'],
    dispatch: ['dispatch'],
  };

  test.each(readTable(whoMay))('%s, %s: %s', (kind, act, who) => {
    const stop = { kind: kind as StopKind, placedByPerson: 'p' };
    const may = Object.entries(people)
      .filter(([, person]) => mayActOnStop(stop, act as StopAct, person))
      .map(([name]) => name);
    // the written procedure is for a person who has gone, never for one who lifts it with the PIN
    const procedure = act === 'clear_by_procedure';
    expect(may).toEqual(allowed[who]!.filter((name) => !(procedure && name === 'placingLead')));
  });
});

test('only a restriction ends by itself, at the moment that it names', () => {
  const ends = STOP_KINDS.filter((kind) => hasRunOut({ kind, untilAtMs: 1_000 }, 1_000));
  expect(ends).toEqual(['restriction']);
  expect(hasRunOut({ kind: 'restriction', untilAtMs: 1_000 }, 999)).toBe(false);
  expect(hasRunOut({ kind: 'restriction', untilAtMs: null }, 999)).toBe(false);
});

describe('limits', () => {
  const a = { loadKg: 1_200, secondPerson: true, words: ['no ditch work'] } as const;
  const b = { loadKg: 900, speedKmh: 60, words: ['flat ground', 'no ditch work'] } as const;

  test('hold together, the strictest number first said or last', () => {
    const both = joinLimits([
      { ...a, words: [...a.words] },
      { ...b, words: [...b.words] },
    ]);
    expect(both).toEqual({
      loadKg: 900,
      speedKmh: 60,
      secondPerson: true,
      words: ['flat ground', 'no ditch work'],
    });
    expect(
      joinLimits([
        { ...b, words: [...b.words] },
        { ...a, words: [...a.words] },
      ]),
    ).toEqual(both);
    expect(joinLimits([])).toEqual({});
  });

  test('are said so that a dispatcher can pass them on', () => {
    expect(limitsText({ presentLoadOnly: true })).toBe('finish the drop, take no new call');
    expect(limitsText({ loadKg: 900, daylightOnly: true, words: ['flat ground'] })).toBe(
      'at most 900 kg on the lift; only in daylight; flat ground',
    );
    expect(limitsText({})).toBe('');
  });
});

describe('a finding', () => {
  test('serves what its place serves, else what the asset is for, never nothing', () => {
    expect(servedFunctions({ kind: 'lift', serves: ['road', 'winch'] })).toEqual(['road', 'winch']);
    expect(servedFunctions({ kind: 'lift', serves: [] })).toEqual(['wheel_lift']);
    expect(servedFunctions({ kind: 'dolly_set', serves: [] })).toEqual(['dollies']);
    expect(servedFunctions(null)).toEqual(['road']);
  });

  test('told twice is to be mended by the earlier day', () => {
    const days = ['2026-03-09', '2026-03-05', null];
    for (const a of days) {
      for (const b of days) {
        const known = [a, b].filter((day) => day !== null).sort();
        expect(earlierDay(a, b)).toBe(known[0] ?? null);
      }
    }
  });
});
