import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client } from '../helpers/client.ts';
import { FleetBuilder, hourMs, type Signing, startMs } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let phone: Client;
let lead: Signing;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  phone = await app.as('technician');
  lead = await fleet.person(['lead']);
});

const signIn = (client: Client, { personId, signature }: Signing, more: object = {}) =>
  client.post(`/v1/people/${personId}/sign-ins`, { pin: signature.pin, ...more });
const guess = (client: Client, { personId }: Signing, pin = '9205') =>
  client.post(`/v1/people/${personId}/sign-ins`, { pin });
/** An act that any person may sign, with a sign-in too: their own PIN, which wants the PIN. */
const giveAs = async (client: Client, signature: object) =>
  client.post(`/v1/people/${(await fleet.person()).personId}/competences`, {
    ...{ competence: 'driving', evidence: 'seen', signature },
  });

describe('a PIN', () => {
  test('lets a lead sign, and nobody else', async () => {
    const office = await app.as('lead');
    expect((await giveAs(office, lead.signature)).status).toBe(201);
    const worker = await fleet.person(['lift_work']);
    const without = await giveAs(office, worker.signature);
    expect([without.status, without.code]).toEqual([403, 'competence_missing']);
    const wrong = await giveAs(office, { ...lead.signature, pin: '9205' });
    expect([wrong.status, wrong.code]).toEqual([403, 'pin_wrong']);
    expect((await guess(phone, { ...lead, personId: startedNowhere })).code).toBe('pin_wrong');
  });

  test('is missing until it is set', async () => {
    const { personId } = await fleet.client.made('/v1/people', { name: 'B. Marsh' });
    const answer = await phone.post(`/v1/people/${personId}/sign-ins`, { pin: '2846' });
    expect([answer.status, answer.code]).toEqual([403, 'pin_not_set']);
  });

  test('of another fleet opens nothing, and shows nothing', async () => {
    const other = new FleetBuilder(app, await app.otherFleet());
    const stranger = await other.person(['lead']);
    expect((await signIn(phone, stranger)).code).toBe('pin_wrong');
    expect((await giveAs(await app.as('lead'), stranger.signature)).code).toBe('pin_wrong');
    const { rows } = await app.db.owner.query(
      `select in_row from liftwright.pin_try where kind = 'person' and id = $1`,
      [stranger.personId],
    );
    expect(rows.every((row) => row.in_row === 0)).toBe(true);
    expect((await phone.get(`/v1/people/${stranger.personId}`)).code).toBe('not_found');
  });
});

const startedNowhere = '01900000-0000-7000-8000-000000000000';

describe('guessing', () => {
  test('at one person ends after five, with any key, and lasts longer each time', async () => {
    const worker = await fleet.person();
    const phones = [phone, await app.as('technician'), await app.as('dispatcher')];
    for (let i = 0; i < 5; i += 1) {
      expect((await guess(phones[i % 3] as Client, worker)).code).toBe('pin_wrong');
    }
    const locked = await signIn(phones[1] as Client, worker);
    expect([locked.status, locked.code, locked.headers['retry-after']]).toEqual([
      429,
      'pin_locked',
      '60',
    ]);
    await app.settle();
    const subject = `person/${worker.personId}`;
    const [told] = await fleet.events({ type: 'person.pin_locked', subject });
    expect(told.data).toMatchObject({ wrongToday: 5 });
    app.clock.set(startMs + 61_000);
    expect((await guess(phone, worker)).code).toBe('pin_wrong');
    expect((await signIn(phone, worker)).headers['retry-after']).toBe('300');
    app.clock.set(startMs + 61_000 + 300_000);
    expect((await signIn(phone, worker)).status).toBe(201);
    app.clock.set(startMs);
  });

  test('many at once are not more than five', async () => {
    const worker = await fleet.person();
    const phones = await Promise.all([1, 2, 3, 4].map(() => app.as('technician')));
    const pins = Array.from({ length: 12 }, (_, i) => String(7300 + i));
    const answers = await Promise.all(pins.map((pin, i) => guess(phones[i % 4]!, worker, pin)));
    const looked = answers.filter((answer) => answer.code === 'pin_wrong');
    expect(looked.length).toBeLessThanOrEqual(5);
    expect(answers.every(({ code }) => code === 'pin_wrong' || code === 'pin_locked')).toBe(true);
  });

  test('a right PIN between does not give more guesses of the day', async () => {
    const worker = await fleet.person();
    let wrong = 0;
    let right = await signIn(phone, worker);
    while (right.status === 201 && wrong < 100) {
      const other = await app.as('technician');
      for (let i = 0; i < 4; i += 1) {
        if ((await guess(other, worker)).code === 'pin_wrong') wrong += 1;
      }
      right = await signIn(phone, worker);
    }
    expect([wrong, right.code]).toEqual([30, 'pin_locked']);
    expect(Number(right.headers['retry-after'])).toBeGreaterThan(3_600);
  });

  test('at many persons with one key ends, though its holder signs rightly between', async () => {
    const holder = await fleet.person();
    const key = await app.as('technician');
    let wrong = 0;
    for (let i = 0; i < 30; i += 1) {
      const victim = await fleet.person();
      for (let k = 0; k < 3; k += 1) {
        if ((await guess(key, victim)).code === 'pin_wrong') wrong += 1;
      }
      await signIn(key, holder);
    }
    expect(wrong).toBe(60);
    expect((await signIn(key, holder)).code).toBe('pin_locked');
    // others are not kept from signing by it
    expect((await signIn(phone, holder)).status).toBe(201);
    expect((await guess(key, { ...holder, personId: startedNowhere })).code).toBe('pin_locked');
  });
});

describe('a sign-in', () => {
  test('is enough only with its key, for its time, and never for what wants the PIN', async () => {
    const worker = await fleet.person();
    const { token, endsAt, beganAt } = (await signIn(phone, worker, { minutes: 30 })).body;
    expect(Date.parse(endsAt) - Date.parse(beganAt)).toBe(30 * 60_000);
    const office = await app.as('lead');
    const needed = await giveAs(office, { signIn: token });
    expect([needed.status, needed.code]).toEqual([403, 'pin_needed']);
  });

  test('ends with another PIN, and a new one takes the place of the old', async () => {
    const worker = await fleet.person();
    const list = async () => (await phone.all(`/v1/people/${worker.personId}/sign-ins`)).length;
    const first = (await signIn(phone, worker)).body;
    const second = (await signIn(phone, worker)).body;
    expect(second.token).not.toBe(first.token);
    expect(await list()).toBe(1);
    await signIn(await app.as('technician'), worker);
    expect(await list()).toBe(2);
    await phone.made(`/v1/people/${worker.personId}/pin`, {
      newPin: '58203',
      signature: worker.signature,
    });
    expect(await list()).toBe(0);
    expect((await signIn(phone, worker)).code).toBe('pin_wrong');
    const { signInId } = await phone.made(`/v1/people/${worker.personId}/sign-ins`, {
      pin: '58203',
    });
    await phone.made(`/v1/people/${worker.personId}/sign-ins/${signInId}/end`, {});
    expect(await list()).toBe(0);
  });

  test('ends at its time', async () => {
    const worker = await fleet.person();
    await signIn(phone, worker, { minutes: 30 });
    app.clock.set(startMs + hourMs);
    expect(await phone.all(`/v1/people/${worker.personId}/sign-ins`)).toEqual([]);
    app.clock.set(startMs);
  });
});

test('no PIN, token or hash of one is kept, told or logged anywhere', async () => {
  const { personId: signerId } = await fleet.person(['lead']);
  // long enough to be nowhere by chance
  const signature = { personId: signerId, pin: '58203917' };
  await fleet.client.made(`/v1/people/${signerId}/pin`, { newPin: signature.pin });
  const worker = { personId: signerId, signature };
  const office = await app.as('lead');
  const headers = { 'idempotency-key': 'signed' };
  const { token } = (await signIn(phone, worker)).body;
  const { personId } = await fleet.person();
  const url = `/v1/people/${personId}/competences`;
  const body = { competence: 'lift_work', evidence: 'seen' };
  const first = await office.post(url, { ...body, signature: worker.signature }, headers);
  expect(first.status).toBe(201);
  const again = await office.post(url, { ...body, signature: worker.signature }, headers);
  expect([again.status, again.headers['idempotency-replayed']]).toEqual([201, 'true']);
  // who cannot sign sees no answer of before
  const wrong = { ...worker.signature, pin: '9205' };
  expect((await office.post(url, { ...body, signature: wrong }, headers)).code).toBe('pin_wrong');
  // another person with the same key is another request
  const other = await fleet.person(['lead']);
  const reused = await office.post(url, { ...body, signature: other.signature }, headers);
  expect(reused.code).toBe('idempotency_key_reused');
  await app.settle();
  const { rows } = await app.db.owner.query(
    `select table_name from information_schema.tables where table_schema = 'liftwright'`,
  );
  expect(rows.length).toBeGreaterThan(30);
  for (const { table_name } of rows) {
    const found = await app.db.owner.query(`select t::text as row from liftwright.${table_name} t`);
    const text = found.rows.map((row) => row.row).join('\n');
    expect([table_name, text.includes(token)]).toEqual([table_name, false]);
    expect([table_name, text.includes(worker.signature.pin)]).toEqual([table_name, false]);
  }
  const { body: exported } = await fleet.client.call({ url: '/v1/export', undocumented: true });
  expect(String(exported)).not.toContain('scrypt$');
  expect(String(exported)).not.toContain('token_sha256');
  expect(app.logged.join('\n')).not.toContain(worker.signature.pin);
});
