import { beforeAll, describe, expect, test } from 'vitest';
import { catalogue, type ProblemCode } from '../../src/errors.ts';
import { useApp } from '../helpers/app.ts';
import type { Answer, Call } from '../helpers/client.ts';
import {
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  type Signing,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let truck: Truck;
let lead: Signing;
const nowhere = '01900000-0000-7000-8000-000000000000';
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  truck = await fleet.truck({ patternId: await fleet.pattern(greaseTask) });
  await fleet.client.made('/v1/yards', { name: 'Taken', timeZone: 'UTC' });
  lead = await fleet.person(['lead']);
});

const admin = (call: Call) => fleet.client.call(call);
const post = (url: string, body: unknown, headers: Record<string, string> = {}) =>
  admin({ method: 'POST', url, body, headers });
const yard = { name: 'New', timeZone: 'UTC' };
const patchYard = async (headers: Record<string, string> = {}) => {
  const [{ yardId }] = await app.admin.all('/v1/yards');
  return admin({ method: 'PATCH', url: `/v1/yards/${yardId}`, body: { name: 'Other' }, headers });
};

const read = (more: object) =>
  post(`/v1/assets/${truck.liftId}/hand-readings`, {
    ...{ meter: 'pto_hours', value: 10, at: text(startMs), readBy: 'A. Penn' },
    ...more,
  });

/**
 * How each code is reached; those that other files reach, or cannot be reached, say why not here.
 */
const reached: Record<ProblemCode, (() => Promise<Answer>) | string> = {
  body_unreadable: () => post('/v1/yards', '{"name": '),
  frames_unreadable: 'frames.test.ts: a text without a frame',
  body_invalid: () => post('/v1/yards', { name: 'New' }),
  query_invalid: () => admin({ url: '/v1/units?limit=0' }),
  header_invalid: () => post('/v1/yards', yard, { 'idempotency-key': '""' }),
  cursor_invalid: () => admin({ url: '/v1/units?cursor=x' }),
  graph_invalid: 'graphql-limits.test.ts: told in the shape of GraphQL',
  graph_too_large: 'graphql-limits.test.ts: told in the shape of GraphQL',
  key_missing: () => app.client(null).get('/v1/units'),
  key_unknown: () => app.client('lw_1_00000000_nothing').get('/v1/units'),
  role_not_allowed: () => truck.gateway.client.get('/v1/units'),
  not_this_gateway: () => truck.gateway.client.get(`/v1/gateways/${nowhere}/counters`),
  pin_wrong: () => app.admin.post(`/v1/people/${nowhere}/sign-ins`, { pin: '2846' }),
  pin_not_set: 'sign.test.ts: before the first PIN',
  pin_needed: 'sign.test.ts: a sign-in for what wants the PIN',
  pin_locked: 'sign.test.ts: guessed at',
  pin_weak: () => app.admin.post(`/v1/people/${nowhere}/pin`, { newPin: '0000' }),
  person_left: 'people.test.ts: signs after leaving',
  sign_in_ended: 'sign.test.ts: after its time, with another key, after another PIN',
  competence_missing: 'competences.test.ts: gives what only a lead gives',
  competence_held: 'competences.test.ts: given twice',
  competence_ended: 'competences.test.ts: ended twice',
  second_person_needed: 'who-may.test.ts: checks what he did himself',
  not_alone: 'who-may.test.ts: while a second person works there',
  signature_missing: 'people.test.ts: another PIN without the one of now',
  not_found: () => admin({ url: `/v1/units/${nowhere}/tasks` }),
  route_not_found: () => admin({ url: '/v1/tea' }),
  method_not_allowed: () => admin({ method: 'DELETE', url: '/v1/units' }),
  already_exists: () => post('/v1/yards', { name: 'Taken', timeZone: 'UTC' }),
  install_overlaps: () =>
    post('/v1/installs', {
      unitId: truck.unitId,
      assetId: truck.liftId,
      from: text(startMs),
    }),
  controller_elsewhere: 'controllers.test.ts: a gateway of another unit',
  trouble_on_card: 'trouble-cards.test.ts: written up twice',
  trouble_closed: 'symptoms.test.ts: closed twice',
  walk_round_waits: 'walk-rounds.test.ts: reviewed before it was certified',
  visit_overlaps: 'visits.test.ts: a bay that is taken',
  visit_cancelled: 'visits.test.ts: cancelled twice',
  install_ended: 'installs-corrected.test.ts: ended twice',
  install_withdrawn: 'installs-corrected.test.ts: withdrawn twice',
  nothing_to_swap: async () => {
    const unitIds = [truck.unitId, await fleet.unit(await fleet.yard())];
    const at = text(startMs);
    return post('/v1/installs/swap', { unitIds, what: 'lift', at, reason: 'x' });
  },
  counter_declared_otherwise: () =>
    post(`/v1/gateways/${truck.gateway.id}/counters`, {
      counters: [{ ...ptoCounter, widthBits: 16 }],
    }),
  task_ambiguous: 'upkeep.test.ts: two lifts on one unit',
  control_overlaps: 'retention.test.ts: controlled twice at a time',
  control_ended: 'retention.test.ts: ended twice',
  order_lifted: 'retention.test.ts: lifted twice',
  records_preserved: 'retention.test.ts: a fleet that would leave',
  not_known_then: 'records.test.ts: an event to come',
  measure_invalid: 'measurements.test.ts: a size with four decimals',
  part_overlaps: 'part-lives.test.ts: two parts in one place',
  part_removed: 'part-lives.test.ts: removed twice',
  part_life_impossible: 'part-lives.test.ts: a new part that was used before',
  already_voided: 'upkeep.test.ts: voided twice',
  stop_cleared: 'stops.test.ts: cleared twice',
  stop_not_yours: 'stops.test.ts: dispatch and a defect',
  stop_impossible: 'stops.test.ts: limited, without limits',
  stop_not_waiting: 'stops.test.ts: dropped twice',
  unit_not_ready: 'assignments.test.ts: a unit that is stopped',
  finding_closed: 'findings.test.ts: closed twice',
  finding_open: 'stops.test.ts: cleared before it is mended',
  finding_impossible: 'findings.test.ts: to be mended, without a date',
  request_in_flight: 'idempotency.test.ts: while the first is still at work',
  body_too_large: () => post('/v1/yards', { ...yard, name: 'x'.repeat(300_000) }),
  media_type_unsupported: () => post('/v1/yards', '<yard/>', { 'content-type': 'text/xml' }),
  reference_unknown: () => post('/v1/units', { number: '1', homeYardId: nowhere }),
  pattern_invalid: () => post('/v1/patterns', { document: {} }),
  resolution_invalid: () =>
    post(`/v1/gateways/${truck.gateway.id}/counters`, {
      counters: [{ ...ptoCounter, counter: 'fine', resolution: 0.0001 }],
    }),
  basis_invalid: () =>
    post(`/v1/gateways/${truck.gateway.id}/counters`, {
      counters: [{ ...ptoCounter, counter: 'bus', basis: 'j1939_249' }],
    }),
  meter_unknown: () =>
    post(`/v1/gateways/${truck.gateway.id}/counters`, {
      counters: [{ ...ptoCounter, counter: 'air', meter: 'airtime' }],
    }),
  meter_not_counted: () => read({ meter: 'engine_hours' }),
  dial_value_invalid: () => read({ value: 1.23 }),
  adjustment_impossible: () =>
    post(`/v1/assets/${truck.liftId}/adjustments`, {
      ...{ meter: 'pto_hours', amount: -1, at: text(startMs), name: 'A. Penn', reason: 'x' },
    }),
  source_elsewhere: 'meter-sources.test.ts: a gateway of another unit',
  decision_impossible: 'decisions.test.ts: a fall that shall count',
  nothing_to_decide: () =>
    post(`/v1/gateways/${truck.gateway.id}/decisions`, {
      ...{ counter: 'pto_hours', epoch: 0, seq: 7, decision: 'neither' },
      ...{ name: 'A. Penn', reason: 'x' },
    }),
  dial_falls: async () => {
    await read({ value: 10, at: text(startMs - 40 * hourMs) });
    return read({ value: 9, at: text(startMs - 30 * hourMs) });
  },
  dial_too_fast: () => read({ value: 100, at: text(startMs - 30 * hourMs) }),
  dial_differs: () => read({ value: 11, at: text(startMs - 40 * hourMs) }),
  time_invalid: () =>
    post(`/v1/units/${truck.unitId}/tasks/grease/done`, { at: '1999-01-01T00:00:00Z' }),
  fleet_leaving: 'fleet-deletion.test.ts: asked again after it was confirmed',
  confirmation_invalid: () => post('/v1/fleet/deletion/confirm', { token: 'x', name: 'y' }),
  import_refused: () => post('/v1/imports', { dryRun: false, yards: 'name\nNorth' }),
  card_state: 'job-card-life.test.ts: every act in a state that does not have it',
  card_lacks: 'job-card-life.test.ts: signed off before all was told',
  card_has_work: 'job-card-life.test.ts: withdrawn after work',
  locks_stand: 'job-card-life.test.ts: ended while another has hands on',
  nothing_to_check: 'job-card-signing.test.ts: a step that is not done',
  card_empty: () => post('/v1/job-cards', { unitId: truck.unitId, tasks: [] }),
  card_too_long: 'job-cards.test.ts: a card in the yard with too many points',
  deferral_refused: () =>
    post(`/v1/units/${truck.unitId}/tasks/grease/deferrals`, {
      untilDay: '2026-03-09',
      reason: 'no bay',
      signature: lead.signature,
    }),
  idempotency_key_reused: async () => {
    const headers = { 'idempotency-key': 'reused' };
    await post('/v1/yards', { ...yard, name: 'Once' }, headers);
    return post('/v1/yards', { ...yard, name: 'Twice' }, headers);
  },
  precondition_failed: () => patchYard({ 'if-match': '"x"' }),
  precondition_missing: () => patchYard(),
  rate_limited: 'request-limits.test.ts: a key beyond its limit',
  internal: 'below: a fault of ours',
  overloaded: 'database-away.test.ts',
  stopping: 'stopping.test.ts',
  not_ready: 'readiness.test.ts',
};

describe('the catalogue', () => {
  test.each(Object.entries(reached).filter(([, how]) => typeof how !== 'string'))(
    '%s',
    async (code, how) => {
      const answer = await (how as () => Promise<Answer>)();
      const [status, title] = catalogue[code as ProblemCode];
      expect(answer.body).toMatchObject({
        type: `/docs/problems#${code}`,
        title,
        status,
        code,
      });
      expect([answer.status, answer.code]).toEqual([status, code]);
      expect(answer.headers['content-type']).toBe('application/problem+json; charset=utf-8');
      expect(answer.body.detail).toMatch(/\w/);
      const [path, id] = answer.body.instance.split('#');
      expect(path).toMatch(/^\/v1\/[\w/-]+$/);
      expect(id).toMatch(/^[\da-f-]{36}$/);
      expect(answer.headers['www-authenticate']).toBe(
        status === 401 ? 'Bearer realm="liftwright"' : undefined,
      );
    },
  );

  test('for people: every code has its place on the page that `type` points at', async () => {
    const answer = await admin({ url: `/v1/units/${nowhere}` });
    const { pathname, hash } = new URL(answer.body.type, 'https://fleet.example/v1/units/');
    expect(hash).toBe('#not_found');
    const page = await app.client(null).call({ url: pathname, undocumented: true });
    expect([page.status, page.headers['content-type']]).toEqual([200, 'text/html; charset=utf-8']);
    const rows = [...String(page.body).matchAll(/<tr id="(\w+)">(.*)<\/tr>/g)];
    const cells = rows.map(([, code, row]) => [code, ...[...row!.matchAll(/<td>(.*?)<\/td>/g)]]);
    const shown = cells.map(([code, , status, title, advice]) => {
      expect([code, advice?.[1]]).toEqual([code, expect.stringMatching(/^[A-Z].{20,200}\.$/)]);
      return [code, status?.[1], title?.[1]];
    });
    const known = Object.entries(catalogue).map(([code, [status, title]]) => [
      code,
      String(status),
      title,
    ]);
    expect(shown).toEqual(known);
  });
});

describe('faults are named where they are', () => {
  test('in a body, by pointer', async () => {
    const body = { name: '', timeZone: 'Mars/Olympus', more: 1 };
    const { body: problem } = await post('/v1/yards', body);
    const paths = problem.errors.map((error: { path: string }) => error.path);
    expect(paths).toEqual(expect.arrayContaining(['/name', '/timeZone']));
    expect(problem.detail).toContain('3 fault(s)');
  });

  test('in a pattern, at most a hundred', async () => {
    const tasks = Array.from({ length: 150 }, () => ({ key: 'UPPER' }));
    const document = { name: 'P', assetKind: 'lift', servicePoints: [], tasks, wearParts: [] };
    const { body: problem, code } = await post('/v1/patterns', { document });
    expect(code).toBe('pattern_invalid');
    expect(problem.errors).toHaveLength(100);
    expect(problem.errors[0].path).toMatch(/^\/document\//);
    expect(problem.detail).toMatch(/100 and \d+ more fault/);
  });
});

describe('requests that cannot be read', () => {
  const yards = { method: 'POST', url: '/v1/yards' } as const;
  test.each<[string, Call, number, string]>([
    ['no body', yards, 400, 'body_invalid'],
    ['an empty body', { ...yards, body: '' }, 400, 'body_unreadable'],
    ['a body of two', { ...yards, body: '{}{}' }, 400, 'body_unreadable'],
    ['a body that is a number', { ...yards, body: '7' }, 400, 'body_invalid'],
    [
      'bytes that are no UTF-8',
      { ...yards, body: Buffer.from([0xff, 0xfe]) },
      400,
      'body_unreadable',
    ],
    ['a poisoned object', { ...yards, body: '{"__proto__": {"a": 1}}' }, 400, 'body_unreadable'],
    [
      'plain text',
      { ...yards, body: 'x', headers: { 'content-type': 'text/plain' } },
      415,
      'media_type_unsupported',
    ],
    [
      'a packed body that is not unpacked here',
      { ...yards, body: Buffer.from([0x1f, 0x8b]), headers: { 'content-encoding': 'gzip' } },
      415,
      'media_type_unsupported',
    ],
    ['a path that is no text', { url: '/v1/units/%zz/tasks' }, 400, 'query_invalid'],
    ['an id that is none', { url: '/v1/units/12/tasks' }, 400, 'query_invalid'],
    [
      'a path part beyond its length',
      { url: `/v1/units/${'x'.repeat(300)}/tasks` },
      400,
      'query_invalid',
    ],
  ])('%s', async (_, call, status, code) => {
    const answer = await admin(call);
    expect([answer.status, answer.code]).toEqual([status, code]);
  });

  test.each<[string, Call, string]>([
    ['in a body', { ...yards, body: { name: 'a\u0000b', timeZone: 'UTC' } }, 'body_invalid'],
    [
      'in a document',
      {
        method: 'POST',
        url: '/v1/keys',
        body: { role: 'lead', name: 'nul \u0000' },
        headers: { 'idempotency-key': 'nul' },
      },
      'body_invalid',
    ],
    ['in a query', { url: '/v1/events?subject=%00' }, 'query_invalid'],
  ])('the character U+0000 %s', async (_, call, code) => {
    const answer = await admin(call);
    expect([answer.status, answer.code]).toEqual([400, code]);
  });

  test('half a surrogate pair is replaced or refused, never a fault of ours', async () => {
    const at = text(startMs);
    const note = 'half \ud800';
    const url = `/v1/units/${truck.unitId}/tasks/grease/done`;
    const answer = await post(url, { at, note });
    expect([201, 400]).toContain(answer.status);
  });
});

describe('routes and methods', () => {
  test.each([
    ['DELETE', '/v1/units', ['GET', 'HEAD', 'POST']],
    ['PUT', `/v1/units/${nowhere}/tasks`, ['GET', 'HEAD']],
    ['GET', '/v1/readings', ['POST']],
    ['PATCH', `/v1/units/${nowhere}/tasks/grease/done`, ['POST']],
    ['POST', '/healthz', ['GET', 'HEAD']],
  ] as const)('%s %s is no method of it', async (method, url, allowed) => {
    const answer = await app.client(null).call({ method, url });
    expect([answer.status, answer.code]).toEqual([405, 'method_not_allowed']);
    expect(answer.headers.allow?.split(', ').sort()).toEqual(allowed);
  });

  test.each(['/', '/v2/units', '/v1/units/', '/v1/unitsx', '/v1//units', '/v1/units/x/y/z'])(
    '%s is no route',
    async (url) => {
      for (const method of ['GET', 'POST'] as const) {
        const answer = await app.client(null).call({ method, url });
        expect([answer.status, answer.code]).toEqual([404, 'route_not_found']);
        expect(answer.headers.allow).toBeUndefined();
      }
    },
  );

  test('HEAD answers like GET, without a body', async () => {
    const head = await admin({ method: 'HEAD', url: '/v1/units' });
    expect([head.status, head.body]).toEqual([200, null]);
  });
});

describe('a fault of ours', () => {
  test('says nothing of the database, and is logged under its id', async () => {
    const secret = 'kept to ourselves';
    await app.db.owner.query(`create function public.fail() returns trigger language plpgsql as $$
      begin raise exception '${secret}' using errcode = 'XX000',
        detail = 'table yard', hint = 'look in pg_class'; end $$`);
    await app.db.owner.query(`create trigger fail before insert on liftwright.yard
      for each row execute function public.fail()`);
    const answer = await post('/v1/yards', yard);
    await app.db.owner.query('drop trigger fail on liftwright.yard');
    expect([answer.status, answer.code]).toEqual([500, 'internal']);
    expect(Object.keys(answer.body).sort()).toEqual(
      ['code', 'detail', 'instance', 'status', 'title', 'type'].sort(),
    );
    expect(JSON.stringify(answer.body)).not.toMatch(/kept|yard"|pg_class|XX000|insert|trigger/i);
    const id = answer.body.instance.split('#')[1];
    const line = app.logged.find((each) => each.includes(id));
    expect(line).toContain(secret);
    // and the connection is as good as before
    expect((await post('/v1/yards', yard)).status).toBe(201);
  });

  test('a name that another row has says nothing of the row', async () => {
    const answer = await post('/v1/yards', { name: 'Taken', timeZone: 'UTC' });
    expect(JSON.stringify(answer.body)).not.toMatch(/constraint|yard_|key \(|duplicate/i);
  });
});
