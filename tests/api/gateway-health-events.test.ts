import { beforeAll, describe, expect, test } from 'vitest';
import { allowedSilenceMs } from '../../src/domain/usage/gateway-habit.ts';
import { sweep } from '../../src/flows/sweep.ts';
import { watchGateway, watchGateways } from '../../src/flows/watch-gateway.ts';
import { withWork } from '../../src/flows/work.ts';
import { waitingWork } from '../../src/store/sweep.ts';
import { randomFrom } from '../crash/truth.ts';
import { useApp } from '../helpers/app.ts';
import {
  dayMs,
  FleetBuilder,
  type Gateway,
  hourMs,
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

const silences = async (gateway: Gateway) => {
  const told = await fleet.events({ subject: `gateway/${gateway.id}` });
  return told.filter((event) => /silen|heard/.test(event.type));
};
const types = async (gateway: Gateway) => (await silences(gateway)).map((event) => event.type);
const checkAt = async (gateway: Gateway) => {
  const { rows } = await app.db.owner.query(
    `select (extract(epoch from check_at) * 1000)::float8 as ms from liftwright.gateway_health
     where gateway_id = $1`,
    [gateway.id],
  );
  return rows[0].ms as number | null;
};
const inState = async (state: string) =>
  (await fleet.client.all(`/v1/gateways?state=${state}`)).map((row) => row.gatewayId);

async function heardAtStart(): Promise<Truck> {
  await app.settleAt(startMs);
  const truck = await fleet.truck({ counters: [ptoCounter] });
  await truck.gateway.one(run(0, [startMs - tickMs, 0], [startMs, 1]));
  await app.settle();
  return truck;
}

describe('a silence', () => {
  test('is told once, and its end once', async () => {
    const { gateway, unitId } = await heardAtStart();
    expect(await types(gateway)).toEqual([]);
    await app.settleAt(startMs + 26 * hourMs - 1);
    expect(await types(gateway)).toEqual([]);
    expect(await inState('silent')).not.toContain(gateway.id);
    await app.settleAt(startMs + 26 * hourMs);
    await app.settleAt(startMs + 90 * hourMs);
    const [silent, ...more] = await silences(gateway);
    expect(more).toEqual([]);
    expect(silent).toMatchObject({
      type: 'gateway.silent',
      occurredAt: text(startMs + 26 * hourMs),
      data: { unitId, since: text(startMs), reason: 'Nothing since 2026-03-02 12:00.' },
    });
    expect(await inState('silent')).toContain(gateway.id);
    // readings are a sign of life, in the plain way of storing them too
    await gateway.one(run(2, [startMs + 90 * hourMs, 2]));
    await app.settle();
    const [, heard, ...others] = await silences(gateway);
    expect(others).toEqual([]);
    expect(heard).toMatchObject({
      type: 'gateway.heard_again',
      data: { silentSince: text(startMs), lastPostAt: text(startMs + 90 * hourMs) },
    });
    expect(await inState('silent')).not.toContain(gateway.id);
    await app.settleAt(startMs + 91 * hourMs);
    expect(await types(gateway)).toEqual(['gateway.silent', 'gateway.heard_again']);
  });

  test('a parked truck with heartbeats is not silent', async () => {
    const { gateway } = await heardAtStart();
    for (let day = 1; day <= 30; day += 1) {
      await app.settleAt(startMs + day * dayMs);
      await gateway.heartbeat();
      await app.settle();
    }
    expect(await types(gateway)).toEqual([]);
  });

  test('costs nothing while it lasts, and little while there is none', async () => {
    const { gateway } = await heardAtStart();
    const first = await checkAt(gateway);
    expect(first).toBe(startMs + dayMs);
    // posts do not touch the row of its health
    for (let hour = 1; hour < 24; hour += 1) {
      await app.goTo(startMs + hour * hourMs);
      await gateway.heartbeat();
    }
    expect(await checkAt(gateway)).toBe(first);
    await app.settleAt(startMs + dayMs);
    // heard since: another day
    expect(await checkAt(gateway)).toBe(startMs + 2 * dayMs);
    await app.settleAt(startMs + 2 * dayMs);
    // not heard since: when its silence would be told
    expect(await checkAt(gateway)).toBe(startMs + 23 * hourMs + 26 * hourMs);
    await app.settleAt(startMs + 3 * dayMs);
    expect(await types(gateway)).toEqual(['gateway.silent']);
    expect(await checkAt(gateway)).toBe(null);
  });

  test('two workers at once, and a check that is doubled, tell it once', async () => {
    const { gateway } = await heardAtStart();
    await app.goTo(startMs + 26 * hourMs);
    const check = () => withWork(app.deps, 1, (work) => watchGateway(work, gateway.id));
    const done = await Promise.all([check(), check(), check(), check()]);
    expect(done.filter(Boolean)).toHaveLength(1);
    expect(await check()).toBe(false);
    await app.settle();
    expect(await types(gateway)).toEqual(['gateway.silent']);
  });

  test('a check that fails leaves nothing, and is made again', async () => {
    const { gateway } = await heardAtStart();
    await app.goTo(startMs + 26 * hourMs);
    const failing = withWork(app.deps, 1, async (work) => {
      expect(await watchGateway(work, gateway.id)).toBe(true);
      throw new Error('power cut');
    });
    await expect(failing).rejects.toThrow('power cut');
    expect(await types(gateway)).toEqual([]);
    await app.settle();
    expect(await types(gateway)).toEqual(['gateway.silent']);
  });

  test('a post while it is looked at waits for that, and is seen after it', async () => {
    const { gateway } = await heardAtStart();
    await app.goTo(startMs + 26 * hourMs);
    let posted: Promise<unknown> = Promise.resolve();
    await withWork(app.deps, 1, async (work) => {
      await watchGateway(work, gateway.id);
      posted = gateway.one(run(2, [startMs + 26 * hourMs, 2]));
      // until the post waits for the row that is held here
      for (let tries = 0; tries < 500; tries += 1) {
        const { rows } = await app.db.owner.query(
          `select 1 from pg_stat_activity where wait_event_type = 'Lock'
             and datname = current_database()`,
        );
        if (rows.length > 0) return;
        await new Promise((done) => setTimeout(done, 10));
      }
      throw new Error('the post did not wait');
    });
    await posted;
    await app.settle();
    expect(await types(gateway)).toEqual(['gateway.silent', 'gateway.heard_again']);
  });

  test('is dropped when the gateway is taken off, and told when it is put on', async () => {
    const { gateway, unitId } = await heardAtStart();
    await app.settleAt(startMs + 30 * hourMs);
    expect(await types(gateway)).toEqual(['gateway.silent']);
    const installs = await fleet.client.all('/v1/installs');
    const { installId } = installs.find((each) => each.gatewayId === gateway.id);
    await fleet.client.made(`/v1/installs/${installId}/end`, { at: text(startMs + 29 * hourMs) });
    await app.settle();
    expect(await types(gateway)).toEqual(['gateway.silent', 'gateway.silence_dropped']);
    expect(await inState('silent')).not.toContain(gateway.id);
    await app.settleAt(startMs + 60 * hourMs);
    await fleet.install(unitId, { gatewayId: gateway.id }, startMs + 60 * hourMs);
    await app.settle();
    expect((await types(gateway)).slice(2)).toEqual(['gateway.silent']);
    // a withdrawn install never was
    const again = await fleet.client.all('/v1/installs');
    const last = again.find((each) => each.gatewayId === gateway.id && each.to === null);
    await fleet.client.made(`/v1/installs/${last.installId}/withdraw`, { reason: 'wrong unit' });
    await app.settle();
    expect((await types(gateway)).slice(3)).toEqual(['gateway.silence_dropped']);
  });

  test('a service that was away for days tells the silence of then and of now', async () => {
    const { gateway } = await heardAtStart();
    await app.settleAt(startMs + 26 * hourMs);
    await app.goTo(startMs + 50 * hourMs);
    await gateway.heartbeat();
    // a gap of 50 hours allows 75
    await app.settleAt(startMs + 125 * hourMs);
    const told = await types(gateway);
    expect(told).toEqual(['gateway.silent', 'gateway.heard_again', 'gateway.silent']);
  });
});

test.each([1, 2, 3])(
  'whatever it does, every silence and every end is told once (%i)',
  async (seed) => {
    const { gateway } = await heardAtStart();
    const random = randomFrom(seed);
    const expected: string[] = [];
    let [lastMs, habitMs, nowMs] = [startMs, 0, startMs];
    let since: number | null = null;
    for (let step = 0; step < 50; step += 1) {
      const isAway = random() < 0.2;
      nowMs += Math.ceil(random() * (isAway ? 400 : 15)) * hourMs;
      await app.goTo(nowMs);
      const posts = random() < (isAway ? 0.3 : 0.8);
      if (posts) {
        await (random() < 0.5
          ? gateway.heartbeat()
          : gateway.one(run(2 + step, [nowMs, 2 + step])));
        const gapMs = nowMs - lastMs;
        habitMs = Math.max(gapMs, Math.trunc(habitMs * Math.exp(-gapMs / (30 * dayMs))));
        lastMs = nowMs;
      }
      if (random() < 0.3) continue;
      await app.settle();
      const isSilent = nowMs >= lastMs + allowedSilenceMs(habitMs);
      if (since !== null && since !== lastMs) expected.push('gateway.heard_again');
      if (isSilent && since !== lastMs) expected.push('gateway.silent');
      since = isSilent ? lastMs : null;
      expect(await types(gateway)).toEqual(expected);
    }
    expect(expected.length).toBeGreaterThan(1);
  },
);

describe('the sweep', () => {
  test('finds what is due, and a shard works only on its own', async () => {
    const { gateway } = await heardAtStart();
    await app.goTo(startMs + 40 * dayMs);
    const { watch } = await waitingWork(app.db.pools.scheduler, startMs + 40 * dayMs);
    const { rows } = await app.db.owner.query(
      'select shard from liftwright.gateway_health where gateway_id = $1',
      [gateway.id],
    );
    const { shard } = rows[0];
    expect(watch).toContain(shard);
    app.queue.calls.clear();
    await sweep(app.deps);
    expect(app.queue.calls).toContain(`watch ${shard}`);
    expect(await watchGateways(app.deps, (shard + 1) % 64, AbortSignal.abort())).toBe(0);
    expect(await watchGateways(app.deps, shard)).toBeGreaterThan(0);
    expect(await watchGateways(app.deps, shard)).toBe(0);
    await app.settle();
    expect(await types(gateway)).toEqual(['gateway.silent']);
  });
});

describe('the list of gateways', () => {
  test.each([
    ['a number with two values', [run(1, [startMs + tickMs, 2])], 1, 'first_stands'],
    ['a jump set aside', [run(2, [startMs + tickMs, 9_000])], 2, 'does_not_count'],
    [
      'a jump that was gone on from',
      [2, 3, 4].map((n) => run(n, [startMs + (n - 1) * tickMs, 9_000 + n])),
      2,
      'does_not_count',
    ],
  ])('%s waits until it is decided', async (_, posts, seq, decision) => {
    const { gateway } = await heardAtStart();
    await app.goTo(startMs + hourMs);
    for (const post of posts) await gateway.one(post);
    await app.settle();
    const stands = async () => {
      const { states, reasons } = await fleet.client.read(`/v1/gateways/${gateway.id}/health`);
      const listed = (await inState('waiting_decision')).includes(gateway.id);
      const questions = await fleet.client.all(`/v1/gateways/${gateway.id}/open-questions`);
      return [states.length, reasons.length, Number(listed), questions.length];
    };
    expect(await stands()).toEqual([1, 1, 1, 1]);
    await fleet.client.made(`/v1/gateways/${gateway.id}/decisions`, {
      ...{ counter: 'pto_hours', epoch: 0, seq, decision },
      ...{ name: 'B. Quill', reason: 'looked at it' },
    });
    await app.settle();
    expect(await stands()).toEqual([0, 0, 0, 0]);
  });

  test('finds those where a person must decide', async () => {
    const { gateway } = await heardAtStart();
    const mine = async () => (await inState('waiting_decision')).includes(gateway.id);
    expect(await mine()).toBe(false);
    // sent again with another value
    await gateway.one(run(1, [startMs, 2]));
    expect(await mine()).toBe(true);
    const jumping = (await heardAtStart()).gateway;
    await app.goTo(startMs + hourMs);
    await jumping.one(run(2, [startMs + tickMs, 9_000], [startMs + 2 * tickMs, 9_001]));
    await app.settle();
    expect(await inState('waiting_decision')).toContain(jumping.id);
    await jumping.one(run(4, [startMs + 3 * tickMs, 9_002]));
    await app.settle();
    expect(await inState('waiting_decision')).toContain(jumping.id);
    const all = await fleet.client.all('/v1/gateways');
    const row = all.find((each) => each.gatewayId === jumping.id);
    expect(row.states).toEqual(['waiting_decision']);
    const whole = await fleet.client.all('/v1/gateways?state=waiting_decision');
    expect(await fleet.client.all('/v1/gateways?state=waiting_decision', 1)).toEqual(whole);
    expect((await fleet.client.get('/v1/gateways?state=sick')).code).toBe('query_invalid');
  });
});
