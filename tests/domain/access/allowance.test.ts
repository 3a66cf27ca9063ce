import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Allowance, windowMs } from '../../../src/domain/access/allowance.ts';

const keyId = '01900000-0000-7000-8000-0000000003e8';
const startMs = Date.UTC(2026, 2, 2, 18);

/** The store, as `lend_requests` does it. */
function store() {
  let [windowNo, used] = [Number.NaN, 0];
  return (ask: { window: number; used: number; want: number; most: number }) => {
    if (windowNo !== ask.window && windowNo !== ask.window + 1) [windowNo, used] = [ask.window, 0];
    const base = used + ask.used;
    const lent =
      base >= ask.most ? 0 : Math.min(ask.want, Math.max(1, Math.trunc((ask.most - base) / 4)));
    used = base + lent;
    return { lent, used };
  };
}

function request(allowance: Allowance, lend: ReturnType<typeof store>, nowMs: number): boolean {
  for (;;) {
    const verdict = allowance.take(nowMs);
    if (verdict !== 'ask') return verdict === 'allowed';
    const question = allowance.question();
    const { lent, used } = lend(question);
    allowance.answer(question.window, lent, used);
  }
}

test('together, processes keep to the limit, to a twentieth for each one more', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 5_000 }),
      fc.integer({ min: 1, max: 6 }),
      fc.array(fc.nat(), { minLength: 1, maxLength: 50 }),
      (most, processes, turns) => {
        const lend = store();
        const all = Array.from({ length: processes }, () => new Allowance(most, keyId));
        const twentieth = Math.ceil(most / 20);
        let allowed = 0;
        for (let i = 0; i < 2 * most; i += 1) {
          const who = (turns[i % turns.length] as number) % processes;
          if (request(all[who]!, lend, startMs)) allowed += 1;
        }
        // and then until every one of them is refused
        for (const each of all) while (request(each, lend, startMs)) allowed += 1;
        expect(allowed).toBeGreaterThanOrEqual(most);
        expect(allowed).toBeLessThanOrEqual(most + (processes - 1) * twentieth);
      },
    ),
    { numRuns: 150 },
  );
});

test('what is left falls with each request to nothing, and is whole in the next window', () => {
  const lend = store();
  const allowance = new Allowance(100, keyId);
  const left: number[] = [];
  for (let i = 0; i < 100; i += 1) {
    expect(request(allowance, lend, startMs)).toBe(true);
    left.push(allowance.left(startMs).requests);
  }
  expect(left).toEqual(Array.from({ length: 100 }, (_, i) => 99 - i));
  expect(request(allowance, lend, startMs)).toBe(false);
  const { requests, seconds } = allowance.left(startMs);
  expect(requests).toBe(0);
  expect(request(allowance, lend, startMs + seconds * 1000 - 1001)).toBe(false);
  expect(request(allowance, lend, startMs + seconds * 1000)).toBe(true);
  expect(allowance.left(startMs + seconds * 1000)).toEqual({ requests: 99, seconds: 60 });
});

test('keys begin their windows at moments of their own', () => {
  const ends = Array.from({ length: 40 }, (_, i) => {
    const id = `01900000-0000-7000-8000-${(i * 7_777_777).toString(16).padStart(12, '0')}`;
    const allowance = new Allowance(100, id);
    allowance.take(startMs);
    return allowance.left(startMs).seconds;
  });
  expect(new Set(ends).size).toBeGreaterThan(10);
  expect(Math.max(...ends)).toBeLessThanOrEqual(windowMs / 1000);
});
