import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  FleetBuilder,
  type Gateway,
  hourMs,
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

const fastMs = 6 * hourMs;
const facts = async (gateway: Gateway) => {
  const { rows } = await app.db.owner.query(
    `select offset_ms::int8 from liftwright.gateway_clock where gateway_id = $1 order by seen_at`,
    [gateway.id],
  );
  return rows.map((row) => Number(row.offset_ms));
};
const told = async (gateway: Gateway) => {
  await app.settle();
  const all = await fleet.events({ subject: `gateway/${gateway.id}` });
  return all
    .filter((e) => e.type.startsWith('gateway.clock'))
    .map((e) => [e.type, e.data.offsetMs]);
};
const deviceTime = (ms: number) => ({ 'device-time': String(ms) });

describe('the device time at transmission', () => {
  test('proves a clock fast: a fact, an event, and the readings put in their place', async () => {
    const { gateway, liftId }: Truck = await fleet.truck({});
    app.clock.set(startMs);
    const real = [startMs - 4 * tickMs, startMs - 3 * tickMs, startMs - tickMs];
    const [a, b, c] = real.map((ms) => ms + fastMs) as [number, number, number];
    const post = run(0, [a, 10], [b, 11], [c, 13]);
    expect(await gateway.one(post, deviceTime(startMs + fastMs))).toMatchObject({ accepted: 3 });
    expect(await facts(gateway)).toEqual([fastMs]);
    expect(await told(gateway)).toEqual([['gateway.clock_fast', fastMs]]);
    // noon in Chicago and no later, although the device says evening
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 3 * 180 });
    const { items } = await gateway.client.read('/v1/gateways/me/verdicts');
    const shown = items.map((v: { verdict: string; at: string }) => [v.verdict, v.at]);
    // one stretch, at the device's time put right
    expect(shown[0]).toEqual(['baseline', text(real[0] as number)]);
    expect(shown.slice(1)).toEqual([['clock_suspect', text(real[1] as number)]]);
    // the raw time is never rewritten: the same post again is a duplicate
    expect(await gateway.one(post, deviceTime(startMs + fastMs))).toMatchObject({ duplicate: 3 });
    expect(await facts(gateway)).toEqual([fastMs]);

    app.clock.set(startMs + hourMs);
    await gateway.heartbeat(deviceTime(startMs + hourMs + fastMs + 29_000));
    expect(await facts(gateway)).toEqual([fastMs]);

    app.clock.set(startMs + 2 * hourMs);
    await gateway.heartbeat();
    expect(await facts(gateway)).toEqual([fastMs]);
    await gateway.one(run(3, [startMs + 2 * hourMs, 20]), {
      'device-time': text(startMs + 2 * hourMs),
    });
    expect(await facts(gateway)).toEqual([fastMs, 0]);
    expect(await told(gateway)).toEqual([
      ['gateway.clock_fast', fastMs],
      ['gateway.clock_right', 0],
    ]);
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 10 * 180 });
    await gateway.heartbeat(deviceTime(startMs + 2 * hourMs));
    expect(await facts(gateway)).toEqual([fastMs, 0]);
  });

  test('two minutes ahead prove nothing, and behind proves nothing', async () => {
    app.clock.set(startMs);
    const { gateway } = await fleet.truck({});
    await gateway.one(run(0, [startMs - tickMs, 1]), deviceTime(startMs + 120_000));
    await gateway.one(run(1, [startMs, 2]), deviceTime(startMs - 30 * 24 * hourMs));
    expect(await facts(gateway)).toEqual([]);
    await gateway.heartbeat(deviceTime(startMs + 120_001));
    expect(await facts(gateway)).toEqual([120_001]);
  });

  test('readings ahead of us at the end of a post prove it by themselves', async () => {
    app.clock.set(startMs);
    const { gateway, liftId } = await fleet.truck({});
    const ahead = startMs + 10 * 24 * hourMs;
    await gateway.one(run(0, [startMs - 2 * tickMs, 1], [startMs - tickMs, 2], [ahead, 3]));
    expect(await facts(gateway)).toEqual([ahead - startMs]);
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ '2026-03-02': 2 * 180 });
  });

  test.each(['yesterday', '-5', '2026-03-02', '999999999999999', '1e12'])(
    'a header that is no time is refused: %s',
    async (value) => {
      app.clock.set(startMs);
      const { gateway } = await fleet.truck({});
      const body = { streams: [] };
      const answer = await gateway.client.post('/v1/readings', body, { 'device-time': value });
      expect([answer.status, answer.code]).toEqual([400, 'header_invalid']);
    },
  );
});
