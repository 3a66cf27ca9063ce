import { randomUUID } from 'node:crypto';
import { beforeAll, describe, expect, test } from 'vitest';
import { countPass } from '../../src/flows/give-competence.ts';
import { withWork } from '../../src/flows/work.ts';
import { useApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { dayMs, FleetBuilder, type Signing, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let office: Client;
let lead: Signing;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  office = await app.as('lead');
  lead = await fleet.person(['lead']);
});

const given = { competence: 'lift_check', evidence: 'ten years at it' };
const give = (personId: string, more: object, client = office) =>
  client.post(`/v1/people/${personId}/competences`, { ...given, ...more });
const mayNow = async (personId: string) =>
  (await office.read(`/v1/people/${personId}`)).mayNow.map(
    (each: { competence: string }) => each.competence,
  );

describe('a competence', () => {
  test('is given by a lead who signs, or with an admin key, and says by whom', async () => {
    const { personId } = await fleet.person();
    const bare = await give(personId, {});
    expect([bare.status, bare.code]).toEqual([403, 'signature_missing']);
    const worker = await fleet.person(['lift_work', 'lift_check']);
    expect((await give(personId, { signature: worker.signature })).code).toBe('competence_missing');
    const signed = await give(personId, { signature: lead.signature });
    expect(signed.body).toEqual({
      competenceId: signed.body.competenceId,
      personId,
      ...given,
      from: text(startMs),
      to: null,
      passesNeeded: 0,
      givenByPersonId: lead.personId,
      givenAt: text(startMs),
      ended: null,
    });
    expect(await mayNow(personId)).toEqual(['lift_check']);
    const byKey = await give(personId, { competence: 'driving' }, fleet.client);
    expect([byKey.status, byKey.body.givenByPersonId]).toEqual([201, null]);
    await app.settle();
    const events = await fleet.events({ type: 'competence.given', subject: `person/${personId}` });
    expect(events.map(({ data }) => data.givenByPerson)).toEqual([lead.personId, null]);
    expect(JSON.stringify(events.map(({ data }) => data))).not.toContain('ten years');
  });

  test('holds from-to, and not twice at a time', async () => {
    const { personId } = await fleet.person();
    const [from, to] = [text(startMs + dayMs), text(startMs + 3 * dayMs)];
    const { signature } = lead;
    expect((await give(personId, { from, to, signature })).status).toBe(201);
    expect(await mayNow(personId)).toEqual([]);
    const twice = await give(personId, { from: text(startMs + 2 * dayMs), signature });
    expect([twice.status, twice.code]).toEqual([409, 'competence_held']);
    expect((await give(personId, { from: to, signature })).status).toBe(201);
    for (const [ms, expected] of [
      [startMs + dayMs - 1, []],
      [startMs + dayMs, ['lift_check']],
      [startMs + 9 * dayMs, ['lift_check']],
    ] as const) {
      app.clock.set(ms);
      expect(await mayNow(personId)).toEqual(expected);
    }
    app.clock.set(startMs);
    const backwards = await give(personId, {
      competence: 'driving',
      from: to,
      to: from,
      signature,
    });
    expect([backwards.status, backwards.code]).toEqual([422, 'time_invalid']);
    const old = await give(personId, { from: '1999-12-31T00:00:00Z', signature });
    expect(old.code).toBe('time_invalid');
  });

  test('ends by a lead before its time, once, and is given anew', async () => {
    const { personId } = await fleet.person();
    const { signature } = lead;
    const { competenceId } = (await give(personId, { signature })).body;
    const url = `/v1/people/${personId}/competences/${competenceId}/end`;
    app.clock.set(startMs + dayMs);
    expect((await office.post(url, { reason: 'eyes' })).code).toBe('signature_missing');
    const ended = await office.post(url, { reason: 'eyes', signature });
    expect(ended.body).toMatchObject({
      to: text(startMs + dayMs),
      ended: { reason: 'eyes', at: text(startMs + dayMs) },
    });
    expect(await mayNow(personId)).toEqual([]);
    const again = await office.post(url, { reason: 'eyes', signature });
    expect([again.status, again.code]).toEqual([409, 'competence_ended']);
    const { personId: other } = await fleet.person();
    const elsewhere = url.replace(personId, other);
    expect((await office.post(elsewhere, { reason: 'x', signature })).code).toBe('not_found');
    expect((await give(personId, { signature })).status).toBe(201);
    expect(await mayNow(personId)).toEqual(['lift_check']);
    app.clock.set(startMs);
  });

  test('of who has left, or of another fleet, is not given', async () => {
    const { personId } = await fleet.person();
    await fleet.client.patch(`/v1/people/${personId}`, { leftAt: text(startMs) });
    expect((await give(personId, { signature: lead.signature })).code).toBe('person_left');
    const other = await app.otherFleet();
    expect((await give(personId, {}, other)).code).toBe('not_found');
    expect((await other.get(`/v1/people/${personId}/competences`)).code).toBe('not_found');
    expect((await other.get(`/v1/people/${personId}/passes`)).code).toBe('not_found');
  });

  test('to work on lifts alone asks for passes', async () => {
    const { personId } = await fleet.person();
    const answer = await give(personId, { passesNeeded: 3, signature: lead.signature });
    expect([answer.code, answer.body.errors[0].path]).toEqual(['body_invalid', '/passesNeeded']);
  });
});

test('a trainee works alone after as many jobs as were asked for, each counted once', async () => {
  const trainee = await fleet.person(['lift_work'], { passesNeeded: 3 });
  const teacher = await fleet.person(['lift_work']);
  const left = async () =>
    (await office.read(`/v1/people/${trainee.personId}`)).mayNow[0].passesLeft;
  const pass = (id: string) =>
    withWork(app.deps, 1, (work) =>
      countPass(work, {
        personId: trainee.personId,
        supervisorId: teacher.personId,
        cause: { kind: 'job_card', id },
      }),
    );
  expect(await left()).toBe(3);
  const jobs = [randomUUID(), randomUUID(), randomUUID()];
  expect(await pass(jobs[0]!)).toBe(2);
  expect(await Promise.all([pass(jobs[0]!), pass(jobs[0]!)])).toEqual([2, 2]);
  expect(await pass(jobs[1]!)).toBe(1);
  expect(await pass(jobs[2]!)).toBe(0);
  expect(await pass(randomUUID())).toBe(0);
  expect(await left()).toBe(0);
  const passes = await office.all(`/v1/people/${trainee.personId}/passes`);
  expect(passes.map(({ cause }) => cause)).toEqual(jobs.map((id) => `job_card/${id}`));
  expect(passes.every((each) => each.supervisedByPersonId === teacher.personId)).toBe(true);
});
