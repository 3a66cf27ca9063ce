import { expect, test } from 'vitest';
import { roles } from '../../src/domain/access/role.ts';
import { cycleSamplesMost } from '../../src/http/schemas/lift-cycle.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, liftCounter } from '../helpers/fleet.ts';

const app = useApp();
const url = '/v1/lift-cycles/check';

/** Out at 10 s, home at 30 s, by a switch sampled once a second; and out for a moment at 40 s. */
const samples = Array.from({ length: 60 }, (_, i) => [
  i * 1000,
  (i >= 10 && i < 30) || i === 40 ? 1 : 0,
]);
const fold = { meter: 'fold_cycles', basis: 'switch', settings: { holdMs: 2000 }, samples };

test('any key may check; the answer has the cycles, and why others do not count', async () => {
  const fleet = new FleetBuilder(app);
  const clients = [(await fleet.gateway(liftCounter)).client];
  for (const role of roles) if (role !== 'gateway') clients.push(await app.as(role));
  for (const client of clients) {
    const answer = await client.call({ method: 'POST', url, body: fold });
    expect(answer.status).toBe(200);
    expect(answer.body).toEqual({
      meter: 'fold_cycles',
      basis: 'switch',
      basisVersion: 1,
      rules: {
        basis: 'switch',
        highFrom: 1,
        lowTo: 0,
        holdMs: 2000,
        gapMs: 10_000,
        shortestMs: 8000,
      },
      count: 1,
      cycles: [{ fromMs: 10_000, toMs: 30_000, gaps: 0 }],
      notCounted: [{ fromMs: 40_000, toMs: 41_000, gaps: 0, why: 'bounce' }],
      open: null,
      gaps: 0,
      withoutValue: 0,
      outOfOrder: 0,
    });
  }
});

test('samples that say nothing are left out and counted', async () => {
  const odd = [...samples.slice(0, 35), [20_000, 1], [34_500, null], ...samples.slice(35)];
  const answer = await app.admin.call({ method: 'POST', url, body: { ...fold, samples: odd } });
  expect(answer.body).toMatchObject({ count: 1, withoutValue: 1, outOfOrder: 1 });
});

test('a basis that the meter cannot be read from is refused with the reason', async () => {
  const coil = { meter: 'lift_cycles', basis: 'coil', samples: [] };
  const answer = await app.admin.call({ method: 'POST', url, body: coil });
  expect([answer.status, answer.code]).toEqual([422, 'basis_invalid']);
  expect(answer.body.detail).toMatch(/pressure or switch/);
  const bare = await app.admin.call({ method: 'POST', url, body: { ...coil, basis: 'pressure' } });
  expect(bare.body.detail).toMatch(/measure them on the truck/);
});

test('the body is bounded, and as large as it may be it is answered', async () => {
  const many = (n: number) => Array.from({ length: n }, (_, i) => [1_795_599_400_000 + i, i % 2]);
  const most = { ...fold, samples: many(cycleSamplesMost) };
  const answer = await app.admin.call({ method: 'POST', url, body: most });
  expect([answer.status, answer.body.count]).toEqual([200, 0]);
  const over = { ...fold, samples: many(cycleSamplesMost + 1) };
  expect((await app.admin.call({ method: 'POST', url, body: over })).code).toBe('body_invalid');
});

test('the page has every basis, every reason and the cautions', async () => {
  const page = await app.client(null).call({ url: '/docs/lift-cycles', undocumented: true });
  for (const word of ['switch', 'pressure', 'coil', 'bounce', 'not_loaded', 'short_stroke']) {
    expect(page.body).toContain(`<code>${word}</code>`);
  }
  expect(page.body).toContain('can hurt people');
  expect(page.body).toContain('common practice, no source');
  expect(page.body).not.toMatch(/undefined|NaN|\[object/);
});
