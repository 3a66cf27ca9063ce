import { beforeAll, describe, expect, test } from 'vitest';
import type { Actor } from '../../src/flows/actor.ts';
import {
  closeFinding,
  type NewFinding,
  type RecordedFinding,
  recordFinding,
} from '../../src/flows/record-finding.ts';
import { type NewStop, setStop } from '../../src/flows/set-stop.ts';
import { withWork } from '../../src/flows/work.ts';
import { listFindingReports } from '../../src/store/finding.ts';
import { listStopActs, listStops, type StopRow } from '../../src/store/stop.ts';
import { useApp } from '../helpers/app.ts';
import {
  FleetBuilder,
  greaseTask,
  patternOf,
  point,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
let truck: Truck;
const by: Actor = {
  personId: null,
  keyId: '01900000-0000-7000-8000-000000000001',
  name: 'the night desk',
};

beforeAll(async () => {
  fleet = new FleetBuilder(app);
  const document = {
    ...patternOf(greaseTask),
    servicePoints: [
      point,
      { ...point, key: 'fold_pin', kind: 'pin', serves: ['road', 'wheel_lift'] },
    ],
  };
  patternId = (await fleet.client.made('/v1/patterns', { document })).patternId;
});

const newTruck = async () => {
  truck = await fleet.truck({ patternId });
};

const record = (more: Partial<NewFinding> = {}): Promise<RecordedFinding> =>
  withWork(app.deps, 1, (work) =>
    recordFinding(work, by, {
      unitId: truck.unitId,
      assetId: truck.liftId,
      pointKey: 'fold_pin',
      part: null,
      grade: 'keep_watch',
      words: 'a little play',
      mendByDay: null,
      mendByUse: null,
      source: { kind: 'person', id: null },
      ...more,
    }),
  );

const set = (more: Partial<NewStop> = {}, actor = by): Promise<StopRow> =>
  withWork(app.deps, 1, (work) =>
    setStop(work, actor, {
      unitId: truck.unitId,
      assetId: null,
      kind: 'defect',
      functions: ['winch'],
      effect: 'no',
      limits: {},
      effective: 'at_once',
      reason: 'the rope is crushed',
      cause: null,
      untilMs: null,
      findingId: null,
      ...more,
    }),
  );

const close = (findingId: string, how: 'mended' | 'withdrawn' = 'mended') =>
  withWork(app.deps, 1, (work) =>
    closeFinding(work, by, { findingId, how, cardId: null, words: 'new pin fitted' }),
  );

const stops = (open?: boolean) =>
  withWork(app.deps, 1, (work) =>
    listStops(work.tx, 1, { unitId: truck.unitId, atMs: startMs, open }, null, 50),
  );

const eventsOfUnit = async () => {
  await app.settle();
  const events = await fleet.events({ subject: `unit/${truck.unitId}` });
  return events.filter((event) => /^(stop|finding)\./.test(event.type));
};

describe('a finding', () => {
  test('is kept with what its place serves, and told as an event', async () => {
    await newTruck();
    const { finding, stop, joined } = await record();
    expect(finding).toMatchObject({
      grade: 'keep_watch',
      functions: ['road', 'wheel_lift'],
      reports: 1,
      closedAtMs: null,
    });
    expect([stop, joined]).toEqual([null, false]);
    expect(await eventsOfUnit()).toMatchObject([
      {
        type: 'finding.recorded',
        data: { findingId: finding.findingId, point: 'fold_pin', grade: 'keep_watch' },
        personal: { by: 'the night desk', words: 'a little play' },
      },
    ]);
  });

  test('told again joins the open one, and the worse grade stands', async () => {
    await newTruck();
    const first = await record();
    const again = await record({ words: 'still there', source: { kind: 'symptom', id: 's1' } });
    expect([again.joined, again.finding.findingId]).toEqual([true, first.finding.findingId]);
    const worse = await record({ grade: 'unfit', words: 'the pin is cracked' });
    expect(worse.finding).toMatchObject({
      grade: 'unfit',
      reports: 3,
      words: 'the pin is cracked',
    });
    expect(worse.stop).toMatchObject({
      kind: 'defect',
      state: 'standing',
      functions: ['wheel_lift', 'road'],
      findingId: first.finding.findingId,
    });
    const milder = await record({ grade: 'keep_watch', words: 'looks fine to me' });
    expect(milder.finding).toMatchObject({ grade: 'unfit', reports: 4 });
    expect(milder.stop).toBeNull();
    expect(await stops(true)).toHaveLength(1);
    const told = await withWork(app.deps, 1, (work) =>
      listFindingReports(work.tx, 1, first.finding.findingId, null, 50),
    );
    expect(told.map((each) => `${each.grade} ${each.source}`)).toEqual([
      'keep_watch person',
      'keep_watch symptom',
      'unfit person',
      'keep_watch person',
    ]);
  });

  test('told by two at once is one', async () => {
    await newTruck();
    const both = await Promise.all([
      record({ grade: 'unfit', words: 'left phone' }),
      record({ grade: 'unfit', words: 'right phone' }),
    ]);
    expect(new Set(both.map((each) => each.finding.findingId)).size).toBe(1);
    expect(both.map((each) => each.joined).sort()).toEqual([false, true]);
    expect(await stops(true)).toHaveLength(1);
  });

  test('of another place, or of no named place, is another', async () => {
    await newTruck();
    const ids = new Set<string>();
    for (const place of [
      {},
      { part: 'cotter' },
      { pointKey: 'crossbar_pivot' },
      { pointKey: null },
      { pointKey: null },
      { assetId: null },
    ]) {
      ids.add((await record(place)).finding.findingId);
    }
    expect(ids.size).toBe(6);
  });

  test('that is sound is closed as it is found, and closes no other', async () => {
    await newTruck();
    const open = await record();
    const sound = await record({ grade: 'sound', words: '' });
    expect(sound.finding).toMatchObject({ closedHow: 'sound', closedAtMs: startMs });
    expect(sound.finding.findingId).not.toBe(open.finding.findingId);
    expect((await record()).finding.findingId).toBe(open.finding.findingId);
  });

  test('is mended by a day or use, the stricter one when told twice', async () => {
    await newTruck();
    await expect(record({ grade: 'mend_by' })).rejects.toMatchObject({
      code: 'finding_impossible',
    });
    await record({ grade: 'mend_by', mendByDay: '2026-03-20' });
    const both = await record({
      grade: 'mend_by',
      mendByDay: '2026-03-10',
      mendByUse: { pto_hours: 18_000 },
    });
    expect(both.finding).toMatchObject({
      reports: 2,
      mendByDay: '2026-03-10',
      mendByUse: { pto_hours: 18_000 },
    });
  });

  test('that is closed takes its stop with it; told again it is a new one', async () => {
    await newTruck();
    const { finding, stop } = await record({ grade: 'unfit' });
    expect(await close(finding.findingId)).toMatchObject({ closedHow: 'mended' });
    expect(await stops(true)).toEqual([]);
    expect(await stops(false)).toMatchObject([{ stopId: stop?.stopId, clearedAtMs: startMs }]);
    await expect(close(finding.findingId)).rejects.toMatchObject({ code: 'finding_closed' });
    const next = await record({ grade: 'unfit' });
    expect([next.joined, next.stop?.state]).toEqual([false, 'standing']);
    expect((await eventsOfUnit()).map((event) => event.type)).toEqual([
      'finding.recorded',
      'stop.set',
      'finding.closed',
      'stop.cleared',
      'finding.recorded',
      'stop.set',
    ]);
  });

  test('of an asset that is not there is refused', async () => {
    await newTruck();
    const assetId = '01900000-0000-7000-8000-00000000dead';
    await expect(record({ assetId })).rejects.toMatchObject({ code: 'reference_unknown' });
  });
});

describe('a stop', () => {
  test('says what it takes, in the order of the functions', async () => {
    await newTruck();
    const row = await set({ functions: ['road', 'winch'], untilMs: startMs + 1 });
    expect(row).toMatchObject({ state: 'standing', functions: ['winch', 'road'] });
    const acts = await withWork(app.deps, 1, (work) =>
      listStopActs(work.tx, 1, row.stopId, null, 50),
    );
    expect(acts).toMatchObject([{ act: 'set', byName: 'the night desk' }]);
  });

  test('after the drop waits', async () => {
    await newTruck();
    expect(await set({ effective: 'after_drop' })).toMatchObject({ state: 'waits_for_drop' });
  });

  test('of a person in it takes everything at once, and needs the person', async () => {
    await newTruck();
    await expect(set({ kind: 'work_lock' })).rejects.toMatchObject({ code: 'stop_impossible' });
  });

  test.each([
    [{ functions: [] as never[] }, 'stop_impossible'],
    [{ effect: 'limited' as const }, 'stop_impossible'],
    [{ untilMs: startMs }, 'time_invalid'],
  ])('that cannot be is refused: %j', async (more, code) => {
    await newTruck();
    await expect(set(more)).rejects.toMatchObject({ code });
  });

  test('that is cleared stays cleared, whoever asks the database', async () => {
    await newTruck();
    const { finding, stop } = await record({ grade: 'unfit' });
    await close(finding.findingId);
    const again = (table: string, id: string) =>
      withWork(app.deps, 1, (work) =>
        work.tx.query(
          `update liftwright.${table} set ${table === 'stop' ? "state = 'standing'" : 'reports = 9'}
           where ${table}_id = $1`,
          [id],
        ),
      );
    await expect(again('stop', stop?.stopId as string)).rejects.toMatchObject({ code: '23001' });
    await expect(again('finding', finding.findingId)).rejects.toMatchObject({ code: '23001' });
  });
});
