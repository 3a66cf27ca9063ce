import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, liftCounter, ptoCounter, run, startMs, tickMs } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const at = (tick: number) => startMs - 10 * 3_600_000 + tick * tickMs;
const day = '2026-03-02';

describe('epochs', () => {
  test.each<[string, number, number, string[]]>([
    // the counter goes on from 104: 3 ticks more
    ['sequence_lost', 107, 4 + 3, ['0 carried']],
    // declared: 0 to 7 are use, on top of the 4 before
    ['counter_reset', 7, 4 + 7, ['0 reset']],
    // another controller: its 900 are not ours
    ['controller_replaced', 900, 4, []],
  ])('%s', async (cause, raw, ticks, verdicts) => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(run(0, [at(0), 100], [at(4), 104]));
    const epoch = await gateway.epoch(cause);
    expect(epoch).toBe(1);
    // its numbers start again; the stream before stays as it is
    expect(await gateway.one({ epoch, ...run(0, [at(20), raw]) })).toMatchObject({
      epoch: 1,
      contiguous: 0,
      accepted: 1,
    });
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ [day]: ticks * 180 });
    expect(await gateway.verdicts()).toEqual(verdicts);
    await gateway.one({ epoch, ...run(1, [at(22), raw + 2]) });
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ [day]: (ticks + 2) * 180 });
    const { counters } = await gateway.client.read('/v1/gateways/me/counters');
    expect(counters[0].epochs).toEqual([
      { epoch: 0, cause: 'first', contiguous: 1, highest: 1 },
      { epoch: 1, cause, contiguous: 1, highest: 1 },
    ]);
  });

  test('readings of the old epoch that come late are counted where they belong', async () => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(run(0, [at(0), 100]));
    const epoch = await gateway.epoch('counter_reset');
    await gateway.one({ epoch, ...run(0, [at(20), 5]) });
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ [day]: 5 * 180 });
    await gateway.one(run(1, [at(6), 106]));
    await app.settle();
    expect(await fleet.days(liftId)).toEqual({ [day]: (6 + 5) * 180 });
  });

  test('an epoch without readings hands its cause on', async () => {
    const { gateway, liftId } = await fleet.truck({});
    await gateway.one(run(0, [at(0), 100], [at(4), 104]));
    await gateway.epoch('controller_replaced');
    const epoch = await gateway.epoch('sequence_lost');
    await gateway.one({ epoch, ...run(0, [at(20), 107]) });
    await app.settle();
    // 104 to 107 looks like three ticks, but the controller in between was another
    expect(await fleet.days(liftId)).toEqual({ [day]: 4 * 180 });
  });

  test('epochs are the counter’s own, in order, and told', async () => {
    const gateway = await fleet.gateway(ptoCounter, liftCounter);
    expect(await gateway.epoch('sequence_lost')).toBe(1);
    expect(await gateway.epoch('sequence_lost')).toBe(2);
    expect(await gateway.epoch('counter_reset', 'lifts')).toBe(1);
    await app.settle();
    const subject = `gateway/${gateway.id}`;
    const events = await fleet.events({ type: 'counter.epoch_issued', subject });
    expect(events.map(({ data }) => [data.counter, data.epoch])).toEqual([
      ['pto_hours', 1],
      ['pto_hours', 2],
      ['lifts', 1],
    ]);
  });

  test('asked for at once, every caller gets a number of its own', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const epochs = await Promise.all(
      Array.from({ length: 8 }, () => gateway.epoch('sequence_lost')),
    );
    expect(epochs.sort()).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
  });

  test('a counter that is not declared has none', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const body = { counter: 'tea', cause: 'sequence_lost' };
    const answer = await gateway.client.post('/v1/gateways/me/epochs', body);
    expect([answer.status, answer.code]).toEqual([404, 'not_found']);
  });
});

describe('declaring counters', () => {
  test('the same again changes nothing; otherwise it is refused as a whole', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const first = await gateway.client.read('/v1/gateways/me/counters');
    expect(await gateway.declare(ptoCounter)).toEqual(first);
    const otherwise = { counters: [liftCounter, { ...ptoCounter, resolution: 0.1 }] };
    const refused = await gateway.client.post('/v1/gateways/me/counters', otherwise);
    expect([refused.status, refused.code]).toEqual([409, 'counter_declared_otherwise']);
    expect(await gateway.client.read('/v1/gateways/me/counters')).toEqual(first);
  });

  test.each([
    ['a meter that there is not', { meter: 'airtime' }, 422, 'meter_unknown'],
    ['a tick of less than a second', { resolution: 0.0001 }, 422, 'resolution_invalid'],
    ['half a cycle', { meter: 'lift_cycles', resolution: 0.5 }, 422, 'resolution_invalid'],
    ['a tick of nothing', { resolution: 0 }, 400, 'body_invalid'],
    ['a controller without its scope', { controller: 'C1' }, 400, 'body_invalid'],
    ['a scope without its controller', { scope: 'controller' }, 400, 'body_invalid'],
  ])('%s is refused', async (_, changes, status, code) => {
    const gateway = await fleet.gateway();
    const body = { counters: [{ ...ptoCounter, ...changes }] };
    const answer = await gateway.client.post('/v1/gateways/me/counters', body);
    expect([answer.status, answer.code]).toEqual([status, code]);
    expect(await gateway.client.read('/v1/gateways/me/counters')).toEqual({ counters: [] });
  });

  test('64 counters, and no more', async () => {
    const gateway = await fleet.gateway();
    const many = Array.from({ length: 64 }, (_, i) => ({ ...ptoCounter, counter: `c${i}` }));
    expect((await gateway.declare(...many)).counters).toHaveLength(64);
    const answer = await gateway.client.post('/v1/gateways/me/counters', {
      counters: [ptoCounter],
    });
    expect([answer.status, answer.code]).toEqual([409, 'counter_declared_otherwise']);
  });
});
