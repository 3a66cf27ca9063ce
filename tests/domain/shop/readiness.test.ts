import { describe, expect, test } from 'vitest';
import {
  fittedFunctions,
  type ReadinessInput,
  readinessOf,
} from '../../../src/domain/shop/readiness.ts';
import type { UnitFunction } from '../../../src/domain/upkeep/service-point.ts';
import { deferral, finding, hourMs, input, nowMs, stop, task } from './readiness-input.ts';

const of = (function_: UnitFunction, more: Partial<ReadinessInput>) =>
  readinessOf(input(more)).find((each) => each.function === function_)!;
/** 'wheel_lift no, winch yes, …' of what is fitted. */
const answers = (more: Partial<ReadinessInput>) =>
  readinessOf(input(more))
    .filter((each) => each.answer !== 'not_fitted')
    .map((each) => `${each.function} ${each.answer}`)
    .join(', ');
const said = (more: Partial<ReadinessInput>, function_: UnitFunction = 'wheel_lift') => {
  const { reasons, notes } = of(function_, more);
  return [...reasons, ...notes].map((each) => each.text);
};

describe('what a unit is fitted for', () => {
  test.each([
    [[], ['road']],
    [[{ kind: 'lift', serves: [] }], ['wheel_lift', 'road']],
    [[{ kind: 'chassis', serves: ['wheel_lift', 'boom'] }], ['road']],
    [
      [
        { kind: 'winch', serves: ['boom', 'winch'] },
        { kind: 'dolly_set', serves: [] },
      ],
      ['winch', 'boom', 'dollies', 'road'],
    ],
  ] as const)('%j: %j', (assets, fitted) => {
    expect(fittedFunctions(assets as never)).toEqual(fitted);
  });

  test('what it does not have is not fitted, whatever stands against it', () => {
    const found = of('dollies', { stops: [stop({ functions: ['dollies'] })] });
    expect(found).toEqual({
      function: 'dollies',
      answer: 'not_fitted',
      limits: {},
      untilMs: null,
      reasons: [],
      notes: [],
    });
  });
});

describe('stops', () => {
  test('nothing wrong is yes', () => {
    expect(answers({})).toBe('wheel_lift yes, winch yes, road yes');
  });

  test('a defect takes what it names, and says why, since when and who clears it', () => {
    expect(answers({ stops: [stop()] })).toBe('wheel_lift no, winch yes, road yes');
    expect(of('wheel_lift', { stops: [stop({ untilAtMs: nowMs + hourMs })] })).toMatchObject({
      untilMs: nowMs + hourMs,
      reasons: [
        {
          what: 'stop',
          id: 's1',
          kind: 'defect',
          text: 'The shop stopped it: the crossbar is bent.',
          sinceMs: nowMs - hourMs,
          untilMs: nowMs + hourMs,
          whoCanClear: 'a lead, when it is mended and checked',
          dataAtMs: nowMs,
          through: null,
        },
      ],
    });
  });

  test.each([
    [stop({ kind: 'officer' }), 'An inspector ordered it out of service: the crossbar is bent.'],
    [stop({ kind: 'restriction' }), 'Dispatch holds it back: the crossbar is bent.'],
    [stop({ kind: 'work_lock' }), 'A. Penn is working in it: the crossbar is bent.'],
    [
      stop({ effect: 'limited', limits: { loadKg: 900, secondPerson: true } }),
      'The shop stopped it: the crossbar is bent. ' +
        'Allowed: at most 900 kg on the lift; only with a second person.',
    ],
    [
      stop({ state: 'waits_for_drop' }),
      'Finish the drop, take no new call. The shop stopped it: the crossbar is bent.',
    ],
    [
      stop({ untilAtMs: nowMs }),
      'The shop stopped it: the crossbar is bent. ' +
        'It was to be over by now; nobody has cleared it.',
    ],
  ])('says so in plain words: %#', (one, text) => {
    expect(said({ stops: [one] })).toEqual([text]);
  });

  test('that wait for the drop leave the present load only', () => {
    const found = of('wheel_lift', { stops: [stop({ state: 'waits_for_drop' })] });
    expect([found.answer, found.limits]).toEqual(['limited', { presentLoadOnly: true }]);
  });

  test('that wait for the drop are told before what nobody knows, after what says no', () => {
    const found = of('wheel_lift', {
      stops: [stop({ state: 'waits_for_drop' }), stop({ stopId: 's2', kind: 'officer' })],
      tasks: [task({ status: 'unknown', sinceMs: nowMs - 900 * hourMs })],
    });
    expect(found.reasons.map(({ what, id }) => (what === 'stop' ? id : what))).toEqual([
      's2',
      's1',
      'task',
    ]);
  });

  test('a restriction ends with its time; what the shop set waits for a person', () => {
    const over = { untilAtMs: nowMs };
    expect(answers({ stops: [stop({ kind: 'restriction', ...over })] })).toContain('lift yes');
    for (const kind of ['defect', 'officer', 'work_lock'] as const) {
      const found = of('wheel_lift', { stops: [stop({ kind, ...over })] });
      expect([found.answer, found.untilMs]).toEqual(['no', null]);
    }
  });

  test('several limits hold together', () => {
    const found = of('wheel_lift', {
      stops: [
        stop({ effect: 'limited', limits: { loadKg: 1_200 } }),
        stop({ stopId: 's2', effect: 'limited', limits: { loadKg: 900, daylightOnly: true } }),
      ],
    });
    expect([found.answer, found.limits]).toEqual(['limited', { loadKg: 900, daylightOnly: true }]);
  });

  test('until is the last of what decides, and nobody knows when one of them does not', () => {
    const two = (a: number | null, b: number | null) =>
      of('wheel_lift', {
        stops: [stop({ untilAtMs: a }), stop({ stopId: 's2', untilAtMs: b })],
      }).untilMs;
    expect(two(nowMs + 1, nowMs + 2)).toBe(nowMs + 2);
    expect(two(nowMs + 1, null)).toBeNull();
    const limited = stop({ stopId: 's2', effect: 'limited', limits: { loadKg: 1 } });
    expect(of('wheel_lift', { stops: [stop({ untilAtMs: nowMs + 1 }), limited] }).untilMs).toBe(
      nowMs + 1,
    );
  });
});

describe('findings', () => {
  test.each([
    ['sound', {}, 'yes', []],
    ['keep_watch', {}, 'yes', ['To be watched: cracked pin.']],
    ['unfit', {}, 'no', ['Found unfit: cracked pin.']],
    ['unfit', { reports: 5, words: '' }, 'no', ['Found unfit (reported 5 times).']],
    ['mend_by', { mendByDay: '2026-03-02' }, 'yes', ['To be mended by 2026-03-02: cracked pin.']],
    ['mend_by', { mendByDay: '2026-03-01' }, 'no', ['Was to be mended by now: cracked pin.']],
    [
      'mend_by',
      { mendByUse: { pto_hours: 3_600 }, usedSince: { pto_hours: 3_600 } },
      'yes',
      ['To be mended after some more use: cracked pin.'],
    ],
    [
      'mend_by',
      { mendByUse: { pto_hours: 3_600 }, usedSince: { pto_hours: 3_601 } },
      'no',
      ['Was to be mended by now: cracked pin.'],
    ],
    [
      'mend_by',
      { mendByUse: { pto_hours: 3_600 }, silentMeters: ['pto_hours'] },
      'unknown',
      ['To be mended after so much use, and nobody counts it now: cracked pin.'],
    ],
  ] as const)('%s %j: %s', (grade, more, answer, texts) => {
    const findings = [finding({ grade, ...more } as never)];
    expect(of('wheel_lift', { findings }).answer).toBe(answer);
    expect(said({ findings })).toEqual(texts);
  });

  test('what its own stop says is not said twice', () => {
    const own = stop({ findingId: 'f1', pointKey: 'fold_pin' });
    expect(said({ findings: [finding()], stops: [own] })).toEqual([
      'The shop stopped it: the crossbar is bent.',
    ]);
    const less = [
      stop({ ...own, effect: 'limited', limits: { loadKg: 1 } }),
      stop({ ...own, state: 'waits_for_drop' }),
      stop({ ...own, kind: 'restriction', untilAtMs: nowMs }),
      stop({ ...own, pointKey: null }),
    ];
    for (const one of less) {
      expect(of('wheel_lift', { findings: [finding()], stops: [one] }).answer).toBe('no');
      expect(said({ findings: [finding()], stops: [one] })).toContain('Found unfit: cracked pin.');
    }
  });
});

describe('upkeep', () => {
  test.each([
    ['overrun', 'no', 'no'],
    ['overrun', 'limited', 'limited'],
    ['overrun', 'warn', 'yes'],
    ['overrun', 'none', 'yes'],
    ['unknown', 'no', 'unknown'],
    ['unknown', 'limited', 'unknown'],
    ['unknown', 'warn', 'yes'],
    ['unknown', 'none', 'yes'],
  ] as const)('%s, effect %s: %s', (status, effect, answer) => {
    const found = of('wheel_lift', { tasks: [task({ status, effect })] });
    expect(found.answer).toBe(answer);
    expect(found.notes).toHaveLength(effect === 'warn' ? 1 : 0);
    expect(found.reasons).toHaveLength(answer === 'yes' ? 0 : 1);
  });

  test('says what is overdue, who can end it, and how old that knowledge is', () => {
    const [reason] = of('wheel_lift', { tasks: [task()] }).reasons;
    expect(reason).toMatchObject({
      id: 'lift grease',
      text: 'Grease all fittings: Past its limit since 2026-02-20: 40 of 30 days.',
      whoCanClear: 'the shop, by doing it; a lead may put it off',
      dataAtMs: nowMs - hourMs,
    });
    const silent = task({ status: 'unknown', silentSinceMs: nowMs - 200 * hourMs });
    expect(of('wheel_lift', { tasks: [silent] }).reasons[0]).toMatchObject({
      whoCanClear: 'whoever gets the meter to report, or reads its dial',
      dataAtMs: nowMs - 200 * hourMs,
    });
    const never = task({ status: 'unknown', neverDone: true, words: 'Nothing says when.' });
    expect(of('wheel_lift', { tasks: [never] }).reasons[0]).toMatchObject({
      whoCanClear: 'the shop, by saying when it was last done, or by doing it',
    });
  });

  test('a limit says whom to ask', () => {
    expect(of('wheel_lift', { tasks: [task({ effect: 'limited' })] }).limits).toEqual({
      words: ['ask a lead first: Grease all fittings is overdue'],
    });
  });

  test('a deferral limits while it runs, and says until when and by whose leave', () => {
    const found = of('wheel_lift', { deferrals: [deferral({ restriction: 'flat ground' })] });
    expect(found).toMatchObject({
      answer: 'limited',
      limits: { loadKg: 1_000 },
      untilMs: nowMs + 84 * hourMs,
    });
    expect(found.reasons[0]?.text).toBe(
      'Grease all fittings is put off until 2026-03-05 by L. Moss: ' +
        'flat ground; at most 1000 kg on the lift.',
    );
    const free = deferral({ effect: 'none', limits: {} });
    expect(of('wheel_lift', { deferrals: [free] })).toMatchObject({
      answer: 'yes',
      notes: [{ text: 'Grease all fittings is put off until 2026-03-05 by L. Moss.' }],
    });
  });

  test('what nobody has looked at yet is unknown', () => {
    const unassessed = [{ assetId: 'lift', functions: ['wheel_lift'] as const }];
    expect(answers({ unassessed })).toBe('wheel_lift unknown, winch yes, road yes');
  });
});

describe('what rests on what', () => {
  const foldNeed = {
    assetId: 'lift',
    function: 'road',
    functions: [],
    points: ['fold_pin'],
    words: 'The lift must lock folded for the road.',
  } as const;
  const needs = [{ ...foldNeed, functions: [] as UnitFunction[], points: ['fold_pin'] }];

  test('a unit that may not go on the road can be sent to do nothing', () => {
    const stops = [stop({ kind: 'officer', functions: ['road'], assetId: null })];
    expect(answers({ stops })).toBe('wheel_lift no, winch no, road no');
    expect(of('winch', { stops }).reasons).toMatchObject([
      {
        through: 'road',
        text:
          'The winch needs the road. ' +
          'An inspector ordered it out of service: the crossbar is bent.',
      },
    ]);
  });

  test('a lift that will not lock folded takes the road, and with it everything', () => {
    expect(answers({ needs, findings: [finding()] })).toBe('wheel_lift no, winch no, road no');
    expect(of('road', { needs, findings: [finding()] }).reasons).toMatchObject([
      {
        through: 'wheel_lift',
        text: 'The lift must lock folded for the road. Found unfit: cracked pin.',
      },
    ]);
    const byStop = { needs, stops: [stop({ pointKey: 'fold_pin' })] };
    expect(answers(byStop)).toBe('wheel_lift no, winch no, road no');
  });

  test('a lift that wants grease, or another lift, leaves the road', () => {
    expect(answers({ needs, tasks: [task()] })).toBe('wheel_lift no, winch yes, road yes');
    expect(answers({ needs, findings: [finding({ pointKey: 'arm' })] })).toBe(
      'wheel_lift no, winch yes, road yes',
    );
    expect(answers({ needs, findings: [finding({ assetId: 'other' })] })).toBe(
      'wheel_lift no, winch yes, road yes',
    );
  });

  test('a function that rests on another one has its answer, and its limits', () => {
    const fitted: UnitFunction[] = ['wheel_lift', 'dollies', 'road'];
    const onLift = [
      {
        assetId: 'lift',
        function: 'dollies' as const,
        functions: ['wheel_lift'] as UnitFunction[],
        points: [],
        words: 'The lift sets a car on its dollies.',
      },
    ];
    const limited = stop({ effect: 'limited', limits: { loadKg: 900 } });
    const found = of('dollies', { fitted, needs: onLift, stops: [limited] });
    expect([found.answer, found.limits]).toEqual(['limited', { loadKg: 900 }]);
    const without = of('dollies', { fitted: ['dollies', 'road'], needs: onLift });
    expect([without.answer, without.reasons[0]?.text]).toEqual([
      'no',
      'It needs the wheel lift, which is not fitted: The lift sets a car on its dollies.',
    ]);
  });

  test('circles do no harm', () => {
    const circle = [
      { ...foldNeed, functions: ['wheel_lift'] as UnitFunction[], points: [] },
      { ...foldNeed, function: 'wheel_lift' as const, functions: ['winch'] as never, points: [] },
      { ...foldNeed, function: 'winch' as const, functions: ['road'] as never, points: [] },
    ];
    expect(answers({ needs: circle, stops: [stop({ functions: ['winch'] })] })).toBe(
      'wheel_lift no, winch no, road no',
    );
  });
});
