import { describe, expect, test } from 'vitest';
import { type PatternKey, patterns } from '../../src/demo/company.ts';
import type { Symptom } from '../../src/domain/shop/symptom.ts';
import { type LiftPattern, parseLiftPattern } from '../../src/domain/upkeep/lift-pattern.ts';
import type { ServicePoint } from '../../src/domain/upkeep/service-point.ts';
import { WORK_KINDS, workOn } from '../../src/domain/upkeep/task-work.ts';
import { builtInMeters } from '../../src/domain/usage/meter.ts';

/**
 * The rules of thumb that the demo's patterns honour, each as a test. All of them: common practice,
 * no source.
 */
const keys = Object.keys(patterns) as PatternKey[];

function read(key: PatternKey): LiftPattern {
  const parsed = parseLiftPattern(patterns[key], builtInMeters);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  return parsed.pattern;
}

const pointOf = (pattern: LiftPattern, key: string): ServicePoint => {
  const found = pattern.servicePoints.find((point) => point.key === key);
  if (!found) throw new Error(`${pattern.name} has no point ${key}`);
  return found;
};
const taskOf = (pattern: LiftPattern, key: string) => {
  const found = pattern.tasks.find((task) => task.key === key);
  if (!found) throw new Error(`${pattern.name} has no task ${key}`);
  return found;
};
const ruleOf = (pattern: LiftPattern, symptom: Symptom) => {
  const found = pattern.symptomRules.find((rule) => rule.symptom === symptom);
  if (!found) throw new Error(`${pattern.name} has no rule for ${symptom}`);
  return found;
};
const saysOf = (point: ServicePoint) => point.cautions.join(' ');
const greasedIn = ({ tasks, servicePoints }: LiftPattern) =>
  servicePoints.filter((point) =>
    tasks.some((task) => task.points.includes(point.key) && workOn(task, point) === 'grease'),
  );

describe('the crossbar pivot', () => {
  test('is held by countersunk screws in one pattern, by bolts from below in the other', () => {
    const screws = pointOf(read('crossbar'), 'pivot_screws');
    expect(screws).toMatchObject({ kind: 'fastener', fastener: { head: 'countersunk' } });
    const bolts = pointOf(read('arm'), 'pivot_bolts');
    expect(bolts.fastener?.head).not.toBe('countersunk');
    expect(bolts.name).toContain('from below');
    expect(bolts.place).toMatch(/^Under/);
  });

  test('of the other has a centring detent, and its L-arms are hydraulic', () => {
    const arm = read('arm');
    expect(pointOf(arm, 'centring_detent').kind).toBe('grease_fitting');
    expect(arm.servicePoints.filter(({ name }) => name.startsWith('Arm cylinder'))).toHaveLength(4);
    const own = read('crossbar').servicePoints.map(({ key }) => key);
    expect(own.filter((key) => key.includes('detent') || key.includes('arm_'))).toEqual([]);
  });

  test('with two arm cylinders: a fitting at both ends of each and at each L-arm pin, six', () => {
    const arm = read('arm');
    const task = taskOf(arm, 'grease_arms');
    const places = task.points.map((key) => pointOf(arm, key));
    expect(places.filter(({ kind }) => kind === 'grease_fitting')).toHaveLength(6);
    for (const side of ['left', 'right']) {
      const here = places.filter((point) => point.side === side).map(({ name }) => name);
      expect(here).toEqual([
        `Arm cylinder, ${side}, inner end`,
        `Arm cylinder, ${side}, outer end`,
        `L-arm pin, ${side}`,
      ]);
    }
  });
});

describe.each(keys)('the pattern "%s"', (key) => {
  const pattern = read(key);
  const { servicePoints, tasks } = pattern;

  test('looks at everything for bent, cracked and missing pieces before anything else', () => {
    const [first] = tasks;
    expect(first).toMatchObject({ work: 'look', overrunEffect: 'no' });
    for (const point of first!.points.map((each) => pointOf(pattern, each))) {
      expect(point.kind).toBe('structure');
      expect(point.taps).toEqual(expect.arrayContaining(['bent', 'cracked', 'missing']));
      expect(point.liftCritical, point.key).toBe(true);
      expect(point.serves).toContain('wheel_lift');
      expect(saysOf(point)).toMatch(/ends the work.*stopped/);
    }
  });

  test('goes on in the order of a card, with the hoses last', () => {
    const order = tasks
      .filter(({ statutory, key: each }) => !statutory && each !== 'look_hoses')
      .map(({ work }) => WORK_KINDS.indexOf(work!));
    const once = order.filter((work) => work !== WORK_KINDS.indexOf('clean'));
    expect(once).toEqual([...once].sort((a, b) => a - b));
    expect(tasks.at(-1)?.key).toBe('look_hoses');
    const last = tasks.at(-1)!.points.map((each) => pointOf(pattern, each).kind);
    expect(last.at(-1)).toBe('hose');
    const hoses = servicePoints.filter(({ kind }) => kind === 'hose').map((each) => each.key);
    const before = tasks.slice(0, -1).flatMap(({ points }) => points);
    expect(hoses.filter((each) => before.includes(each))).toEqual([]);
  });

  test('tightens screws in a ring crosswise, after their recesses are cleaned', () => {
    const rings = servicePoints.filter(({ fastener }) => fastener && fastener.count > 2);
    const withRecess = rings.filter(({ fastener }) =>
      ['countersunk', 'socket_cap'].includes(fastener!.head),
    );
    expect(withRecess).toHaveLength(1);
    for (const { fastener, usualMistake } of withRecess) {
      expect(fastener).toMatchObject({ order: 'crosswise', cleanRecess: true });
      expect(usualMistake).toMatch(/clean each one out/);
    }
  });

  test('puts thread-locker on fasteners without a nut, and torque says its thread', () => {
    const fasteners = servicePoints.filter(({ kind }) => kind === 'fastener');
    expect(fasteners.length).toBeGreaterThanOrEqual(3);
    for (const { key: each, fastener, torque } of fasteners) {
      expect(fastener, each).toBeDefined();
      expect(fastener!.threadLocker !== undefined, each).toBe(!fastener!.nut);
      expect(torque!.thread === 'thread_locker', each).toBe(!fastener!.nut);
    }
    expect(new Set(fasteners.map(({ fastener }) => fastener!.nut)).size).toBe(2);
  });

  test('checks tension bolts with the lift run out a little, and takes them up with wear', () => {
    const bolts = pointOf(pattern, 'tension_bolts');
    expect(bolts.liftPosition).toMatchObject({ reach: 'slightly_out', blocked: true });
    expect(bolts.doneWhen).toMatch(/swings by hand/);
    expect(bolts.taps).toContain('taken_up');
    const washer = pattern.wearParts.find(({ key: each }) => each === 'pivot_washer')!;
    expect(washer).toMatchObject({ grows: true, unit: 'mm', points: ['pivot_washers'] });
    expect(washer.takeUp?.points).toEqual(['tension_bolts']);
    expect(washer.takeUp?.mostTurnsThousandths).toBeGreaterThan(0);
  });

  test('takes a crossbar that swings off square for washers and tension', () => {
    const rule = ruleOf(pattern, 'swings_off_square');
    expect(rule.askFor.map(({ points }) => points)).toEqual([['pivot_washers'], ['tension_bolts']]);
    expect(rule.makesDue).toEqual(['measure_washers', 'check_tension']);
  });

  test.each(['skips_extending', 'chatters_lowering', 'screeches_folding'] as const)(
    '%s: lubrication first',
    (symptom) => {
      const rule = ruleOf(pattern, symptom);
      expect(rule.askFor[0]?.words).toMatch(/lubricate first/);
      expect(taskOf(pattern, rule.makesDue[0]!).work).toBe('grease');
    },
  );

  test('greases pins until grease shows at the washer or outside the pin', () => {
    const pins = servicePoints.filter(({ kind }) => kind === 'pin');
    expect(pins.length).toBeGreaterThanOrEqual(3);
    for (const { doneWhen } of pins) {
      expect(doneWhen).toMatch(/grease shows at the washer or outside the pin/);
    }
  });

  test('reaches the fittings of the upper pads with the lift in and slightly folded', () => {
    const { kind, liftPosition } = pointOf(pattern, 'upper_pad_fittings');
    expect(kind).toBe('grease_fitting');
    expect(liftPosition).toMatchObject({ reach: 'in', fold: 'slightly_folded' });
  });

  test('marks the lower pin of the fold cylinder as the one most often missed', () => {
    const missed = greasedIn(pattern).filter(({ oftenMissed }) => oftenMissed);
    expect(missed.map((point) => point.key)).toEqual(['fold_cylinder_lower_pin']);
    expect(missed[0]?.usualMistake).toMatch(/most often missed/);
  });

  test('lays a film by hand on the tracks of the lower pads', () => {
    const { tool, doneWhen, taps } = pointOf(pattern, 'lower_pad_tracks');
    expect(tool).toMatch(/hand/);
    expect(doneWhen).toMatch(/film/);
    expect(taps).toContain('film_laid');
    expect(greasedIn(pattern).map((point) => point.key)).toContain('lower_pad_tracks');
  });

  test('greases with lithium-soap EP grease only, and wipes fittings first', () => {
    for (const point of greasedIn(pattern)) {
      expect(point.lubricant, point.key).toMatch(/lithium-soap EP grease/);
      expect(point.lubricantCode).toBe('KP2K-30');
      if (point.kind !== 'wear_surface') expect(saysOf(point)).toMatch(/Wipe the fitting before/);
    }
    const fittings = servicePoints.filter(({ kind }) => kind === 'grease_fitting');
    const greased = greasedIn(pattern);
    expect(fittings.filter((point) => !greased.includes(point))).toEqual([]);
  });
});

describe.each(keys)('cautions of the pattern "%s"', (key) => {
  const pattern = read(key);
  const { servicePoints, tasks } = pattern;

  test("come with every task, the maker's manual among them", () => {
    for (const { cautions } of tasks) {
      expect(cautions.some((words) => words.includes("maker's manual"))).toBe(true);
    }
  });

  test('PTO out and wheels chocked, unless the lift is tried: then hands clear of it', () => {
    for (const { key: each, work, cautions } of tasks) {
      const words = cautions.join(' ');
      if (work === 'test') expect(words, each).toMatch(/Hands stay out/);
      else expect(words, each).toMatch(/PTO out.*wheels chocked/);
    }
  });

  test('a raised lift is on blocks, never on oil, wherever somebody works on it', () => {
    const raised = servicePoints.filter(({ liftPosition }) => liftPosition.height === 'mid');
    expect(raised.length).toBeGreaterThan(5);
    for (const point of raised) expect(point.liftPosition.blocked, point.key).toBe(true);
    for (const point of servicePoints.filter(({ liftPosition }) => liftPosition.blocked)) {
      expect(saysOf(point), point.key).toMatch(/on blocks, never on oil/);
    }
  });

  test('pressure out, never feel for a leak, and eyes, where oil is under pressure', () => {
    const kinds = ['hose', 'cylinder', 'fluid', 'filter', 'valve'];
    const oily = servicePoints.filter(({ kind }) => kinds.includes(kind));
    expect(oily.length).toBeGreaterThanOrEqual(4);
    for (const point of oily) {
      expect(saysOf(point), point.key).toMatch(/pressure out.*Never feel for a leak/);
      expect(saysOf(point), point.key).toMatch(/eye protection/);
    }
  });

  test('gloves and eye protection at all greasing and fastening', () => {
    for (const point of servicePoints) {
      const greased = greasedIn(pattern).includes(point);
      if (!greased && point.kind !== 'fastener') continue;
      expect(point.gloves, point.key).toBe('wear');
      expect(saysOf(point), point.key).toMatch(/Wear gloves, but never near a drum that turns/);
      expect(saysOf(point), point.key).toMatch(/eye protection/);
    }
  });

  test('no torque comes without a word that it is an example', () => {
    for (const point of servicePoints.filter(({ torque }) => torque)) {
      expect(saysOf(point), point.key).toMatch(/example for this demo/);
    }
  });

  test('the road rests on the lock that holds the lift folded', () => {
    const road = pattern.functionNeeds.find((need) => need.function === 'road');
    expect(road?.points).toEqual(['fold_lock']);
    const rule = ruleOf(pattern, 'will_not_hold_fold');
    expect(rule).toMatchObject({ stop: 'at_once', functions: ['wheel_lift', 'road'] });
  });
});

test('never gloves near a drum that turns', () => {
  const drums = keys.flatMap((key) =>
    read(key).servicePoints.filter(({ name, kind }) => /drum/i.test(name) && kind === 'bearing'),
  );
  expect(drums).toHaveLength(1);
  for (const point of drums) {
    expect(point.gloves).toBe('never');
    expect(saysOf(point)).toMatch(/No gloves here/);
  }
});
