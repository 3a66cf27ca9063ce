import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  hourMs,
  liftCounter,
  ptoCounter,
  type Stream,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';
import { nodesOf } from '../helpers/graph.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const monthDays = 35;
/** What a day's evening reads: ten steps of the pump a day, and five lifts while they count. */
const evening = (day: number) => startMs + day * dayMs;
const series = (
  counter: string,
  from: number,
  to: number,
  raw: (day: number) => number,
): Stream => {
  const days = Array.from({ length: to - from }, (_, i) => from + i);
  return { counter, firstSeq: from, at: days.map(evening), raw: days.map(raw) };
};
const pump = (from: number, to: number) => series('pto_hours', from, to, (day) => 10 * day);
const lifts = (from: number, to: number, deadFrom = 1e9, alive = 1e9) =>
  series('lifts', from, to, (day) => 5 * (Math.min(day, deadFrom) + Math.max(0, day - alive)));

const told = async ({ gateway }: Truck) =>
  (await fleet.events({ subject: `gateway/${gateway.id}` })).filter(({ type }) =>
    type.startsWith('gateway.switch'),
  );
const types = async (truck: Truck) => (await told(truck)).map(({ type }) => type);
const suspects = async () =>
  (await fleet.client.all('/v1/gateways?state=suspect')).map((row) => row.gatewayId);
const health = ({ gateway }: Truck) => fleet.client.read(`/v1/gateways/${gateway.id}/health`);

/** Comes to the evening of a day with what is sent until then, and is looked at. */
async function sentUntil(truck: Truck, day: number, ...streams: Stream[]): Promise<void> {
  await app.goTo(evening(day));
  await truck.gateway.post(streams);
  await app.settleAt(evening(day) + hourMs);
  await truck.gateway.heartbeat();
  await app.settleAt(evening(day) + 26 * hourMs - 1);
}

async function truckOfAMonth(): Promise<Truck> {
  await app.settleAt(startMs);
  const truck = await fleet.truck({ counters: [ptoCounter, liftCounter] });
  await sentUntil(truck, monthDays, pump(0, monthDays + 1), lifts(0, monthDays + 1));
  expect(await types(truck)).toEqual([]);
  return truck;
}

describe('a switch that counts no lift while the pump runs', () => {
  test('is told once, shown, and told when it counts again', async () => {
    const truck = await truckOfAMonth();
    const dead = monthDays;
    await sentUntil(truck, dead + 2, pump(dead + 1, dead + 3), lifts(dead + 1, dead + 3, dead));
    expect(await types(truck)).toEqual([]);
    await sentUntil(truck, dead + 4, pump(dead + 3, dead + 5), lifts(dead + 3, dead + 5, dead));
    const [suspect, ...more] = await told(truck);
    expect(more).toEqual([]);
    expect(suspect).toMatchObject({
      type: 'gateway.switch_suspect',
      data: {
        unitId: truck.unitId,
        assetId: truck.liftId,
        meter: 'lift_cycles',
        counter: 'lifts',
        witness: 'pto_hours',
        lastCountedOn: '2026-04-06',
      },
    });
    const shown = await health(truck);
    expect(shown.states).toEqual(['suspect']);
    expect(shown.suspects).toMatchObject([{ counter: 'lifts', lastCountedOn: '2026-04-06' }]);
    expect(shown.reasons).toEqual([{ code: 'switch_suspect', text: suspect.data.reason }]);
    expect(shown.reasons[0].text).toMatch(/^lifts has not counted since 2026-04-06, although/);
    expect(await suspects()).toEqual([truck.gateway.id]);
    const asked = `states health { silentSince clockOffsetMs longestGapSeconds checkedAt
      suspects { assetId meter counter witness lastCountedOn text } }`;
    const [node, ...others] = await nodesOf(app.admin, 'gateways(state: suspect)', asked);
    expect(others).toEqual([]);
    expect(node).toMatchObject({
      states: ['suspect'],
      health: {
        silentSince: null,
        clockOffsetMs: null,
        longestGapSeconds: shown.contact.longestGapSeconds,
        suspects: [{ assetId: truck.liftId, counter: 'lifts', text: suspect.data.reason }],
      },
    });
    // it stands still on, and nobody is told again
    await sentUntil(truck, dead + 6, pump(dead + 5, dead + 7), lifts(dead + 5, dead + 7, dead));
    expect(await types(truck)).toEqual(['gateway.switch_suspect']);
    const again = lifts(dead + 7, dead + 9, dead, dead + 6);
    await sentUntil(truck, dead + 8, pump(dead + 7, dead + 9), again);
    expect(await types(truck)).toEqual(['gateway.switch_suspect', 'gateway.switch_counts_again']);
    expect((await health(truck)).states).toEqual([]);
    expect(await suspects()).toEqual([]);
  });

  test('and the pump at zero while lifts are counted', async () => {
    const truck = await truckOfAMonth();
    const dead = monthDays;
    const still = series('pto_hours', dead + 1, dead + 6, () => 10 * dead);
    await sentUntil(truck, dead + 5, still, lifts(dead + 1, dead + 6));
    expect((await told(truck)).map(({ data }) => [data.meter, data.witness])).toEqual([
      ['pto_hours', 'lift_cycles'],
    ]);
  });

  test('is not one of a parked truck, nor of one that is silent', async () => {
    const parked = await truckOfAMonth();
    const at = monthDays;
    const standing = series('pto_hours', at + 1, at + 20, () => 10 * at);
    await sentUntil(parked, at + 19, standing, lifts(at + 1, at + 20, at));
    const silent = await truckOfAMonth();
    await app.settleAt(evening(at + 60));
    expect([await types(parked), await types(silent)]).toEqual([[], []]);
  });

  test('is dropped when the gateway goes elsewhere', async () => {
    const truck = await truckOfAMonth();
    const dead = monthDays;
    await sentUntil(truck, dead + 5, pump(dead + 1, dead + 6), lifts(dead + 1, dead + 6, dead));
    expect(await types(truck)).toEqual(['gateway.switch_suspect']);
    const elsewhere = await fleet.unit(await fleet.yard());
    const gatewayId = truck.gateway.id;
    await fleet.install(elsewhere, { gatewayId }, evening(dead + 6), { move: true });
    await app.settle();
    const all = ['gateway.switch_suspect', 'gateway.switch_suspect_dropped'];
    expect(await types(truck)).toEqual(all);
    expect((await health(truck)).suspects).toEqual([]);
  });

  test('nothing is said while readings wait to be counted', async () => {
    const truck = await truckOfAMonth();
    const dead = monthDays;
    await app.goTo(evening(dead + 5));
    await truck.gateway.post([pump(dead + 1, dead + 6), lifts(dead + 1, dead + 6, dead)]);
    app.queue.calls.clear();
    const { rows } = await app.db.owner.query(
      'select shard from liftwright.gateway_health where gateway_id = $1',
      [truck.gateway.id],
    );
    app.queue.wake('watch', rows[0].shard);
    await app.answerCalls();
    await app.settle();
    expect(await types(truck)).toEqual([]);
    await app.settleAt(evening(dead + 5) + 600_000);
    expect(await types(truck)).toEqual(['gateway.switch_suspect']);
    expect((await told(truck))[0].occurredAt).toBe(text(evening(dead + 5) + 600_000));
  });
});
