import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, hourMs, run, startMs, text } from '../helpers/fleet.ts';
import { wearPatternId } from '../helpers/wear.ts';

const app = useApp();
let fleet: FleetBuilder;
let technician: Client;
let lead: Client;
let patternId: string;
let yardId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  technician = await app.as('technician');
  lead = await app.as('lead');
  yardId = await fleet.yard();
  patternId = await wearPatternId(fleet);
  await app.goTo(startMs + 20 * dayMs);
});

/** A lift that was used an hour in each of ten hours from `startMs` on. */
async function usedLift() {
  const truck = await fleet.truck({ yardId, patternId });
  const hours = Array.from({ length: 11 }, (_, i): [number, number] => [
    startMs + i * hourMs,
    i * 20,
  ]);
  await truck.gateway.post([run(0, ...hours)]);
  await app.settle();
  return truck;
}

const url = (assetId: string, lifeId?: string, act?: string) =>
  `/v1/assets/${assetId}/part-lives${lifeId ? `/${lifeId}` : ''}${act ? `/${act}` : ''}`;
const at = (hours: number) => text(startMs + hours * hourMs);
const part = (fittedAt: string, more: object = {}) => ({
  ...{ part: 'pad', points: ['left_pad'], fittedAt, fittedBy: 'A. Penn' },
  ...more,
});
const fitPart = async (assetId: string, fittedAt: string, more: object = {}): Promise<Json> =>
  (await technician.made(url(assetId), part(fittedAt, more))).lives[0];
const remove = (assetId: string, lifeId: string, when: string, why = 'worn'): Promise<Json> =>
  technician.made(url(assetId, lifeId, 'remove'), { at: when, why, removedBy: 'A. Penn' });
const hours = ({ use }: Json) => use.map((each: Json) => [each.meter, each.value, each.known]);

describe('a part', () => {
  test('is used from when it was fitted until it is removed', async () => {
    const { liftId } = await usedLift();
    const { lifeId, ...fitted } = await fitPart(liftId, at(2));
    expect(fitted).toMatchObject({ state: 'fitted', priorLife: 'new', setId: null });
    expect(hours(fitted)).toEqual([['pto_hours', 8, 'known']]);
    const removed = await remove(liftId, lifeId, at(7.5), 'broken');
    expect(removed).toMatchObject({ state: 'removed', removed: { at: at(7.5), why: 'broken' } });
    expect(hours(removed)).toEqual([['pto_hours', 5.5, 'known']]);
  });

  test('a reading that comes late counts with it', async () => {
    const { liftId, gateway } = await usedLift();
    const { lifeId } = await fitPart(liftId, at(2));
    await gateway.post([run(11, [startMs + 12 * hourMs, 240])]);
    await app.settle();
    expect(hours(await technician.read(url(liftId, lifeId)))).toEqual([['pto_hours', 10, 'known']]);
  });

  test('with a life before takes its use along; of an unknown one only the least', async () => {
    const { liftId } = await usedLift();
    const prior = { priorLife: 'estimated', priorUse: { pto_hours: 100 } };
    const known = await fitPart(liftId, at(5), prior);
    expect(hours(known)).toEqual([['pto_hours', 105, 'estimated']]);
    const other = await fitPart(liftId, at(5), { points: ['right_pad'], priorLife: 'unknown' });
    expect(hours(other)).toEqual([['pto_hours', 5, 'at_least']]);
  });

  test('fitted before anything was counted: nobody knows all of its use', async () => {
    const liftId = await fleet.asset('lift', patternId);
    expect(hours(await fitPart(liftId, at(5)))).toEqual([['pto_hours', 0, 'at_least']]);
  });

  test('both sides are a set', async () => {
    const { liftId } = await usedLift();
    const body = part(at(1), { points: ['left_pad', 'right_pad'] });
    const { lives } = await technician.made(url(liftId), body);
    expect(lives.map(({ point }: Json) => point)).toEqual(['left_pad', 'right_pad']);
    expect(lives[0].setId).not.toBeNull();
    expect(lives[1].setId).toBe(lives[0].setId);
    const { items } = await technician.read(`${url(liftId)}?fitted=true&point=right_pad`);
    expect(items).toEqual([lives[1]]);
  });

  test('a warranty runs until a day and a use', async () => {
    const { liftId } = await usedLift();
    const origin = { supplier: 'Acme', lot: 'L7', makerNumber: 'P-1' };
    const given = await fitPart(liftId, at(0), {
      ...origin,
      warrantyUntilDay: '2027-03-02',
      warrantyUntilUse: { pto_hours: 9.5 },
    });
    expect(given).toMatchObject({
      ...origin,
      warranty: { state: 'ended', by: 'pto_hours', untilDay: '2027-03-02' },
    });
  });
});

describe('a place holds one part at a time', () => {
  test('another is refused until the first is removed, and not from that moment on', async () => {
    const { liftId } = await usedLift();
    const { lifeId } = await fitPart(liftId, at(1));
    expect((await technician.post(url(liftId), part(at(3)))).code).toBe('part_overlaps');
    await remove(liftId, lifeId, at(3));
    expect((await technician.post(url(liftId), part(at(2)))).code).toBe('part_overlaps');
    expect((await fitPart(liftId, at(3))).state).toBe('fitted');
  });

  test('of two that come at once one is refused', async () => {
    const { liftId } = await usedLift();
    const answers = await Promise.all(
      [1, 2].map((hour) => technician.post(url(liftId), part(at(hour)))),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409]);
  });

  test('of a set of which one place is taken none is fitted', async () => {
    const { liftId } = await usedLift();
    await fitPart(liftId, at(1), { points: ['right_pad'] });
    const body = part(at(2), { points: ['left_pad', 'right_pad'] });
    expect((await technician.post(url(liftId), body)).code).toBe('part_overlaps');
    expect((await technician.read(`${url(liftId)}?point=left_pad`)).items).toEqual([]);
  });
});

describe('a part that moves to another lift', () => {
  test('takes its use, its origin and its warranty along', async () => {
    const [from, to] = [await usedLift(), await usedLift()];
    const origin = { supplier: 'Acme', warrantyUntilUse: { pto_hours: 500 } };
    const { lifeId } = await fitPart(from.liftId, at(2), {
      ...origin,
      priorLife: 'known',
      priorUse: { pto_hours: 20 },
    });
    const moved = await technician.made(url(from.liftId, lifeId, 'move'), {
      ...{ at: at(6), toAssetId: to.liftId, toPoint: 'right_pad', movedBy: 'A. Penn' },
    });
    expect(moved.from.removed).toEqual({ at: at(6), why: 'moved', movedTo: moved.to.lifeId });
    expect(hours(moved.from)).toEqual([['pto_hours', 24, 'known']]);
    expect(moved.to).toMatchObject({
      ...{ assetId: to.liftId, point: 'right_pad', continues: lifeId, supplier: 'Acme' },
      warranty: { state: 'runs', untilUse: [{ meter: 'pto_hours', value: 500 }] },
    });
    expect(hours(moved.to)).toEqual([['pto_hours', 28, 'known']]);
  });

  test('into a place that is taken it does not go, and stays where it is', async () => {
    const [from, to] = [await usedLift(), await usedLift()];
    const { lifeId } = await fitPart(from.liftId, at(2));
    await fitPart(to.liftId, at(2));
    const move = { at: at(6), toAssetId: to.liftId, toPoint: 'left_pad', movedBy: 'A. Penn' };
    const { code } = await technician.post(url(from.liftId, lifeId, 'move'), move);
    expect(code).toBe('part_overlaps');
    expect((await technician.read(url(from.liftId, lifeId))).state).toBe('fitted');
  });

  test('two that cross do not wait for each other', async () => {
    const [a, b] = [await usedLift(), await usedLift()];
    const lives = [await fitPart(a.liftId, at(1)), await fitPart(b.liftId, at(1))];
    const answers = await Promise.all(
      [
        [a, b, lives[0]],
        [b, a, lives[1]],
      ].map(([from, to, life]) =>
        technician.post(url((from as Json).liftId, (life as Json).lifeId, 'move'), {
          ...{ at: at(4), toAssetId: (to as Json).liftId, toPoint: 'right_pad', movedBy: 'A' },
        }),
      ),
    );
    expect(answers.map(({ status }) => status)).toEqual([200, 200]);
  });
});

describe('what was wrong', () => {
  test('is said anew; what was said before stays', async () => {
    const { liftId } = await usedLift();
    const { lifeId } = await fitPart(liftId, at(2), { lot: 'L7' });
    const correct = (body: object) =>
      lead.post(url(liftId, lifeId, 'correct'), {
        ...{ correctedBy: 'B. Quill', reason: 'the other shift' },
        ...body,
      });
    const { body } = await correct({ fittedAt: at(4), lot: null });
    expect([body.fittedAt, body.lot, hours(body)]).toEqual([
      at(4),
      null,
      [['pto_hours', 6, 'known']],
    ]);
    const { entries } = await lead.read(url(liftId, lifeId));
    expect(entries).toMatchObject([
      { entryNo: 1, kind: 'fitted', fittedAt: at(2), lot: 'L7', by: 'A. Penn' },
      { entryNo: 2, kind: 'corrected', fittedAt: at(4), words: 'the other shift', by: 'B. Quill' },
    ]);
    expect((await correct({})).code).toBe('body_invalid');
  });

  test('a removal that was none is taken back, unless another sits there by now', async () => {
    const { liftId } = await usedLift();
    const { lifeId } = await fitPart(liftId, at(1));
    await remove(liftId, lifeId, at(3));
    const next = await fitPart(liftId, at(5));
    const back = { removed: null, correctedBy: 'B. Quill', reason: 'another unit' };
    expect((await lead.post(url(liftId, lifeId, 'correct'), back)).code).toBe('part_overlaps');
    const voiding = { name: 'B. Quill', reason: 'never was' };
    const voided = await lead.made(url(liftId, next.lifeId, 'void'), voiding);
    expect(voided.state).toBe('voided');
    expect((await lead.made(url(liftId, lifeId, 'correct'), back)).state).toBe('fitted');
    const again = await lead.post(url(liftId, next.lifeId, 'void'), voiding);
    expect(again.code).toBe('already_voided');
  });

  test.each([
    ['removed twice', 'part_removed'],
    ['removed before it was fitted', 'time_invalid'],
    ['a new part that was used before', 'part_life_impossible'],
    ['a meter that nobody knows', 'meter_unknown'],
    ['a life of another lift', 'not_found'],
  ])('%s: %s', async (what, code) => {
    const [{ liftId }, other] = [await usedLift(), await usedLift()];
    const { lifeId } = await fitPart(liftId, at(2));
    const off = (assetId: string, when: string) =>
      technician.post(url(assetId, lifeId, 'remove'), { at: when, why: 'worn', removedBy: 'A' });
    const right = { points: ['right_pad'] };
    const tried: Record<string, () => Promise<Json>> = {
      'removed twice': async () => {
        await off(liftId, at(3));
        return off(liftId, at(4));
      },
      'removed before it was fitted': () => off(liftId, at(1)),
      'a new part that was used before': () =>
        technician.post(url(liftId), part(at(2), { ...right, priorUse: { pto_hours: 3 } })),
      'a meter that nobody knows': () =>
        technician.post(
          url(liftId),
          part(at(2), { ...right, priorLife: 'known', priorUse: { tea_hours: 3 } }),
        ),
      'a life of another lift': () => off(other.liftId, at(3)),
    };
    expect((await tried[what]!()).code).toBe(code);
  });
});

test('another fleet neither sees nor touches parts and measurements', async () => {
  const { liftId } = await usedLift();
  const { lifeId } = await fitPart(liftId, at(1));
  const word = { at: at(2), measuredBy: 'A' };
  const assets = `/v1/assets/${liftId}`;
  const measured = await technician.made(`${assets}/measurements`, {
    ...{ point: 'left_pad', gauge: 'go', at: at(2), measuredBy: 'A. Penn' },
  });
  const other = await app.otherFleet();
  const theirs = new FleetBuilder(app, other);
  const own = await theirs.asset('lift');
  const { signature } = await theirs.person(['lift_work', 'lead']);
  const tried = [
    await other.get(url(liftId)),
    await other.get(url(liftId, lifeId)),
    await other.get(url(own, lifeId)),
    await other.post(url(liftId), part(at(3), { points: ['right_pad'] })),
    await other.post(url(own, lifeId, 'remove'), { at: at(3), why: 'worn', removedBy: 'A' }),
    await other.post(url(own, lifeId, 'move'), {
      ...{ at: at(3), toAssetId: own, toPoint: 'left_pad', movedBy: 'A' },
    }),
    await other.post(url(own, lifeId, 'void'), { name: 'A', reason: 'x' }),
    await other.get(`${assets}/measurements`),
    await other.post(`${assets}/measurements`, { ...word, point: 'left_pad', gauge: 'go' }),
    await other.post(`/v1/assets/${own}/measurements/${measured.measurementId}/withdraw`, {
      reason: 'x',
      signature,
    }),
    await other.get(`${assets}/take-ups`),
    await other.get(`${assets}/removal-checks`),
  ];
  expect(tried.map(({ code }) => code)).toEqual(tried.map(() => 'not_found'));
  // A part of ours does not go to them either.
  const move = { at: at(3), toAssetId: own, toPoint: 'left_pad', movedBy: 'A' };
  expect((await technician.post(url(liftId, lifeId, 'move'), move)).code).toBe('not_found');
  expect((await technician.read(url(liftId, lifeId))).state).toBe('fitted');
});
