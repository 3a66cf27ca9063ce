import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Answer, Client, Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let lead: Client;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  lead = await app.as('lead');
  await app.goTo(startMs + 5 * dayMs);
});

const hourly = { ...ptoCounter, resolution: 1 };
const truck = async (patternId?: string) =>
  fleet.truck({ counters: [hourly], ...(patternId ? { patternId } : {}) });
const total = (assetId: string) => fleet.hours(assetId);
const questions = ({ id }: Gateway, limit = 1): Promise<Json[]> =>
  fleet.client.all(`/v1/gateways/${id}/open-questions`, limit);
const word = (seq: number, decision: string, more: object = {}) => ({
  ...{ counter: 'pto_hours', epoch: 0, seq, decision, name: 'B. Quill', reason: 'looked at it' },
  ...more,
});
const decide = async ({ id }: Gateway, seq: number, decision: string, more: object = {}) => {
  const made = await lead.made(`/v1/gateways/${id}/decisions`, word(seq, decision, more));
  await app.settle();
  return made;
};
const refused = ({ status, code }: Answer) => [status, code];

describe('a number that came with two values', () => {
  /** Ten hours over a day; the reading at midnight came as 14 and as 17, between 12 and 20. */
  async function disputed() {
    const { liftId, gateway } = await truck();
    const at = (h: number) => startMs + h * hourMs;
    await gateway.one(run(0, [at(0), 10], [at(6), 12], [at(12), 14], [at(24), 20]));
    await gateway.one(run(2, [at(12), 17]));
    await app.settle();
    return { liftId, gateway, at };
  }
  const early = async (assetId: string) => (await fleet.days(assetId))['2026-03-02']! / 3600;

  test('waits, and is shown with what came first', async () => {
    const { gateway, liftId, at } = await disputed();
    // without it, midnight is a third of the way from hour 6 to 24
    expect(await early(liftId)).toBeCloseTo(2 + 8 / 3, 6);
    expect(await questions(gateway)).toEqual([
      {
        ...{ kind: 'conflict', counter: 'pto_hours', epoch: 0, seq: 2, meter: 'pto_hours' },
        ...{ unit: 'hours', at: text(at(12)), raw: 17, against: null, amount: null, verdict: null },
        first: { at: text(at(12)), raw: 14 },
      },
    ]);
    const misplaced = await lead.post(`/v1/gateways/${gateway.id}/decisions`, word(2, 'counts'));
    expect(refused(misplaced)).toEqual([422, 'decision_impossible']);
  });

  test.each([
    ['first_stands', 4],
    ['this_stands', 7],
    ['neither', 2 + 8 / 3],
  ])('%s', async (decision, untilMidnight) => {
    const { gateway, liftId } = await disputed();
    const made = await decide(gateway, 2, decision);
    expect(made).toMatchObject({ subject: 'conflict', decision, raw: 17, amount: null });
    expect(await questions(gateway)).toEqual([]);
    expect(await total(liftId)).toBe(10);
    expect(await early(liftId)).toBeCloseTo(untilMidnight, 6);
  });

  test('a later word takes the place of the earlier; a third value opens it again', async () => {
    const { gateway, liftId, at } = await disputed();
    await decide(gateway, 2, 'this_stands');
    await decide(gateway, 2, 'neither', { name: 'C. Reed' });
    const listed = await fleet.client.all(`/v1/gateways/${gateway.id}/decisions`, 1);
    expect(listed.map((each) => [each.decision, each.name])).toEqual([
      ['this_stands', 'B. Quill'],
      ['neither', 'C. Reed'],
    ]);
    await gateway.one(run(2, [at(12), 16]));
    await app.settle();
    expect((await questions(gateway)).map((each) => each.raw)).toEqual([16]);
    const url = `/v1/gateways/${gateway.id}/decisions`;
    expect(refused(await lead.post(url, word(2, 'this_stands')))).toEqual([
      422,
      'decision_impossible',
    ]);
    expect(refused(await lead.post(url, word(2, 'this_stands', { raw: 11 })))).toEqual([
      422,
      'decision_impossible',
    ]);
    await decide(gateway, 2, 'this_stands', { raw: 16 });
    expect(await questions(gateway)).toEqual([]);
    expect(await total(liftId)).toBe(10);
    expect(await gateway.verdicts()).toEqual([]);
    const subject = `gateway/${gateway.id}`;
    const told = await fleet.events({ type: 'reading.decided', subject });
    expect(told.map(({ data }) => data.decision)).toEqual([
      'this_stands',
      'neither',
      'this_stands',
    ]);
  });
});

describe('a jump', () => {
  const at = (minutes: number) => startMs + minutes * 60_000;
  /** 50 hours more within ten minutes; `further` readings go on from there. */
  async function jumped(further: number, patternId?: string) {
    const { liftId, unitId, gateway } = await truck(patternId);
    await gateway.one(run(0, [at(-600), 100], [at(0), 105], [at(10), 155]));
    for (let i = 1; i <= further; i += 1) {
      await gateway.one(run(2 + i, [at(10 + 70 * i), 155 + i]));
    }
    await app.settle();
    return { liftId, unitId, gateway };
  }

  test('that was use counts, and can be taken back', async () => {
    const { liftId, gateway } = await jumped(2);
    expect(await total(liftId)).toBe(7);
    expect(await questions(gateway)).toMatchObject([
      { kind: 'jump', seq: 2, raw: 155, against: 105, amount: 50, verdict: 'rebase', first: null },
    ]);
    const made = await decide(gateway, 2, 'counts');
    expect(made).toMatchObject({ subject: 'jump', against: 105, raw: 155, amount: 50 });
    expect(await total(liftId)).toBe(57);
    expect(await questions(gateway)).toEqual([]);
    expect(await gateway.verdicts()).toEqual([]);
    await decide(gateway, 2, 'does_not_count');
    expect(await total(liftId)).toBe(7);
    expect(await questions(gateway)).toEqual([]);
    expect(await gateway.verdicts()).toEqual(['2 rebase']);
  });

  test('that is still set aside: the meter is in doubt until somebody says', async () => {
    const patternId = await fleet.pattern({ ...greaseTask, every: { pto_hours: 60, days: 90 } });
    const { liftId, unitId, gateway } = await jumped(0, patternId);
    await app.goTo(at(20));
    await fleet.done(unitId, 'grease', at(-600));
    await app.settleAt(at(20) + 4 * dayMs);
    await gateway.heartbeat();
    await app.settle();
    expect(await questions(gateway)).toMatchObject([{ seq: 2, amount: 50, verdict: 'set_aside' }]);
    expect((await fleet.task(unitId)).status).toBe('unknown');
    await decide(gateway, 2, 'does_not_count');
    expect(await questions(gateway)).toEqual([]);
    expect(await fleet.task(unitId)).toMatchObject({ status: 'ahead' });
    expect(await total(liftId)).toBe(5);
    await decide(gateway, 2, 'counts');
    expect(await total(liftId)).toBe(55);
    expect(await fleet.task(unitId)).toMatchObject({ status: 'in_window' });
    const undone = await fleet.events({ type: 'task.status_undone', subject: `unit/${unitId}` });
    expect(undone.at(-1)?.data.causes[0]).toMatchObject({ what: 'reading_decided' });
    await app.goTo(startMs + 5 * dayMs);
  });

  test('downwards is no use, whatever is said', async () => {
    const { gateway } = await truck();
    await gateway.one(run(0, [at(-600), 1000], [at(0), 1005], [at(10), 700]));
    await app.settle();
    expect(await questions(gateway)).toMatchObject([{ seq: 2, amount: null }]);
    const url = `/v1/gateways/${gateway.id}/decisions`;
    expect(refused(await lead.post(url, word(2, 'counts')))).toEqual([422, 'decision_impossible']);
    await decide(gateway, 2, 'does_not_count');
    expect(await questions(gateway)).toEqual([]);
  });

  test('that a late reading explains asks nobody any more, decided or not', async () => {
    const { liftId, gateway } = await truck();
    await gateway.one(run(0, [at(-6000), 100]));
    // number 1 is late, and would have shown the rise
    await gateway.one(run(2, [at(-10), 190], [at(0), 240], [at(70), 241], [at(140), 242]));
    await app.settle();
    expect((await questions(gateway)).map((each) => each.seq)).toEqual([3]);
    await decide(gateway, 3, 'counts');
    expect(await total(liftId)).toBe(142);
    await gateway.one(run(1, [at(-5900), 101]));
    await app.settle();
    expect(await total(liftId)).toBe(142);
  });

  test('nothing to decide, nobody to decide it, nowhere', async () => {
    const { gateway } = await jumped(2);
    const url = `/v1/gateways/${gateway.id}/decisions`;
    const nothing = [409, 'nothing_to_decide'];
    expect(refused(await lead.post(url, word(1, 'counts')))).toEqual(nothing);
    expect(refused(await lead.post(url, word(2, 'first_stands')))).toEqual(nothing);
    const elsewhere = word(2, 'counts', { counter: 'other' });
    expect(refused(await lead.post(url, elsewhere))).toEqual([404, 'not_found']);
    const technician = await app.as('technician');
    const tried = await technician.post(url, word(2, 'counts'));
    expect(refused(tried)).toEqual([403, 'role_not_allowed']);
    expect(await technician.all(`/v1/gateways/${gateway.id}/open-questions`)).toHaveLength(1);
  });
});

test('conflicts and jumps of several counters, page by page', async () => {
  const { gateway } = await fleet.truck({ counters: [hourly, { ...hourly, counter: 'second' }] });
  for (const counter of ['pto_hours', 'second']) {
    const post = (s: object) => gateway.post([{ counter, ...s } as never]);
    await post(run(0, [startMs, 1], [startMs + hourMs, 2], [startMs + 2 * hourMs, 3]));
    await post(run(1, [startMs + hourMs, 3]));
    await post(run(2, [startMs + 2 * hourMs, 4]));
    await post(run(3, [startMs + 3 * hourMs, 90]));
  }
  await app.settle();
  const whole = await questions(gateway, 200);
  expect(whole.map(({ kind, counter, seq }) => [kind, counter, seq])).toEqual([
    ['conflict', 'pto_hours', 1],
    ['conflict', 'pto_hours', 2],
    ['conflict', 'second', 1],
    ['conflict', 'second', 2],
    ['jump', 'pto_hours', 3],
    ['jump', 'second', 3],
  ]);
  for (const limit of [1, 2, 4]) expect(await questions(gateway, limit)).toEqual(whole);
});
