import fc from 'fast-check';
import { expect, test } from 'vitest';
import { dayOf, ordinalOf } from '../../../src/domain/upkeep/calendar.ts';
import {
  ceilDiv,
  type Exposure,
  factorOn,
  firstDayReaching,
  floorDiv,
  lastDayWithin,
  severitySpans,
  weighDays,
} from '../../../src/domain/upkeep/severity.ts';

const on = ordinalOf;
const text = (spans: { from: number; to: number; factor: number }[]) =>
  spans.map((s) => `${dayOf(s.from)} ${dayOf(s.to)} ${s.factor}`);
const salt = (
  season: Exposure['season'],
  from = '2020-01-01',
  to: string | null = null,
): Exposure => ({
  kind: 'salt',
  from,
  to,
  season,
});

test('a winter season runs over the new year', () => {
  const winter = salt({ from: '11-15', to: '03-31' });
  expect(text(severitySpans({ salt: 1500 }, [winter], on('2026-01-01'), on('2027-01-10')))).toEqual(
    ['2026-01-01 2026-03-31 1500', '2026-04-01 2026-11-14 1000', '2026-11-15 2027-01-10 1500'],
  );
});

test('a season on 29 February starts after and ends before the day in other years', () => {
  const leap = salt({ from: '02-29', to: '03-02' });
  expect(text(severitySpans({ salt: 1500 }, [leap], on('2027-02-27'), on('2028-03-03')))).toEqual([
    '2027-02-27 2027-02-28 1000',
    '2027-03-01 2027-03-02 1500',
    '2027-03-03 2028-02-28 1000',
    '2028-02-29 2028-03-02 1500',
    '2028-03-03 2028-03-03 1000',
  ]);
  const end = salt({ from: '02-27', to: '02-29' });
  expect(text(severitySpans({ salt: 1500 }, [end], on('2027-02-28'), on('2027-03-01')))).toEqual([
    '2027-02-28 2027-02-28 1500',
    '2027-03-01 2027-03-01 1000',
  ]);
});

test('an exposure that the task does not mind leaves plain days', () => {
  const spans = severitySpans({ dust: 1200 }, [salt(null)], on('2026-01-01'), on('2026-12-31'));
  expect(text(spans)).toEqual(['2026-01-01 2026-12-31 1000']);
});

test('too many exposures and malformed seasons are refused', () => {
  const many = Array.from({ length: 101 }, () => salt(null));
  expect(() => severitySpans({ salt: 1500 }, many, 0, 10)).toThrow(RangeError);
  const bad = salt({ from: '04-31', to: '05-01' });
  expect(() => severitySpans({ salt: 1500 }, [bad], on('2026-01-01'), on('2027-01-01'))).toThrow(
    RangeError,
  );
});

const start = on('2026-01-01');
const exposures = fc.array(
  fc.record({
    kind: fc.constantFrom('salt' as const, 'dust' as const, 'heavy_use' as const),
    from: fc.integer({ min: -30, max: 500 }).map((n) => dayOf(start + n)),
    to: fc.option(fc.integer({ min: -30, max: 900 }).map((n) => dayOf(start + n))),
    season: fc.option(
      fc.record({
        from: fc.constantFrom('01-01', '02-29', '06-15', '11-30'),
        to: fc.constantFrom('01-31', '02-29', '07-01', '12-31'),
      }),
    ),
  }),
  { maxLength: 5 },
);

test('spans, sums and the days found by them agree with counting day by day', () => {
  const factors = { salt: 1500, dust: 1250, heavy_use: 3000 };
  const end = start + 800;
  fc.assert(
    fc.property(exposures, fc.integer({ min: 1, max: 700_000 }), (list, weight) => {
      const spans = severitySpans(factors, list, start, end);
      const plain = (day: number) => Math.max(1000, ...list.map((e) => factorThen(e, day)));
      const factorThen = (e: Exposure, day: number) => {
        const at = dayOf(day);
        if (at < e.from || (e.to !== null && at > e.to)) return 1000;
        const md = at.slice(5);
        const { from, to } = e.season ?? { from: '01-01', to: '12-31' };
        const inside = from <= to ? md >= from && md <= to : md >= from || md <= to;
        return inside ? factors[e.kind] : 1000;
      };
      let sum = 0;
      let reached: number | null = null;
      for (let day = start + 1; day <= end; day += 1) {
        expect(factorOn(spans, day)).toBe(plain(day));
        sum += plain(day);
        if (reached === null && sum >= weight) reached = day;
      }
      expect(weighDays(spans, start, end)).toBe(sum);
      expect(firstDayReaching(spans, start, weight)).toBe(reached);
      const last = lastDayWithin(spans, start, weight);
      if (last !== null) {
        expect(weighDays(spans, start, last)).toBeLessThanOrEqual(weight);
        expect(weighDays(spans, start, last + 1)).toBeGreaterThan(weight);
      }
    }),
    { numRuns: 100 },
  );
});

test('integer division neither rounds nor loses', () => {
  fc.assert(
    fc.property(fc.maxSafeNat(), fc.integer({ min: 1, max: 10_000 }), (a, b) => {
      expect(BigInt(floorDiv(a, b))).toBe(BigInt(a) / BigInt(b));
      expect(BigInt(ceilDiv(a, b))).toBe((BigInt(a) + BigInt(b) - 1n) / BigInt(b));
    }),
  );
});
