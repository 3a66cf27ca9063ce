import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  hourMs,
  liftCounter,
  ptoCounter,
  run,
  startMs,
  type Truck,
  text,
  tickMs,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const health = (gateway: Gateway) => fleet.client.read(`/v1/gateways/${gateway.id}/health`);
const texts = async (gateway: Gateway) =>
  (await health(gateway)).reasons.map((reason: { text: string }) => reason.text);

async function truckAtStart(counters: object[] = [ptoCounter]): Promise<Truck> {
  await app.settleAt(startMs);
  return fleet.truck({ counters });
}

describe('health of a gateway', () => {
  test('says nothing of one that is well', async () => {
    const { gateway, unitId } = await truckAtStart([ptoCounter, liftCounter]);
    await gateway.one(run(4, [startMs - tickMs, 10], [startMs, 11]));
    await app.settle();
    const shown = await health(gateway);
    expect(shown).toMatchObject({
      gatewayId: gateway.id,
      asOf: text(startMs),
      states: [],
      reasons: [],
      contact: {
        state: 'heard',
        lastPostAt: text(startMs),
        silentSince: null,
        silentFrom: text(startMs + 26 * hourMs),
      },
      clock: { offsetMs: null, fastMs: 0, facts: [] },
    });
    expect(shown.unit.unitId).toBe(unitId);
    const [pto, lifts] = shown.counters;
    expect(pto).toMatchObject({ counter: 'pto_hours', meter: 'pto_hours', waiting: 0 });
    expect(pto.lastReadingAt).toBe(text(startMs));
    expect(pto.epochs).toMatchObject([{ epoch: 0, cause: 'first', contiguous: 5, highest: 5 }]);
    expect(lifts.epochs).toMatchObject([{ contiguous: null, highest: null, missing: [] }]);
    expect(await gateway.client.read('/v1/gateways/me/health')).toEqual(shown);
  });

  test('tells silence against its own habit, in words', async () => {
    const { gateway } = await truckAtStart();
    await gateway.heartbeat();
    await app.settleAt(startMs + 3 * hourMs);
    await gateway.heartbeat();
    await app.settleAt(startMs + 29 * hourMs - 1);
    expect((await health(gateway)).states).toEqual([]);
    await app.settleAt(startMs + 29 * hourMs);
    const shown = await health(gateway);
    expect(shown.states).toEqual(['silent']);
    expect(shown.contact).toMatchObject({
      state: 'silent',
      silentSince: text(startMs + 3 * hourMs),
      longestGapSeconds: 3 * 3600,
      allowedGapSeconds: 26 * 3600,
    });
    expect(await texts(gateway)).toEqual([
      'Nothing since 2026-03-02 15:00; it usually posts at least every 3 h.',
    ]);
    await gateway.heartbeat();
    expect((await health(gateway)).states).toEqual([]);
  });

  test('a gateway that never posted is silent only when it is on a unit', async () => {
    const { gateway } = await truckAtStart();
    const spare = await fleet.gateway();
    await app.settleAt(startMs + 26 * hourMs);
    expect((await health(gateway)).states).toEqual(['silent']);
    expect(await texts(gateway)).toEqual([
      'It has not posted once since it was put on at 2026-03-02 12:00.',
    ]);
    expect(await health(spare)).toMatchObject({ states: [], contact: { state: 'never' } });
    expect(await texts(spare)).toEqual([
      'It is on no unit, so what it counts belongs to none.',
      'It has not said what it counts.',
    ]);
  });

  test('one in a drawer may be silent', async () => {
    await app.settleAt(startMs);
    const spare = await fleet.gateway(ptoCounter);
    await spare.heartbeat();
    await app.settleAt(startMs + 100 * dayMs);
    expect(await health(spare)).toMatchObject({ states: [], contact: { state: 'silent' } });
  });

  test('its clock: what it last said, and what was proven', async () => {
    const { gateway } = await truckAtStart();
    const fastMs = 6 * hourMs;
    await gateway.heartbeat({ 'device-time': String(startMs + fastMs) });
    expect((await health(gateway)).clock).toEqual({
      offsetMs: fastMs,
      fastMs,
      facts: [{ seenAt: text(startMs), offsetMs: fastMs }],
    });
    expect(await texts(gateway)).toEqual(['Its clock is 6 h fast.']);
    await app.settleAt(startMs + hourMs);
    await gateway.heartbeat({ 'device-time': String(startMs) });
    const { clock } = await health(gateway);
    expect(clock).toMatchObject({ offsetMs: -hourMs, fastMs: 0 });
    expect(clock.facts.map((fact: { offsetMs: number }) => fact.offsetMs)).toEqual([0, fastMs]);
    expect(await texts(gateway)).toEqual(['Its clock was 60 min behind when it last said so.']);
  });

  test('gaps, lost numbers, conflicts and refusals of each epoch', async () => {
    const { gateway } = await truckAtStart();
    const at = (n: number) => startMs - (60 - n) * tickMs;
    await gateway.one(run(0, [at(0), 0], [at(1), 1]));
    await gateway.one(run(5, [at(5), 5]));
    await gateway.one(run(9, [at(9), 9]));
    await gateway.one({ firstSeq: 0, at: [], raw: [], lost: [[2, 3]] });
    await gateway.one(run(1, [at(1), 2]));
    await gateway.one(run(1, [at(1), 3]));
    await gateway.one({ firstSeq: 10, at: [at(10)], raw: ['x'] });
    const before = (await health(gateway)).counters[0];
    expect([before.waiting > 0, before.waitingSince]).toEqual([true, text(startMs)]);
    await app.settle();
    const shown = await health(gateway);
    expect(shown.counters[0]).toMatchObject({ waiting: 0, waitingSince: null });
    expect(shown.counters[0].epochs).toEqual([
      {
        epoch: 0,
        cause: 'first',
        openedAt: text(startMs),
        contiguous: 3,
        highest: 10,
        missing: [
          [4, 4],
          [6, 8],
        ],
        missingNumbers: 4,
        lost: [[2, 3]],
        lostNumbers: 2,
        // two other values of one number
        conflicts: 1,
        refused: 1,
      },
    ]);
    expect(shown.states).toEqual(['waiting_decision']);
    expect(await texts(gateway)).toEqual([
      'pto_hours: 4 readings are missing, from number 4 to 8; it should send or give them up.',
      'pto_hours: 1 reading was sent with two values; a person decides.',
      'pto_hours: 1 reading was refused for good, the last at 12:00.',
    ]);
    // of an epoch that is over nothing is wanted any more
    expect(await gateway.epoch('sequence_lost')).toBe(1);
    await app.goTo(startMs + hourMs);
    await gateway.one({ epoch: 1, ...run(0, [startMs + hourMs, 12]) });
    await app.settle();
    const later = await health(gateway);
    expect(later.counters[0].epochs.map((each: { epoch: number }) => each.epoch)).toEqual([0, 1]);
    expect(await texts(gateway)).toEqual([
      'pto_hours: 1 reading was sent with two values; a person decides.',
    ]);
  });

  test('readings set aside wait for a person, until what follows settles them', async () => {
    const { gateway } = await truckAtStart();
    const at = (n: number) => startMs - (60 - n) * tickMs;
    await gateway.one(run(0, [at(0), 0], [at(1), 1], [at(2), 9_000]));
    await app.settle();
    expect((await health(gateway)).counters[0].setAside).toBe(1);
    expect(await texts(gateway)).toEqual([
      'pto_hours: 1 reading does not fit what stood before; a person decides.',
    ]);
    await gateway.one(run(3, [at(3), 2], [at(4), 3]));
    await app.settle();
    expect(await health(gateway)).toMatchObject({ states: [], reasons: [] });
    // one that goes on is a jump, and stays until somebody has looked at it
    await gateway.one(run(5, [at(5), 9_000], [at(6), 9_001], [at(7), 9_002]));
    await app.settle();
    expect((await health(gateway)).states).toEqual(['waiting_decision']);
  });

  test('what waits to be counted is told when it waits long', async () => {
    const { gateway } = await truckAtStart();
    await gateway.one(run(0, [startMs, 0]));
    await app.goTo(startMs + 301_000);
    expect(await texts(gateway)).toEqual(['What came since 12:00 is not counted yet.']);
  });

  test('of another fleet, or none, there is nothing', async () => {
    const { gateway } = await truckAtStart();
    const other = await app.otherFleet();
    expect((await other.get(`/v1/gateways/${gateway.id}/health`)).code).toBe('not_found');
    expect((await fleet.client.get('/v1/gateways/me/health')).code).toBe('not_found');
    const another = await fleet.gateway();
    const refused = await gateway.client.get(`/v1/gateways/${another.id}/health`);
    expect(refused.code).toBe('not_this_gateway');
  });

  test('is bounded, whatever a gateway has sent', async () => {
    const { gateway } = await truckAtStart();
    for (let i = 1; i <= 12; i += 1) await gateway.epoch('sequence_lost');
    const streams = Array.from({ length: 64 }, (_, i) => ({
      epoch: 12,
      ...run(3 * i, [startMs - (64 - i) * tickMs, i]),
    }));
    await gateway.post(streams);
    const [counter] = (await health(gateway)).counters;
    expect([counter.epochsInAll, counter.epochs.length]).toEqual([13, 10]);
    const newest = counter.epochs.at(-1);
    expect([newest.missing.length, newest.missingNumbers]).toEqual([20, 63 * 2]);
  });
});

describe('where a gateway stands', () => {
  test('a wiped device reads it, asks for new epochs and goes on', async () => {
    const { gateway, liftId } = await truckAtStart();
    const at = (n: number) => startMs - (60 - n) * tickMs;
    await gateway.one(run(0, [at(0), 100], [at(1), 101]));
    await gateway.one(run(4, [at(4), 104]));
    const standing = await gateway.client.read('/v1/gateways/me');
    expect(standing).toMatchObject({
      gatewayId: gateway.id,
      serverTime: text(startMs),
      serverTimeMs: startMs,
      lastPostAt: text(startMs),
      counters: [
        {
          counter: 'pto_hours',
          resolution: 0.05,
          epoch: 0,
          epochsInAll: 1,
          epochs: [{ epoch: 0, cause: 'first', issuedAt: text(startMs), missing: [[2, 3]] }],
        },
      ],
    });
    const epoch = await gateway.epoch('sequence_lost');
    await gateway.one({ epoch, ...run(0, [at(10), 110]) });
    await app.settle();
    const after = await gateway.client.read('/v1/gateways/me');
    expect(after.counters[0]).toMatchObject({
      epoch: 1,
      epochs: [
        { epoch: 0, contiguous: 1, highest: 4 },
        { epoch: 1, cause: 'sequence_lost', contiguous: 0, highest: 0, missing: [] },
      ],
    });
    // nothing is lost: the counter itself ran on
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 10 * 180 });
    // declaring again what is declared changes nothing
    await gateway.declare(ptoCounter);
    expect(await gateway.client.read('/v1/gateways/me')).toEqual(after);
  });

  test('is for gateways', async () => {
    expect((await fleet.client.get('/v1/gateways/me')).status).toBe(403);
  });
});

test('PTO hours that rise by more than the engine hours of the unit are told', async () => {
  const engine = { counter: 'engine', meter: 'engine_hours', resolution: 0.05 };
  const { gateway, unitId } = await truckAtStart([ptoCounter, engine]);
  const chassis = await fleet.asset('chassis');
  await fleet.install(unitId, { assetId: chassis });
  const days = (rise: number) =>
    run(0, ...[5, 4, 3, 2, 1, 0].map((d, i): [number, number] => [startMs - d * dayMs, i * rise]));
  await gateway.post([days(100), { ...days(120), counter: 'engine' }]);
  await app.settle();
  expect(await texts(gateway)).toEqual([]);
  const after = (rise: number, from: number): [number, number][] =>
    [1, 2, 3, 4].map((d) => [startMs + d * dayMs, from + d * rise]);
  await app.goTo(startMs + 4 * dayMs);
  await gateway.post([
    { ...run(6, ...after(200, 500)) },
    { ...run(6, ...after(120, 600)), counter: 'engine' },
  ]);
  await app.settle();
  expect(await texts(gateway)).toEqual([
    expect.stringMatching(
      /^pto_hours rose by [\d.]+ h from .* the engine by [\d.]+ h only: one of/,
    ),
  ]);
});
