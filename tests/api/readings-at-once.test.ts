import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  FleetBuilder,
  liftCounter,
  ptoCounter,
  run,
  type Settled,
  startMs,
  tickMs,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const at = (tick: number) => startMs - 24 * 3_600_000 + tick * tickMs;
const ticks = (firstSeq: number, n: number) =>
  run(
    firstSeq,
    ...Array.from({ length: n }, (_, i): [number, number] => [at(firstSeq + i), firstSeq + i]),
  );
const sum = (answers: Settled[], key: 'accepted' | 'duplicate' | 'conflict') =>
  answers.reduce((total, answer) => total + answer[key], 0);

test('two posts at once on one stream: every number is stored exactly once', async () => {
  const { gateway, liftId } = await fleet.truck({});
  for (let round = 0; round < 10; round += 1) {
    const from = round * 10;
    const answers = await Promise.all([
      gateway.one(ticks(from, 8)),
      gateway.one(ticks(from, 8)),
      gateway.one(ticks(from + 5, 5)),
    ]);
    expect(sum(answers, 'accepted')).toBe(10);
    expect(sum(answers, 'duplicate')).toBe(11);
    expect(sum(answers, 'conflict')).toBe(0);
  }
  expect(await gateway.one(ticks(99, 1))).toMatchObject({ contiguous: 99, missing: [] });
  await app.settle();
  const days = await fleet.days(liftId);
  expect(Object.values(days).reduce((total, grains) => total + grains, 0)).toBe(99 * 180);
});

test('two different values at once: one stands, the other is a conflict', async () => {
  const gateway = await fleet.gateway(ptoCounter);
  await gateway.heartbeat();
  const answers = await Promise.all(
    [1, 2, 3].map((raw) => gateway.one({ firstSeq: 0, at: [at(0)], raw: [raw] })),
  );
  expect(sum(answers, 'accepted')).toBe(1);
  expect(sum(answers, 'conflict')).toBe(2);
});

test('posts that name two streams in opposite orders do not block each other', async () => {
  const gateway = await fleet.gateway(ptoCounter, liftCounter);
  const lifts = (seq: number) => ({ ...ticks(seq, 1), counter: 'lifts' });
  const posts = Array.from({ length: 20 }, (_, i) => {
    const both = [ticks(i, 1), lifts(i)];
    // every other one takes the long way, because a number is there twice
    return gateway.post(i % 2 === 0 ? both : [...both.reverse(), ticks(i, 1)]);
  });
  const answers = (await Promise.all(posts)).flat();
  expect(sum(answers, 'accepted')).toBe(40);
  expect(sum(answers, 'duplicate')).toBe(10);
});

test('posts while the line is folded: nothing is lost between them', async () => {
  const { gateway, liftId } = await fleet.truck({});
  const posting = (async () => {
    for (let seq = 0; seq < 40; seq += 1) await gateway.one(ticks(seq, 1));
  })();
  let posted = false;
  void posting.finally(() => {
    posted = true;
  });
  while (!posted) await app.answerCalls();
  await posting;
  // what was posted was called for: no sweep is needed
  await app.answerCalls();
  const days = await fleet.days(liftId);
  expect(Object.values(days).reduce((total, grains) => total + grains, 0)).toBe(39 * 180);
});
