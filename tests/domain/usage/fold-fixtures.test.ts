import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { fold, settle } from '../../../src/domain/usage/fold.ts';
import { emptyFoldState } from '../../../src/domain/usage/fold-state.ts';
import { attributeBy } from '../../../src/domain/usage/split.ts';
import { type FoldVerdict, foldVerdicts } from '../../../src/domain/usage/verdict.ts';
import { type CounterFixture, parseCounterFixture } from './counter-fixture.ts';
import { LineStore } from './line-store.ts';

const folder = new URL('../../fixtures/fold/', import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith('.counter'));

function load(name: string): CounterFixture {
  return parseCounterFixture(readFileSync(new URL(name, folder), 'utf8'));
}

/** Folds the readings one by one; what each brought, by position. */
function outcomes(fixture: CounterFixture) {
  const grains = new Map<string, number>();
  const verdicts = new Map<string, FoldVerdict[]>();
  let provisional = 0;
  let state = emptyFoldState;
  for (const { run } of fixture.readings) {
    state = fold(state, run, fixture.rules, {
      increment: (_from, _to, amount, ordinal, seq) => {
        const key = `${ordinal}/${seq}`;
        grains.set(key, (grains.get(key) ?? 0) + amount);
      },
      verdict: (ordinal, seq, verdict) => {
        const key = `${ordinal}/${seq}`;
        verdicts.set(key, [...(verdicts.get(key) ?? []), verdict]);
      },
    });
  }
  settle(state, fixture.rules, {
    increment: (fromMs, toMs, amount) => {
      expect(toMs).toBeGreaterThanOrEqual(fromMs);
      provisional += amount;
    },
    verdict: () => expect.unreachable('settling gives no verdict'),
  });
  return { grains, verdicts, provisional };
}

describe.each(names)('%s', (name) => {
  const fixture = load(name);

  it('gives each reading its use and its verdict', () => {
    const { grains, verdicts, provisional } = outcomes(fixture);
    const found = fixture.readings.map(({ run, line }) => {
      const key = `${run.ordinal}/${run.firstSeq}`;
      return { line, grains: grains.get(key) ?? 0, verdicts: verdicts.get(key) ?? ['accepted'] };
    });
    const expected = fixture.readings.map(({ line, grains, verdicts }) => ({
      line,
      grains,
      verdicts: [...verdicts],
    }));
    expect(found).toEqual(expected);
    expect(provisional).toBe(fixture.provisional);
    const total = [...grains.values()].reduce((sum, each) => sum + each, 0);
    expect(total).toBe(fixture.total);
  });

  it('comes out the same in any order of arrival', () => {
    const attribute = attributeBy([
      {
        fromMs: 0,
        toMs: null,
        assetId: 'lift',
        calendar: [{ fromMs: 0, timeZone: fixture.timeZone }],
      },
    ]);
    const context = { rules: fixture.rules, dated: [], attribute };
    const singles = fixture.readings.map(({ run }) => run);
    const odd = singles.filter((_, index) => index % 2 === 1);
    for (const order of [singles, singles.toReversed(), [...odd, ...singles]]) {
      const store = new LineStore(context);
      for (const single of order) store.deliver([single]);
      expect(store.segments).toEqual(store.afresh());
      const days = new Map<string, number>();
      for (const { day, grains } of store.segments.flatMap((segment) => segment.shares)) {
        days.set(day, (days.get(day) ?? 0) + grains);
      }
      if (fixture.days.size > 0) expect(days).toEqual(fixture.days);
    }
  });
});

describe('the fixtures together', () => {
  it('show every verdict', () => {
    const shown = new Set<FoldVerdict>();
    for (const name of names) {
      for (const { verdicts } of load(name).readings) {
        for (const verdict of verdicts) shown.add(verdict);
      }
    }
    expect([...shown].sort()).toEqual([...foldVerdicts].sort());
  });
});
