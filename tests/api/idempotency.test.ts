import { randomUUID } from 'node:crypto';
import { beforeAll, describe, expect, test } from 'vitest';
import { keepHouse } from '../../src/flows/sweep.ts';
import { useApp } from '../helpers/app.ts';
import { dayMs, FleetBuilder, greaseTask, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const withKey = (key: string = randomUUID()) => ({ 'idempotency-key': `"${key}"` });
const yard = (name: string) => ({ name, timeZone: 'America/Chicago' });
const yardsCalled = async (name: string) =>
  (await fleet.client.all('/v1/yards')).filter((each) => each.name === name).length;

describe('a repeated request', () => {
  test('gets the first answer again, and has no further effect', async () => {
    const headers = withKey();
    const first = await fleet.client.post('/v1/yards', yard('Repeat'), headers);
    expect(first.status).toBe(201);
    expect(first.headers['idempotency-replayed']).toBeUndefined();
    const again = await fleet.client.post('/v1/yards', yard('Repeat'), headers);
    expect([again.status, again.body]).toEqual([201, first.body]);
    expect(again.headers['idempotency-replayed']).toBe('true');
    await app.settle();
    const subject = `yard/${first.body.yardId}`;
    expect(await fleet.events({ subject })).toHaveLength(1);
    // the same name without the key is another request
    expect((await fleet.client.post('/v1/yards', yard('Repeat'))).code).toBe('already_exists');
  });

  test('may have a path longer than is kept, as when it is percent-encoded', async () => {
    const { unitId } = await fleet.truck({ patternId: await fleet.pattern(greaseTask) });
    const url = `/v1/units/${unitId}/tasks/${encodeURIComponent('ö'.repeat(80))}/done`;
    const answer = await fleet.client.post(url, { at: text(startMs) }, withKey());
    expect([answer.status, answer.code]).toEqual([404, 'not_found']);
  });

  test('a done is recorded once', async () => {
    const { unitId } = await fleet.truck({ patternId: await fleet.pattern(greaseTask) });
    const headers = withKey();
    const url = `/v1/units/${unitId}/tasks/grease/done`;
    const body = { at: text(startMs) };
    const all = [];
    for (let i = 0; i < 3; i += 1) all.push((await fleet.client.post(url, body, headers)).body);
    expect(new Set(all.map((each) => each.doneId)).size).toBe(1);
  });

  test('a secret is shown once', async () => {
    for (const [url, body] of [
      ['/v1/keys', { role: 'lead', name: 'the lead' }],
      ['/v1/gateways', { serial: 'once' }],
    ] as const) {
      const headers = withKey();
      const first = await fleet.client.made(url, body, headers);
      expect(first.key).toMatch(/^lw_1_/);
      const again = await fleet.client.made(url, body, headers);
      expect(again).toEqual({ ...first, key: null });
      const { rows } = await app.db.owner.query('select body::text from liftwright.idempotency');
      expect(rows.map((row) => row.body).join()).not.toContain(first.key.slice(-43));
    }
  });

  test('a bare token is the same key as a quoted one', async () => {
    const key = randomUUID();
    const first = await fleet.client.made('/v1/yards', yard('Bare'), { 'idempotency-key': key });
    expect(await fleet.client.made('/v1/yards', yard('Bare'), withKey(key))).toEqual(first);
  });

  test.each(['""', '"', 'two words', '"a"b"', `"${'x'.repeat(201)}"`, 'ä'])(
    '%s is no key',
    async (key) => {
      const name = `no key ${key.slice(0, 20)}`;
      const headers = { 'idempotency-key': key };
      const answer = await fleet.client.post('/v1/yards', yard(name), headers);
      expect([answer.status, answer.code]).toEqual([400, 'header_invalid']);
      expect(await yardsCalled(name)).toBe(0);
    },
  );

  test('is kept for two days', async () => {
    const headers = withKey();
    await fleet.client.made('/v1/yards', yard('Old'), headers);
    app.clock.set(startMs + 2 * dayMs);
    await keepHouse(app.deps);
    expect((await fleet.client.post('/v1/yards', yard('Old'), headers)).status).toBe(201);
    app.clock.set(startMs + 2 * dayMs + 1);
    await keepHouse(app.deps);
    const later = await fleet.client.post('/v1/yards', yard('Old'), headers);
    expect(later.code).toBe('already_exists');
    app.clock.set(startMs);
  });
});

describe('the same key with another request', () => {
  test('another body, or another route, is refused', async () => {
    const headers = withKey();
    await fleet.client.made('/v1/yards', yard('First'), headers);
    const body = await fleet.client.post('/v1/yards', yard('Second'), headers);
    expect([body.status, body.code]).toEqual([422, 'idempotency_key_reused']);
    const route = await fleet.client.post('/v1/gateways', { serial: 'g' }, headers);
    expect([route.status, route.code]).toEqual([422, 'idempotency_key_reused']);
    expect(await yardsCalled('Second')).toBe(0);
  });

  test('of another client is another key', async () => {
    const headers = withKey();
    const lead = await app.as('lead');
    await fleet.client.made('/v1/yards', yard('Mine'), headers);
    const theirs = await lead.made('/v1/yards', yard('Theirs'), headers);
    expect(theirs.name).toBe('Theirs');
  });
});

describe('at once', () => {
  test('the same request many times: one effect, one answer', async () => {
    const headers = withKey();
    const answers = await Promise.all(
      Array.from({ length: 6 }, () => fleet.client.post('/v1/yards', yard('At once'), headers)),
    );
    expect(answers.map((answer) => answer.status)).toEqual([201, 201, 201, 201, 201, 201]);
    expect(new Set(answers.map((answer) => answer.body.yardId)).size).toBe(1);
    const first = answers.filter((answer) => answer.headers['idempotency-replayed'] === undefined);
    expect(first).toHaveLength(1);
    expect(await yardsCalled('At once')).toBe(1);
  });

  test('while the first is at work, the second waits and then is told so', async () => {
    const headers = withKey('busy');
    const { rows } = await app.db.owner.query(
      `select key_id from liftwright.api_key where name = 'first admin key'`,
    );
    await app.db.owner.query('begin');
    await app.db.owner.query(
      `insert into liftwright.idempotency
         (fleet_id, client, key, route, body_sha256, created_at)
       values (1, $1, 'busy', 'POST /v1/yards', sha256(''), 'epoch')`,
      [rows[0].key_id],
    );
    const answer = await fleet.client.post('/v1/yards', yard('Busy'), headers);
    await app.db.owner.query('rollback');
    expect([answer.status, answer.code]).toEqual([409, 'request_in_flight']);
    // what was rolled back is not remembered
    expect((await fleet.client.post('/v1/yards', yard('Busy'), headers)).status).toBe(201);
  });
});

describe('what fails is not remembered', () => {
  test('a refusal, also one by the database: the same key may be used again', async () => {
    const headers = withKey();
    await fleet.client.made('/v1/yards', yard('Taken'));
    const refused = await fleet.client.post('/v1/yards', yard('Taken'), headers);
    expect(refused.code).toBe('already_exists');
    const again = await fleet.client.post('/v1/yards', yard('Not taken'), headers);
    expect(again.status).toBe(201);
    const { rows } = await app.db.owner.query(
      'select count(*)::int as n from liftwright.idempotency where status is null',
    );
    expect(rows).toEqual([{ n: 0 }]);
  });

  test('a crash between effect and receipt leaves neither', async () => {
    const headers = withKey();
    await app.db.owner.query(`create function public.cut() returns trigger language plpgsql as $$
      begin perform pg_terminate_backend(pg_backend_pid()); return new; end $$`);
    await app.db.owner.query(`alter function public.cut() security definer`);
    await app.db.owner.query(`create trigger cut before update on liftwright.idempotency
      for each row execute function public.cut()`);
    const cut = await fleet.client.post('/v1/yards', yard('Cut'), headers);
    expect(cut.status).toBe(503);
    await app.db.owner.query('drop trigger cut on liftwright.idempotency');
    expect(await yardsCalled('Cut')).toBe(0);
    await app.settle();
    const events = await fleet.events({ type: 'yard.added' });
    expect(events.filter((event) => event.data.name === 'Cut')).toEqual([]);
    const again = await fleet.client.post('/v1/yards', yard('Cut'), headers);
    expect([again.status, again.headers['idempotency-replayed']]).toEqual([201, undefined]);
    expect(await yardsCalled('Cut')).toBe(1);
  });
});
