import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { FleetBuilder, hourMs, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let phone: Client;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  phone = await app.as('technician');
});

const nowhere = '01900000-0000-7000-8000-000000000000';

test('a person is taken in, found by name, and told to the history without a secret', async () => {
  const person = await fleet.client.made('/v1/people', { name: '  R. Vale ' });
  expect(person).toEqual({
    personId: person.personId,
    name: 'R. Vale',
    pinSetAt: null,
    leftAt: null,
    createdAt: text(startMs),
  });
  const all = await phone.all('/v1/people');
  expect(all.map((each) => each.name)).toContain('R. Vale');
  await fleet.client.made(`/v1/people/${person.personId}/pin`, { newPin: '58203' });
  expect(await phone.read(`/v1/people/${person.personId}`)).toEqual({
    ...person,
    pinSetAt: text(startMs),
    mayNow: [],
  });
  await app.settle();
  const events = await fleet.events({ subject: `person/${person.personId}` });
  expect(events.map(({ type }) => type)).toEqual(['person.added', 'person.pin_set']);
  expect(JSON.stringify(events.map(({ data }) => data))).not.toContain('Vale');
  expect(JSON.stringify(events)).not.toContain('58203');
});

describe('who leaves', () => {
  test('signs nothing any more, and comes back without a PIN', async () => {
    const worker = await fleet.person(['lift_work']);
    const { personId, signature } = worker;
    const pin = signature.pin;
    await phone.made(`/v1/people/${personId}/sign-ins`, { pin });
    const left = await fleet.client.patch(`/v1/people/${personId}`, { leftAt: text(startMs) });
    expect([left.status, left.body.leftAt, left.body.pinSetAt]).toEqual([200, text(startMs), null]);
    const signs = await phone.post(`/v1/people/${personId}/sign-ins`, { pin });
    expect([signs.status, signs.code]).toEqual([403, 'person_left']);
    expect(await phone.all(`/v1/people/${personId}/sign-ins`)).toEqual([]);
    const here = await phone.all('/v1/people?here=true');
    expect(here.some((each) => each.personId === personId)).toBe(false);
    const pinned = await fleet.client.post(`/v1/people/${personId}/pin`, { newPin: '58203' });
    expect(pinned.code).toBe('person_left');
    const back = await fleet.client.patch(`/v1/people/${personId}`, { leftAt: null });
    expect([back.body.leftAt, back.body.pinSetAt]).toEqual([null, null]);
    expect((await phone.post(`/v1/people/${personId}/sign-ins`, { pin })).code).toBe('pin_not_set');
    await app.settle();
    const types = (await fleet.events({ subject: `person/${personId}` })).map((e) => e.type);
    expect(types.slice(-2)).toEqual(['person.left', 'person.came_back']);
  });

  test('leaves at a time that has been', async () => {
    const { personId } = await fleet.person();
    for (const leftAt of [text(startMs + hourMs), '1999-01-01T00:00:00Z']) {
      const answer = await fleet.client.patch(`/v1/people/${personId}`, { leftAt });
      expect([answer.status, answer.code]).toEqual([422, 'time_invalid']);
    }
    expect((await fleet.client.patch(`/v1/people/${personId}`, {})).code).toBe('body_invalid');
  });
});

describe('a PIN', () => {
  test('is changed by who knows it, and given anew by who keeps the people', async () => {
    const { personId, signature } = await fleet.person();
    const url = `/v1/people/${personId}/pin`;
    const bare = await phone.post(url, { newPin: '58203' });
    expect([bare.status, bare.code]).toEqual([403, 'signature_missing']);
    const other = await fleet.person();
    const foreign = await phone.post(url, { newPin: '58203', signature: other.signature });
    expect(foreign.code).toBe('signature_missing');
    const wrong = { personId, pin: '9205' };
    expect((await phone.post(url, { newPin: '58203', signature: wrong })).code).toBe('pin_wrong');
    expect((await phone.post(url, { newPin: '58203', signature })).status).toBe(200);
    const office = await app.as('lead');
    expect((await office.post(url, { newPin: '61947' })).status).toBe(200);
    expect((await phone.post(`/v1/people/${personId}/sign-ins`, { pin: '61947' })).status).toBe(
      201,
    );
    await app.settle();
    const set = await fleet.events({ type: 'person.pin_set', subject: `person/${personId}` });
    expect(set.map(({ data }) => data.byThemselves)).toEqual([false, true, false]);
  });

  test('that is given anew ends the waiting after wrong ones', async () => {
    const { personId, signature } = await fleet.person();
    const url = `/v1/people/${personId}/sign-ins`;
    for (let i = 0; i < 5; i += 1) await phone.post(url, { pin: '9205' });
    expect((await phone.post(url, { pin: signature.pin })).code).toBe('pin_locked');
    await fleet.client.made(`/v1/people/${personId}/pin`, { newPin: '61947' });
    expect((await phone.post(url, { pin: '61947' })).status).toBe(201);
  });

  test('is four to eight digits that are not tried first', async () => {
    const { personId } = await fleet.person();
    const code = async (newPin: unknown) =>
      (await fleet.client.post(`/v1/people/${personId}/pin`, { newPin })).code;
    for (const unfit of ['123', '123456789', '12a4', '', '١٢٣٤', 2846, null]) {
      expect([unfit, await code(unfit)]).toEqual([unfit, 'body_invalid']);
    }
    for (const weak of ['0000', '1234', '9876', '7878', '12121212', '890123']) {
      expect([weak, await code(weak)]).toEqual([weak, 'pin_weak']);
    }
    expect(await code('2846')).toBeUndefined();
    const absent = await fleet.client.post(`/v1/people/${nowhere}/pin`, { newPin: '2846' });
    expect(absent.code).toBe('not_found');
  });
});
