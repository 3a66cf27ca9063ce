import { describe, expect, test } from 'vitest';
import { SYMPTOMS, usualSymptoms } from '../../../src/domain/shop/symptom.ts';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { POINT_TAPS, type PointTap } from '../../../src/domain/upkeep/point-tap.ts';
import { POINT_KINDS } from '../../../src/domain/upkeep/service-point.ts';
import { symptomRuleOf } from '../../../src/domain/upkeep/symptom-rule.ts';
import { workOn } from '../../../src/domain/upkeep/task-work.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';

const bolts = {
  key: 'tension_bolts',
  kind: 'fastener',
  name: 'Tension bolts',
  side: 'centre',
  place: 'Below the crossbar',
  torque: { nm: 81.5, thread: 'thread_locker' },
  fastener: { head: 'countersunk', count: 8, cleanRecess: true, order: 'crosswise' },
  gloves: 'wear',
  taps: ['taken_up', 'loose'],
  limits: [{ key: 'gap', name: 'Gap at the washer', unit: 'mm', most: 0.8 }],
};
const pivot = {
  key: 'pivot',
  kind: 'pin',
  name: 'Pivot',
  side: 'centre',
  place: 'End of the boom',
  lubricant: 'lithium grease',
  lubricantCode: 'KP2K-30',
};
const washer = {
  key: 'washer',
  name: 'Thrust washer',
  points: ['pivot'],
  meters: ['fold_cycles', 'pto_hours'],
  nominal: 0.2,
  tolerance: 0.05,
  near: 0.6,
  limit: 0.8,
  gauge: 'feeler gauge',
  gaugeError: 0.05,
  quantity: 2,
  priorLife: { fold_cycles: 4000, pto_hours: 1200.5 },
  takeUp: { points: ['tension_bolts'], perTurn: 1.25, mostTurns: 2 },
};
const full = {
  name: 'A lift',
  assetKind: 'lift',
  servicePoints: [{ ...bolts, fastener: { ...bolts.fastener, threadLocker: 'medium' } }, pivot],
  tasks: [
    { key: 'grease', name: 'Grease', points: ['pivot'], every: { days: 30 } },
    { key: 'look', name: 'Look', points: ['pivot'], every: { days: 30 }, work: 'look' },
  ],
  wearParts: [washer],
  functionNeeds: [{ function: 'road', points: ['pivot'], words: 'It must hold folded.' }],
  symptomRules: [
    {
      symptom: 'swings_off_square',
      stop: 'after_drop',
      functions: ['wheel_lift'],
      makesDue: ['look'],
      askFor: [
        { words: 'Washers', points: ['pivot'] },
        { words: 'Tension', points: [] },
      ],
    },
    { symptom: 'slow', makesDue: ['grease'] },
  ],
};

function read(document: unknown) {
  const parsed = parseLiftPattern(document, builtInMeters);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  return parsed.pattern;
}

test('a point says how it is fastened, lubricated, measured and told', () => {
  const [tension, greased] = read(full).servicePoints;
  expect(tension).toMatchObject({
    fastener: {
      head: 'countersunk',
      count: 8,
      nut: false,
      cleanRecess: true,
      order: 'crosswise',
      threadLocker: 'medium',
    },
    torque: { milliNm: 81_500, thread: 'thread_locker' },
    gloves: 'wear',
    taps: ['taken_up', 'loose'],
    limits: [{ key: 'gap', unit: 'mm', mostThousandths: 800 }],
  });
  expect(greased).toMatchObject({ lubricantCode: 'KP2K-30', limits: [] });
});

test('a wear part has what a forecast asks for, in integers', () => {
  expect(read(full).wearParts[0]).toEqual({
    key: 'washer',
    name: 'Thrust washer',
    points: ['pivot'],
    meters: ['fold_cycles', 'pto_hours'],
    unit: 'mm',
    grows: true,
    quantity: 2,
    nominalThousandths: 200,
    toleranceThousandths: 50,
    nearThousandths: 600,
    limitThousandths: 800,
    gauge: 'feeler gauge',
    gaugeErrorThousandths: 50,
    priorLife: [
      { meter: 'pto_hours', grains: 1200.5 * 3600 },
      { meter: 'fold_cycles', grains: 4000 },
    ],
    takeUp: { points: ['tension_bolts'], perTurnThousandths: 1250, mostTurnsThousandths: 2000 },
  });
});

test('a task does what it says, or what is usual at each of its points', () => {
  const { tasks, servicePoints } = read(full);
  const [grease, look] = tasks;
  expect(workOn(grease!, servicePoints[1]!)).toBe('grease');
  expect(workOn(look!, servicePoints[1]!)).toBe('look');
  expect(workOn(grease!, servicePoints[0]!)).toBe('fasten');
  expect(workOn(grease!, { kind: 'pin' })).toBe('look');
});

test('a symptom goes by the rule of the pattern, and without one by what is usual', () => {
  const { symptomRules } = read(full);
  expect(symptomRuleOf(symptomRules, 'slow')).toEqual({
    symptom: 'slow',
    stop: null,
    functions: [],
    makesDue: ['grease'],
    askFor: [],
  });
  const usual = symptomRuleOf(symptomRules, 'will_not_hold_fold');
  expect(usual).toMatchObject({ stop: 'at_once', functions: ['wheel_lift', 'road'] });
  expect(usual.askFor.map(({ words }) => words)).toEqual(usualSymptoms.will_not_hold_fold.causes);
});

describe('the closed lists', () => {
  test('every symptom has words; what stops takes something away, and only what stops', () => {
    for (const symptom of SYMPTOMS) {
      const { words, stop, functions } = usualSymptoms[symptom];
      expect(words, symptom).toMatch(/^[A-Z].*\.$/);
      expect(functions.length > 0, symptom).toBe(stop !== null);
    }
  });

  test('lubrication comes first where it skips, chatters or screeches', () => {
    for (const symptom of ['skips_extending', 'chatters_lowering', 'screeches_folding'] as const) {
      expect(usualSymptoms[symptom].causes[0]).toContain('lubricate first');
    }
  });

  test.each(POINT_KINDS)('a %s can be told to be right and to be wrong, each in words', (kind) => {
    const { taps } = read({ ...full, servicePoints: [{ ...pivot, kind }, full.servicePoints[0]] })
      .servicePoints[0]!;
    const results = new Set(taps.map((tap: PointTap) => POINT_TAPS[tap].result));
    expect(results.size).toBe(2);
    expect(new Set(taps).size).toBe(taps.length);
  });
});

test.each(['KP2K-30', 'KPF2K-20', 'KPHC1N-40', 'KHCP2N-40', 'M3G-20', 'K00K', 'ISO VG 32'])(
  'the lubricant code %s is one',
  (lubricantCode) => {
    const servicePoints = [{ ...pivot, lubricantCode }, full.servicePoints[0]];
    expect(read({ ...full, servicePoints }).servicePoints[0]?.lubricantCode).toBe(lubricantCode);
  },
);
