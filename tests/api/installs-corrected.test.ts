import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  sinceMs,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let yardId: string;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  yardId = await fleet.yard();
  patternId = await fleet.pattern(greaseTask);
  await app.goTo(startMs + 3 * dayMs);
});

const hourly = { ...ptoCounter, resolution: 1 };
const total = async (assetId: string) =>
  Object.values(await fleet.days(assetId)).reduce((sum, grains) => sum + grains, 0) / 3600;
const truck = () => fleet.truck({ yardId, counters: [hourly] });

const installsOf = async (unitId: string): Promise<Json[]> =>
  fleet.client.all(`/v1/installs?unitId=${unitId}`);
/** The install of an asset or a gateway on a unit, as listed. */
async function installOf(unitId: string, what: string): Promise<string> {
  const found = (await installsOf(unitId)).find((i) => (i.assetId ?? i.gatewayId) === what);
  return found.installId;
}
const patch = (installId: string, body: object) =>
  fleet.client.patch(`/v1/installs/${installId}`, { reason: 'misread', ...body });
async function corrected(installId: string, body: object): Promise<Json> {
  const answer = await patch(installId, body);
  expect(answer.status, JSON.stringify(answer.body)).toBe(200);
  await app.settle();
  return answer.body;
}
const post = (installId: string, verb: string, body: object) =>
  fleet.client.post(`/v1/installs/${installId}/${verb}`, body);

/** Ten hours of use on one, twenty on the other, from noon to the next noon. */
async function two(): Promise<[Truck, Truck]> {
  const [a, b] = [await truck(), await truck()];
  await a.gateway.one(run(0, [startMs, 10], [startMs + dayMs, 20]));
  await b.gateway.one(run(0, [startMs, 200], [startMs + dayMs, 220]));
  await app.settle();
  return [a, b];
}

describe('an install corrected afterwards', () => {
  test('moves use to the unit that it was on, and keeps what was said', async () => {
    const [a, b] = await two();
    const id = await installOf(a.unitId, a.liftId);
    // the lift of the second went off at noon, and the first was there, not on its own
    await post(await installOf(b.unitId, b.liftId), 'end', { at: text(startMs) });
    const now = await corrected(id, { unitId: b.unitId, note: 'seen by the shop' });
    expect(now).toMatchObject({ unitId: b.unitId, from: text(sinceMs), note: 'seen by the shop' });
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([20, 0]);

    const { corrections, withdrawn } = await fleet.client.read(`/v1/installs/${id}`);
    expect(withdrawn).toBe(false);
    expect(corrections).toMatchObject([
      {
        kind: 'changed',
        before: { unitId: a.unitId, from: text(sinceMs), to: null, note: null },
        after: { unitId: b.unitId, from: text(sinceMs), to: null, note: 'seen by the shop' },
        reason: 'misread',
        by: expect.stringMatching(/^key\//),
      },
    ]);
    const subject = `asset/${a.liftId}`;
    const [event] = await fleet.events({ type: 'install.corrected', subject });
    expect(event).toMatchObject({
      data: { installId: id, before: { unitId: a.unitId }, after: { unitId: b.unitId } },
      personal: { reason: 'misread' },
    });
  });

  test('by its times splits use where it was, and leaves entries on closed days', async () => {
    const [a] = await two();
    const id = await installOf(a.unitId, a.liftId);
    await corrected(id, { from: text(startMs + 12 * hourMs) });
    expect(await total(a.liftId)).toBe(5);
    await corrected(id, { to: text(startMs + 18 * hourMs) });
    expect(await total(a.liftId)).toBe(2.5);
    await corrected(id, { from: text(startMs), to: null });
    expect(await total(a.liftId)).toBe(10);
    const { rows } = await app.db.owner.query(
      `select reason, sum(grains)::int as grains from liftwright.usage_entry
       where asset_id = $1 group by reason`,
      [a.liftId],
    );
    // 2 March is over for the line, 3 March not yet: 5 h of the first were away and came back
    expect(rows).toEqual([{ reason: 'an install was corrected', grains: 0 }]);
    const { corrections } = await fleet.client.read(`/v1/installs/${id}`);
    expect(corrections).toHaveLength(3);
  });

  test('of a gateway takes the use of its counters along', async () => {
    const [a, b] = await two();
    await post(await installOf(b.unitId, b.gateway.id), 'end', { at: text(startMs - hourMs) });
    await corrected(await installOf(a.unitId, a.gateway.id), { unitId: b.unitId });
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([0, 10]);
  });

  test('that says nothing new leaves no trace', async () => {
    const { unitId, liftId } = await truck();
    const id = await installOf(unitId, liftId);
    await corrected(id, { unitId, from: text(sinceMs), to: null });
    expect((await fleet.client.read(`/v1/installs/${id}`)).corrections).toEqual([]);
  });

  test('withdrawn it is known from its corrections alone', async () => {
    const [a] = await two();
    const id = await installOf(a.unitId, a.liftId);
    expect((await post(id, 'withdraw', { reason: 'never there' })).status).toBe(200);
    await app.settle();
    expect(await total(a.liftId)).toBe(0);
    const kept = await fleet.client.read(`/v1/installs/${id}`);
    expect(kept).toMatchObject({
      withdrawn: true,
      unitId: a.unitId,
      corrections: [{ kind: 'withdrawn', after: null, reason: 'never there' }],
    });
    expect((await installsOf(a.unitId)).map((each) => each.installId)).not.toContain(id);
    expect((await post(id, 'withdraw', { reason: 'x' })).code).toBe('install_withdrawn');
    expect((await post(id, 'end', { at: text(startMs) })).code).toBe('install_withdrawn');
    expect((await patch(id, { to: null })).code).toBe('install_withdrawn');
    // its days that were over leave entries although nothing counts for it any more
    const { rows } = await app.db.owner.query(
      'select sum(grains)::int as grains from liftwright.usage_entry where asset_id = $1',
      [a.liftId],
    );
    expect(rows[0].grains).toBe(-5 * 3600);
    await fleet.install(a.unitId, { assetId: a.liftId });
    await app.settle();
    expect(await total(a.liftId)).toBe(10);
  });

  test('what cannot be is refused and changes nothing', async () => {
    const [a, b] = await two();
    const id = await installOf(a.unitId, a.liftId);
    const nowhere = '01900000-0000-7000-8000-000000000000';
    const earlier = { unitId: b.unitId, assetId: a.liftId, to: text(sinceMs) };
    await fleet.client.made('/v1/installs', { ...earlier, from: text(sinceMs - dayMs) });
    const refusals: [object, string][] = [
      [{ unitId: nowhere }, 'reference_unknown'],
      [{ to: text(sinceMs) }, 'time_invalid'],
      [{ from: '1999-12-31T00:00:00Z' }, 'time_invalid'],
      [{ from: text(sinceMs - hourMs) }, 'install_overlaps'],
      [{ reason: '' }, 'body_invalid'],
      [{}, 'body_invalid'],
    ];
    for (const [body, code] of refusals)
      expect([body, (await patch(id, body)).code]).toEqual([body, code]);
    const without = await fleet.client.patch(`/v1/installs/${id}`, { to: null });
    expect(without.code).toBe('body_invalid');
    expect((await patch(nowhere, { to: null })).code).toBe('not_found');
    expect((await fleet.client.get(`/v1/installs/${nowhere}`)).code).toBe('not_found');
    expect((await fleet.client.read(`/v1/installs/${id}`)).corrections).toEqual([]);
  });

  test('an end comes once', async () => {
    const { unitId, liftId } = await truck();
    const id = await installOf(unitId, liftId);
    const at = text(startMs);
    expect((await post(id, 'end', { at: text(sinceMs) })).code).toBe('time_invalid');
    expect((await post(id, 'end', { at })).body.to).toBe(at);
    expect((await post(id, 'end', { at })).code).toBe('install_ended');
    // an end in the future may come sooner
    const earlier = text(startMs - hourMs);
    expect((await post(id, 'end', { at: earlier })).body.to).toBe(earlier);
  });

  test('two at once leave the sources as if one came after the other', async () => {
    const [a, b] = await two();
    const [lift, other] = [
      await installOf(a.unitId, a.liftId),
      await installOf(b.unitId, b.gateway.id),
    ];
    const answers = await Promise.all([
      patch(lift, { unitId: b.unitId, from: text(startMs) }),
      patch(other, { unitId: a.unitId }),
      post(await installOf(b.unitId, b.liftId), 'end', { at: text(startMs) }),
    ]);
    expect(answers.map((answer) => answer.status)).toEqual([200, 200, 200]);
    await app.settle();
    // the lift is on b, where no gateway is any more
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([0, 0]);
  });
});

describe('a swap', () => {
  test('of lifts in the middle, both or neither', async () => {
    const [a, b] = await two();
    const at = text(startMs + 12 * hourMs);
    const swap = { unitIds: [a.unitId, b.unitId], what: 'lift', at, reason: 'bodies exchanged' };
    const { installs } = await fleet.client.made('/v1/installs/swap', swap);
    expect(installs.map((i: Json) => [i.unitId, i.assetId, i.from])).toEqual(
      expect.arrayContaining([
        [b.unitId, a.liftId, at],
        [a.unitId, b.liftId, at],
      ]),
    );
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([5 + 10, 10 + 5]);
    // and back, at the same moment: as if nothing had been
    await fleet.client.made('/v1/installs/swap', swap);
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([10, 20]);
  });

  test('of gateways that were taken for one another from the start', async () => {
    const [a, b] = await two();
    const swap = { unitIds: [a.unitId, b.unitId], what: 'gateway', reason: 'labels mixed up' };
    await fleet.client.made('/v1/installs/swap', { ...swap, at: text(sinceMs) });
    await app.settle();
    expect([await total(a.liftId), await total(b.liftId)]).toEqual([20, 10]);
    expect(await installsOf(a.unitId)).toHaveLength(2);
    const id = await installOf(b.unitId, a.gateway.id);
    const { corrections } = await fleet.client.read(`/v1/installs/${id}`);
    expect(corrections).toMatchObject([
      { kind: 'swapped', before: { unitId: a.unitId }, after: { unitId: b.unitId } },
    ]);
  });

  test('with nothing on one side is refused', async () => {
    const [a] = await two();
    const empty = await fleet.unit(yardId);
    const swap = { unitIds: [a.unitId, empty], what: 'lift', at: text(startMs), reason: 'x' };
    const answer = await fleet.client.post('/v1/installs/swap', swap);
    expect([answer.status, answer.code]).toEqual([422, 'nothing_to_swap']);
    const same = { ...swap, unitIds: [a.unitId, a.unitId] };
    expect((await fleet.client.post('/v1/installs/swap', same)).code).toBe('body_invalid');
  });
});

describe('a status that rested on a wrong install', () => {
  const events = async (unitId: string, type: string) =>
    fleet.events({ type, subject: `unit/${unitId}` });

  test('is undone in the history, with the correction, for whoever acted on it', async () => {
    await app.goTo(startMs);
    const a = await fleet.truck({ patternId, yardId, counters: [hourly] });
    const b = await fleet.truck({ patternId, yardId, counters: [hourly] });
    for (const { unitId } of [a, b]) await fleet.done(unitId, 'grease', startMs - hourMs);
    const done = await fleet.done(a.unitId, 'grease', startMs);
    await a.gateway.one(run(0, [startMs - hourMs, 0]));
    await b.gateway.one(run(0, [startMs - hourMs, 0]));
    await app.settle();
    await app.goTo(startMs + dayMs);
    await a.gateway.one(run(1, [startMs + dayMs - hourMs, 20]));
    await b.gateway.one(run(1, [startMs + dayMs - hourMs, 2]));
    await app.settle();
    const said = (await events(a.unitId, 'task.status_changed')).at(-1)!;
    expect(said.data).toMatchObject({ to: 'overrun' });
    expect((await fleet.task(b.unitId)).status).toBe('ahead');

    // a day later: the gateways had been exchanged all along
    await app.goTo(startMs + dayMs + hourMs);
    const swap = { unitIds: [a.unitId, b.unitId], what: 'gateway', reason: 'labels mixed up' };
    await fleet.client.made('/v1/installs/swap', { ...swap, at: text(sinceMs) });
    await app.settle();
    expect((await fleet.task(a.unitId)).status).toBe('ahead');
    expect((await fleet.task(b.unitId)).status).toBe('overrun');
    const undone = await events(a.unitId, 'task.status_undone');
    const installId = await installOf(b.unitId, a.gateway.id);
    const { corrections } = await fleet.client.read(`/v1/installs/${installId}`);
    expect(undone).toHaveLength(1);
    expect(undone[0]!.data).toMatchObject({
      assetId: a.liftId,
      task: 'grease',
      undone: 'overrun',
      now: 'ahead',
      announced: { event: said.number, at: said.recordedAt },
      causes: expect.arrayContaining([
        {
          what: 'install_corrected',
          subject: `install/${installId}`,
          id: corrections[0].correctionId,
          since: text(sinceMs),
        },
      ]),
    });
    const place = await events(a.unitId, 'unit.standing_undone');
    expect(place).toHaveLength(1);
    expect(place[0]!.data).toMatchObject({
      undone: { status: 'overrun' },
      now: { status: 'ahead' },
    });
    const changed = (await events(a.unitId, 'task.status_changed')).at(-1)!;
    expect(changed.data).toMatchObject({ from: 'overrun', to: 'ahead' });
    expect(changed.data.causes).toHaveLength(2);
    // what was signed stands as it was signed
    const { rows } = await app.db.owner.query(
      'select done_at, voided_at from liftwright.task_done where done_id = $1',
      [done.doneId],
    );
    expect([rows[0].done_at.getTime(), rows[0].voided_at]).toEqual([startMs, null]);
  });

  test('nothing half is told between the correction and the fold', async () => {
    await app.goTo(startMs);
    const a = await fleet.truck({ patternId, yardId, counters: [hourly] });
    await fleet.done(a.unitId, 'grease', startMs);
    await a.gateway.one(run(0, [startMs - hourMs, 0]));
    await app.goTo(startMs + dayMs);
    await a.gateway.one(run(1, [startMs + dayMs - hourMs, 20]));
    await app.settle();
    const other = await fleet.unit(yardId);
    const before = await fleet.events({});
    // the lift went elsewhere before it was used
    const move = { unitId: other, from: text(startMs + 60_000), assetId: a.liftId, move: true };
    await fleet.client.made('/v1/installs', move);
    for (const call of [...app.queue.calls])
      if (call.startsWith('fold')) app.queue.calls.delete(call);
    await app.answerCalls();
    expect(await fleet.task(a.unitId)).toBeUndefined();
    expect(await fleet.task(other)).toBeUndefined();
    await app.settle();
    // told once, as it is: gone from the one, unknown on the other, where nothing counts
    const told = (await fleet.events({})).slice(before.length).filter((e) => /status/.test(e.type));
    expect(
      told.map(({ type, subject, data }) => [type, subject, 'to' in data ? data.to : data.now]),
    ).toEqual([
      ['task.status_undone', `unit/${a.unitId}`, null],
      ['task.status_changed', `unit/${a.unitId}`, null],
      ['task.status_changed', `unit/${other}`, 'unknown'],
    ]);
  });

  test('work recorded meanwhile is named for review, and stays', async () => {
    await app.goTo(startMs + dayMs);
    const a = await fleet.truck({ patternId, yardId, counters: [hourly] });
    const other = await fleet.unit(yardId);
    const done = await fleet.done(a.unitId, 'grease', startMs);
    const id = await installOf(a.unitId, a.liftId);
    await corrected(id, { unitId: other });
    const subject = `asset/${a.liftId}`;
    const [event] = await fleet.events({ type: 'install.corrected', subject });
    expect(event!.data.donesToReview).toEqual([done.doneId]);
    expect((await fleet.task(other)).status).toBe('unknown');
  });

  test('what was right when it was said is not undone by an ordinary move', async () => {
    await app.goTo(startMs);
    const a = await fleet.truck({ patternId, yardId, counters: [hourly] });
    await app.settle();
    await app.goTo(startMs + dayMs);
    const other = await fleet.unit(yardId);
    await fleet.install(other, { assetId: a.liftId }, startMs + dayMs, { move: true });
    await app.settle();
    expect(await events(a.unitId, 'task.status_undone')).toEqual([]);
    const [left] = (await events(a.unitId, 'task.status_changed')).slice(-1);
    expect(left!.data).toMatchObject({ from: 'unknown', to: null });
  });
});
