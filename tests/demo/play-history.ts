import { pino } from 'pino';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Liftwright } from '../../openapi/client.ts';
import { planUnits, serialOf } from '../../src/demo/company.ts';
import { defects } from '../../src/demo/defects.ts';
import { type KeptAlive, keepAlive } from '../../src/demo/keep-alive.ts';
import { type HistoryWindow, windowBefore } from '../../src/demo/moments.ts';
import { readReadiness } from '../../src/demo/month/readiness-text.ts';
import { type PostedHistory, postHistory } from '../../src/demo/post-history.ts';
import { readBringIn, readEvents, readUse } from '../../src/demo/read-back.ts';
import { findDefects } from '../../src/demo/seen.ts';
import { idOf } from '../../src/demo/settle-in.ts';
import { WarpedClock } from '../../src/demo/warped-clock.ts';
import { checkChain, firstHash } from '../../src/domain/events/event-chain.ts';
import { addDays } from '../../src/domain/usage/local-day.ts';
import { keepHouse } from '../../src/flows/sweep.ts';
import { createLifecycle } from '../../src/lifecycle.ts';
import { type Service, startService } from '../../src/service.ts';
import { useDatabase } from '../helpers/db.ts';

interface Played {
  service: Service;
  api: Liftwright;
  connection: KeptAlive;
  key: string;
  posted: PostedHistory;
}

async function play(databaseUrl: string, window: HistoryWindow, seed: string): Promise<Played> {
  const log = pino({ level: 'silent' });
  const clock = new WarpedClock(window.startMs);
  const service = await startService({
    restMs: 1_500,
    config: {
      port: 0,
      host: '127.0.0.1',
      dataDir: '/nowhere',
      databaseUrl,
      redisUrl: null,
      adminKey: null,
      groupPosts: true,
      readingsKeepMonths: null,
      limits: { gateway: 0, people: 0, integrator: 0 },
      logLevel: 'silent',
      role: 'all',
    },
    log,
    clock,
    lifecycle: createLifecycle({ log, exit: () => undefined }),
  });
  const connection = keepAlive(service.url as string);
  const api = new Liftwright(connection.send);
  const key = service.adminKey as string;
  const posted = await postHistory({
    api,
    adminKey: key,
    clock,
    window,
    seed,
    drain: async () => expect(await service.drain(600_000)).toBe(true),
    keepHouse: async () => {
      await keepHouse(service.deps);
    },
  });
  return { service, api, connection, key, posted };
}

/**
 * Use as the service and as the truth have it, by meter; the service's without what it never
 * had.
 */
async function compareUse({ api, key, posted }: Played, serial: string, withDays: boolean) {
  const { window, truth, directory } = posted;
  const days = { from: window.firstDay, to: addDays(window.firstDay, window.days + 2) };
  const told: Record<string, unknown> = {};
  const true_: Record<string, unknown> = {};
  for (const { asset, meter } of truth.known()) {
    if (asset !== serial) continue;
    const use = await readUse(api, key, idOf(directory.assets, serial), meter, days);
    const shown = Object.fromEntries((use?.days ?? []).map(({ day, grains }) => [day, grains]));
    told[meter] = { total: use?.totalGrains, days: withDays ? shown : null };
    const trueDays = Object.fromEntries(truth.days(serial, meter));
    true_[meter] = { total: truth.total(serial, meter), days: withDays ? trueDays : null };
  }
  return { told, true_ };
}

/** Registers the tests of a history that ends at an instant; each reads from one played history. */
export function testHistory(endMs: number, days: number, seed: string, mostMs: number): void {
  const database = useDatabase();
  const window = windowBefore(endMs, days);
  const numbers = planUnits(seed, days).map(({ number }) => number);
  const fastClocks = defects.filter(({ kind }) => kind === 'fast_clock').map(({ unit }) => unit);
  let played: Played;

  beforeAll(async () => {
    played = await play(database.ownerUrl, window, seed);
  }, mostMs);

  afterAll(async () => {
    played?.connection.close();
    await played?.service.stop();
  });

  test.each(numbers)(
    'unit %s: totals are the truth to the tick, and so are honest days',
    {
      timeout: 60_000,
    },
    async (number) => {
      for (const kind of ['lift', 'chassis'] as const) {
        const honest = !fastClocks.includes(number);
        const { told, true_ } = await compareUse(played, serialOf(number, kind), honest);
        expect(Object.keys(true_).length).toBeGreaterThan(0);
        expect(told).toEqual(true_);
      }
    },
  );

  test('every reading of a gateway that talks is settled, none was refused', () => {
    for (const { unit, silent, device } of played.posted.units) {
      const { tally } = played.posted.senders.get(unit.number)!;
      expect(tally.refused, unit.number).toBe(0);
      expect(tally.readings, unit.number).toBeGreaterThan(100);
      if (!silent) expect(device.waiting(), unit.number).toEqual([]);
    }
  });

  test('every planted defect is seen', { timeout: 120_000 }, async () => {
    const findings = await findDefects(played.api, played.key, played.posted);
    expect(findings).toHaveLength(defects.length);
    expect(findings.filter(({ seen }) => !seen)).toEqual([]);
  });

  test('only the silent gateway is called so, and no sound switch is suspect', async () => {
    const { api, key, posted } = played;
    const found = async (state: 'silent' | 'suspect') =>
      (await api.getGateways({ state }, { key })).items.map((each) => each.gatewayId);
    const silent = posted.units.filter((each) => each.silent).map(({ unit }) => unit.number);
    const gateways = posted.directory.everyGateway.filter(({ unit }) => silent.includes(unit));
    expect(await found('silent')).toEqual(gateways.map(({ gatewayId }) => gatewayId));
    expect(await found('suspect')).toEqual([]);
  });

  test('the bring-in list has every unit once, in order, with reasons', async () => {
    const list = await readBringIn(played.api, played.key);
    expect(list.map(({ number }) => number).sort()).toEqual(numbers);
    const order = list.map(({ rank, pressOn }) => `${rank} ${pressOn ?? '9999'}`);
    expect(order).toEqual([...order].sort());
    for (const unit of list) expect(unit.reasons.length, unit.number).toBeGreaterThan(0);
    const statuses = new Set(list.map(({ status }) => status));
    expect([...statuses].sort()).toEqual(['ahead', 'in_window', 'overrun', 'unknown']);
  });

  test('the deferral holds its task back', async () => {
    const { directory } = played.posted;
    const unitId = idOf(directory.units, '32');
    const { tasks } = await played.api.getUnitTasks(unitId, { key: played.key });
    const deferred = tasks.filter(({ deferral }) => deferral !== null);
    expect(deferred).toMatchObject([{ task: 'grease_joints', deferral: { state: 'active' } }]);
  });

  test('dispatch is answered by what stands then, and each answer rests on an event', async () => {
    const { asked } = played.posted;
    const of = (unit: string) => asked.filter((each) => each.unit === unit);
    expect(of('38').at(-1)?.answer).not.toBe('yes');
    expect(of('37').at(-1)?.answer).toBe('no');
    // With the car on: only to finish; then no, while the hose is off no, and with a new one again.
    const night = of('34').map(({ answer }) => answer);
    expect(night[0]).not.toBe('yes');
    expect(night.slice(1)).toEqual(['no', 'no', 'yes', 'no']);
    expect(of('36').map(({ answer }) => answer)).toEqual(['no', 'yes']);
    const events = asked.map(({ event }) => event);
    expect(events).toEqual([...events].sort((a, b) => a - b));
    expect(Math.min(...events)).toBeGreaterThan(0);
  });

  test('readiness has every unit, and says who took away what', async () => {
    const units = await readReadiness(played.api, played.key);
    expect(units.map(({ number }) => number).sort()).toEqual(numbers);
    const reasonsOf = (number: string) =>
      units.find((unit) => unit.number === number)?.functions.flatMap(({ reasons }) => reasons) ??
      [];
    expect(reasonsOf('38')).toContainEqual(
      expect.objectContaining({ what: 'stop', kind: 'restriction', whoCanClear: 'dispatch' }),
    );
    expect(reasonsOf('35')).toContainEqual(
      expect.objectContaining({ what: 'stop', kind: 'officer', through: 'road' }),
    );
  });

  test('cards are signed, and lift-critical work was checked by a second person', async () => {
    const { api, key } = played;
    const { items } = await api.getJobCards({ limit: 100 }, { key });
    const signed = items.filter(({ state }) => state === 'signed_off');
    expect(signed.length).toBeGreaterThanOrEqual(4);
    let checked = 0;
    let vouched = 0;
    for (const { cardId } of signed) {
      const { steps, sealHolds, lacking } = await api.getJobCard(cardId, { key });
      expect([sealHolds, lacking]).toEqual([true, []]);
      for (const step of steps.filter(({ needsCheck }) => needsCheck)) {
        expect(step.checked).toBe('check');
        checked += 1;
      }
      vouched += steps.filter(({ countersigned }) => countersigned).length;
    }
    expect(checked).toBeGreaterThan(5);
    expect(vouched).toBeGreaterThan(5);
  });

  test('what wears has its life on record, and the tension that was taken up', async () => {
    const { api, key, posted } = played;
    const lift = idOf(posted.directory.assets, serialOf('36', 'lift'));
    const { items: lives } = await api.getAssetPartLives(lift, {}, { key });
    expect(lives).toMatchObject([{ part: 'pivot_washer', state: 'fitted', lot: 'W-2207' }]);
    expect(lives[0]?.use.find(({ meter }) => meter === 'lift_cycles')?.value).toBeGreaterThan(10);
    const { items: takeUps } = await api.getAssetTakeUps(lift, {}, { key });
    expect(takeUps).toMatchObject([{ turns: 0.5, gapBefore: 0.95, gapAfter: 0.35 }]);
  });

  test('drivers are told what came of what they told', async () => {
    const { api, key } = played;
    const { items } = await api.getSymptoms({ limit: 100 }, { key });
    const states = items.map(({ symptom, state }) => `${symptom} ${state}`).sort();
    expect(states).toEqual([
      'creeps_down_loaded mended',
      'creeps_down_loaded unnecessary',
      'play_at_crossbar mended',
    ]);
    const again = items.find(({ state }) => state === 'unnecessary');
    const first = items.find(({ symptom }) => symptom === 'creeps_down_loaded');
    expect(again?.cameBackOf ?? first?.cameBackOf).not.toBeNull();
    const { items: rounds } = await api.getWalkRounds({ limit: 100 }, { key });
    expect(rounds).toHaveLength(3);
    expect(rounds.flatMap(({ defects }) => defects)).toMatchObject([
      { item: 'lighting', certified: { how: 'repaired' } },
    ]);
    expect(rounds.filter(({ waitsFor }) => waitsFor !== null)).toEqual([]);
  });

  test('visits are agreed, and the list shows them', async () => {
    const list = await readBringIn(played.api, played.key);
    const coming = list.filter(({ visit }) => visit !== null).map(({ number }) => number);
    expect(coming.sort()).toEqual(['18', '37']);
  });

  test('events are numbered without gaps and their hashes chain', {
    timeout: 120_000,
  }, async () => {
    const events = await readEvents(played.api, played.key);
    expect(events.length).toBeGreaterThan(500);
    const chained = events.map((event) => ({
      number: event.number,
      type: event.type,
      subject: event.subject,
      data: event.data,
      personalDigest: event.personalDigest,
      occurredAt: event.occurredAt,
      recordedAt: event.recordedAt,
      hash: Buffer.from(event.hash, 'hex'),
    }));
    expect(checkChain({ number: 0, hash: firstHash }, chained)).toBeNull();
  });
}
