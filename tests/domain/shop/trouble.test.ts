import { describe, expect, test } from 'vitest';
import { adviseAfterIncident, adviseDriver } from '../../../src/domain/shop/driver-advice.ts';
import { inspectedKinds, inspectionTasks } from '../../../src/domain/shop/incident.ts';
import { SYMPTOMS, usualSymptoms } from '../../../src/domain/shop/symptom.ts';
import {
  CAME_BACK_DAYS,
  cameBack,
  nextTroubleState,
  saidText,
  TROUBLE_EVENTS,
  TROUBLE_STATES,
} from '../../../src/domain/shop/trouble.ts';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';

describe('what becomes of what was told', () => {
  const table: Record<string, string[]> = {
    //         tell_again write_up withdrawn left    signed_off mend     unnecessary
    told: ['told', 'on_card', '-', '-', '-', 'mended', 'unnecessary'],
    on_card: ['on_card', '-', 'told', 'told', 'mended', 'mended', 'unnecessary'],
    mended: ['-', '-', '-', '-', '-', '-', '-'],
    unnecessary: ['-', '-', '-', '-', '-', '-', '-'],
  };
  test.each([...TROUBLE_STATES])('%s, every event', (state) => {
    const moves = TROUBLE_EVENTS.map((event) => nextTroubleState(state, event) ?? '-');
    expect(moves).toEqual(table[state]);
  });

  test('it came back within a set time, the last moment inside', () => {
    const day = 86_400_000;
    expect(cameBack(0, CAME_BACK_DAYS * day)).toBe(true);
    expect(cameBack(0, CAME_BACK_DAYS * day + 1)).toBe(false);
  });

  test('is said in words', () => {
    expect(saidText(1, false)).toBe('The shop was told.');
    expect(saidText(1, true)).toContain('came back');
    expect(saidText(5, true)).toContain('reported ×5');
  });
});

describe('what the driver does now', () => {
  const lift = ['wheel_lift'] as const;
  test.each([
    [null, [], true, 'go_on'],
    [null, [], false, 'go_on'],
    ['after_drop', lift, true, 'finish_the_drop'],
    ['after_drop', lift, false, 'no_new_call'],
    ['at_once', lift, true, 'stop_at_once'],
    ['at_once', lift, false, 'stop_at_once'],
  ] as const)('stop %s of %s, a load on: %s', (stop, functions, loadOnHook, act) => {
    const advice = adviseDriver('creeps_down_loaded', { stop, functions, loadOnHook });
    expect(advice.act).toBe(act);
  });

  test.each([...SYMPTOMS])('%s: short, with cautions, the maker last', (symptom) => {
    for (const loadOnHook of [true, false]) {
      const { words, cautions, act } = adviseDriver(symptom, {
        ...usualSymptoms[symptom],
        loadOnHook,
      });
      expect(words.length).toBeLessThan(220);
      expect(cautions[0]).toContain('Nobody goes under the lift');
      expect(cautions.at(-1)).toContain("maker's manual, local codes and qualified practice");
      if (loadOnHook) expect(words).not.toContain('drive the unit home');
      if (act === 'stop_at_once') expect(words).toMatch(/^Stop/);
    }
  });

  test('who may not use the road is not sent home on it', () => {
    const fold = adviseDriver('will_not_hold_fold', {
      ...usualSymptoms.will_not_hold_fold,
      loadOnHook: false,
    });
    expect(fold.words).toContain('Do not drive the unit');
    const play = adviseDriver('play_at_crossbar', {
      ...usualSymptoms.play_at_crossbar,
      loadOnHook: false,
    });
    expect(play.words).toContain('drive the unit home empty');
    expect(play.words).toContain('wheel lift');
  });

  test('where oil gets out nobody is to feel for it, and a rope is kept clear of', () => {
    const cautions = (symptom: 'leak' | 'winch_creeps' | 'slow') =>
      adviseDriver(symptom, { stop: null, functions: [], loadOnHook: false }).cautions.join(' ');
    expect(cautions('leak')).toContain('Never feel for a leak');
    expect(cautions('winch_creeps')).toContain('no gloves near a turning drum');
    expect(cautions('slow')).not.toContain('Never feel');
  });

  test('after an incident all stops, load or not', () => {
    for (const load of [true, false]) {
      expect(adviseAfterIncident(load)).toMatchObject({ act: 'stop_at_once' });
      expect(adviseAfterIncident(load).words.includes('Leave the load')).toBe(load);
    }
  });
});

describe('a full inspection', () => {
  const point = (key: string, kind: string, more: object = {}) => ({
    ...{ key, kind, name: key, side: 'left', place: 'here' },
    ...more,
  });
  const task = (key: string, points: string[], more: object = {}) => ({
    ...{ key, name: key, points, every: { days: 30 } },
    ...more,
  });
  const parsed = parseLiftPattern(
    {
      name: 'A lift',
      assetKind: 'lift',
      servicePoints: [
        point('zerk', 'grease_fitting'),
        point('frame', 'structure'),
        point('bolt', 'fastener'),
        point('pad', 'wear_surface'),
        point('lever', 'control'),
        point('filter', 'filter'),
      ],
      tasks: [
        task('grease', ['zerk']),
        task('look', ['frame']),
        task('tighten', ['bolt']),
        task('measure', ['pad']),
        task('try', ['lever']),
        task('change', ['filter']),
        task('grease_and_look', ['zerk', 'frame']),
        task('grease_the_frame', ['frame'], { work: 'grease' }),
        task('try_all', [], { work: 'test' }),
      ],
      wearParts: [],
    },
    builtInMeters,
  );

  test('is every task that looks, measures, tightens or tries anything', () => {
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
    expect(inspectionTasks(parsed.pattern)).toEqual([
      'look',
      'tighten',
      'measure',
      'try',
      'grease_and_look',
      'try_all',
    ]);
  });

  test('is of what bore the load, and after a collision of the chassis too', () => {
    expect(inspectedKinds('drop')).not.toContain('chassis');
    expect(inspectedKinds('collision')).toContain('chassis');
    expect(inspectedKinds('overload')).toContain('lift');
  });
});
