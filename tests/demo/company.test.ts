import { describe, expect, test } from 'vitest';
import { type PatternKey, patterns, planUnits } from '../../src/demo/company.ts';
import { defects } from '../../src/demo/defects.ts';
import { parseLiftPattern } from '../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters, minMsPerTick, parseResolution } from '../../src/domain/usage/meter.ts';

const keys = Object.keys(patterns) as PatternKey[];

describe.each(keys)('the pattern "%s"', (key) => {
  const read = parseLiftPattern(patterns[key], builtInMeters);

  test('is one that the service takes', () => {
    expect(read).toMatchObject({ ok: true });
  });

  test('has 25 to 40 service points and 12 to 20 tasks, and every point has work', () => {
    if (!read.ok) throw new Error('not read');
    const { servicePoints, tasks } = read.pattern;
    expect(servicePoints.length).toBeGreaterThanOrEqual(25);
    expect(servicePoints.length).toBeLessThanOrEqual(40);
    expect(tasks.length).toBeGreaterThanOrEqual(12);
    expect(tasks.length).toBeLessThanOrEqual(20);
    const worked = new Set(tasks.flatMap(({ points }) => points));
    expect(servicePoints.map((point) => point.key).filter((each) => !worked.has(each))).toEqual([]);
    expect(tasks.filter(({ statutory }) => statutory)).toHaveLength(1);
  });

  test("sends every task to the maker's manual first, and no figure comes without a word", () => {
    if (!read.ok) throw new Error('not read');
    for (const { cautions } of read.pattern.tasks) {
      expect(cautions.some((words) => words.includes("maker's manual"))).toBe(true);
    }
    for (const { torque, cautions } of read.pattern.servicePoints) {
      if (torque) expect(cautions.some((words) => words.includes('example'))).toBe(true);
    }
  });

  test('counts only by meters that the units with it have', () => {
    if (!read.ok) throw new Error('not read');
    const wanted = new Set(read.pattern.tasks.flatMap((task) => task.meters.map((m) => m.meter)));
    for (const unit of planUnits('seed', 180).filter(({ pattern }) => pattern === key)) {
      const counted = new Set(unit.counters.map(({ meter }) => meter));
      expect([...wanted].filter((meter) => !counted.has(meter))).toEqual([]);
    }
  });
});

test('counters have whole ticks of their meters, and no tick is faster than can be', () => {
  for (const { counters } of planUnits('seed', 180)) {
    for (const { meter: name, resolution, grainsPerTick } of counters) {
      const meter = builtInMeters.find((each) => each.name === name)!;
      expect(parseResolution(resolution, meter.dimension)).toEqual({
        ok: true,
        grains: grainsPerTick,
      });
      expect(minMsPerTick(meter, grainsPerTick)).toBeGreaterThan(1_000);
    }
  }
});

test('no unit has two defects, and lifts that are swapped are of one pattern', () => {
  const units = planUnits('seed', 180);
  const named = defects.flatMap((defect) => [defect.unit, ...(defect.with ? [defect.with] : [])]);
  expect(new Set(named).size).toBe(named.length);
  for (const defect of defects.filter((each) => each.with !== undefined)) {
    const patternsOf = [defect.unit, defect.with].map(
      (number) => units.find((unit) => unit.number === number)?.pattern,
    );
    expect(new Set(patternsOf).size).toBe(1);
  }
});
