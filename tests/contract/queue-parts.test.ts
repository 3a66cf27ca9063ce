import fc from 'fast-check';
import { expect, test } from 'vitest';
import { SHARDS, shardOf } from '../../src/domain/shard.ts';
import { coalescer } from '../../src/queue/coalesce.ts';
import { parseJob, workKey } from '../../src/queue/jobs.ts';
import { MAX_ATTEMPTS, retryDelayMs } from '../../src/queue/retry.ts';

test('a shard never changes: these are written into running queues', () => {
  expect(shardOf(1, '0198f3c2-7d1e-7a40-9b1c-3f5d2e8a6b01')).toBe(10);
  expect(shardOf(2, '0198f3c2-7d1e-7a40-9b1c-3f5d2e8a6b01')).toBe(17);
  expect(shardOf(1, 90071)).toBe(shardOf(1, '90071'));
});

test('shards are whole numbers from 0 to 63, whatever the ids', () => {
  fc.assert(
    fc.property(fc.nat(), fc.oneof(fc.string(), fc.maxSafeNat()), (fleet, id) => {
      const shard = shardOf(fleet, id);
      return Number.isInteger(shard) && shard >= 0 && shard < SHARDS;
    }),
  );
});

test('neighbouring line ids of one fleet spread evenly', () => {
  const counts = new Array<number>(SHARDS).fill(0);
  const lines = 64 * 200;
  for (let line = 1; line <= lines; line++) {
    const shard = shardOf(3, line);
    counts[shard] = (counts[shard] ?? 0) + 1;
  }
  // Chi-square with 63 degrees of freedom: 0.999 quantile 103.4.
  const chi = counts.reduce((sum, count) => sum + (count - 200) ** 2 / 200, 0);
  expect(chi).toBeLessThan(103.4);
});

test('the wait after a failed attempt grows, is bounded, and differs between shards', () => {
  expect([1, 2, 3, 4].map((made) => retryDelayMs(made, 0))).toEqual([750, 3_000, 12_000, 45_000]);
  expect([1, 2, 3, 4].map((made) => retryDelayMs(made, 63))).toEqual([
    1_250, 5_000, 20_000, 75_000,
  ]);
  fc.assert(
    fc.property(fc.integer({ min: -5, max: 10_000 }), fc.integer(), (made, spread) => {
      const delay = retryDelayMs(made, spread);
      return Number.isInteger(delay) && delay >= 750 && delay <= 75_000;
    }),
  );
  expect(MAX_ATTEMPTS).toBe(5);
});

test('a payload is checked, and calls for one shard have one key', () => {
  const parsed = parseJob('fold', { shard: 5 });
  expect(parsed.ok && workKey(parsed.job)).toBe('fold.5');
  const sweep = parseJob('sweep', {});
  expect(sweep.ok && workKey(sweep.job)).toBe('sweep');
  for (const bad of [{ shard: -1 }, { shard: 1.5 }, { shard: '5' }, { shard: 5, fleet: 1 }, null]) {
    const refused = parseJob('fold', bad);
    expect(refused.ok ? '' : refused.problem).toMatch(/^payload of fold: ./);
  }
  expect(parseJob('toString', {})).toMatchObject({ ok: false });
});

function sender(fails = false) {
  const sent: string[] = [];
  const failed: string[] = [];
  let waiting: (() => void)[] = [];
  const calls = coalescer({
    send: (key) =>
      new Promise((resolve, reject) => {
        sent.push(key);
        waiting.push(() => (fails ? reject(new Error('away')) : resolve()));
      }),
    onSent: () => undefined,
    onFailed: (key) => failed.push(key),
    restMs: 3_600_000,
    failedRestMs: 3_600_000,
    maxKeys: 3,
  });
  const settle = () => {
    const now = waiting;
    waiting = [];
    for (const end of now) end();
  };
  return { calls, sent, failed, settle };
}

test('one send per key is on its way; a call during it gives one more', async () => {
  const { calls, sent, settle } = sender();
  calls.touch('a');
  calls.touch('a');
  calls.touch('b');
  calls.touch('a');
  expect(sent).toEqual(['a', 'b']);
  const flushed = calls.flush();
  settle();
  await new Promise(setImmediate);
  expect(sent).toEqual(['a', 'b', 'a']);
  settle();
  await flushed;
  expect(sent).toEqual(['a', 'b', 'a']);
  calls.stop();
});

test('a call during the rest is not sent before its end, unless flushed', async () => {
  const { calls, sent, settle } = sender();
  calls.touch('a');
  settle();
  await calls.flush();
  calls.touch('a');
  await new Promise(setImmediate);
  expect(sent).toEqual(['a']);
  const flushed = calls.flush();
  settle();
  await flushed;
  expect(sent).toEqual(['a', 'a']);
  calls.stop();
  calls.touch('c');
  expect(sent).toEqual(['a', 'a']);
});

test('a failed send is reported once and not tried again; too many keys are failures', async () => {
  const { calls, sent, failed, settle } = sender(true);
  for (const key of ['a', 'b', 'c', 'd']) calls.touch(key);
  expect(failed).toEqual(['d']);
  settle();
  await calls.flush();
  expect(sent).toEqual(['a', 'b', 'c']);
  expect(failed).toEqual(['d', 'a', 'b', 'c']);
  calls.stop();
});
