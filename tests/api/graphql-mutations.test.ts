import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Client, Json } from '../helpers/client.ts';
import { FleetBuilder, startMs, text } from '../helpers/fleet.ts';
import { graph, nodesOf, statementsOf } from '../helpers/graph.ts';
import { Shop, type Worker } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
let phone: Client;
beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
  phone = await app.as('technician');
});

const args = '$cardId: ID!, $signature: SignatureInput!, $requestId: String';
const same = 'cardId: $cardId, signature: $signature, requestId: $requestId';
/** A mutation of a card, its own arguments written out. */
const mutation = (name: string, more = '', selection = 'id state') =>
  `mutation (${args}) { ${name}(${same} ${more}) { ${selection} } }`;

async function ask(name: string, card: Json, by: object, more: Json = {}) {
  const { literal = '', client = phone, selection, ...variables } = more;
  const query = variables.query ?? mutation(name, literal, selection);
  const { query: _, ...rest } = variables;
  const body = { query, variables: { cardId: card.cardId, signature: by, ...rest } };
  return (await client.post('/graphql', body)).body;
}
async function did(name: string, card: Json, by: Worker, more: Json = {}): Promise<Json> {
  const { data, errors } = await ask(name, card, by.signature, more);
  expect(errors).toBeUndefined();
  return data[name];
}
const refusal = async (name: string, card: Json, by: object, more: Json = {}) => {
  const { data, errors } = await ask(name, card, by, more);
  expect(data ?? null).toBeNull();
  return errors[0].extensions.code;
};

const tell = `mutation ($cardId: ID!, $signature: SignatureInput!, $requestId: String,
    $commands: [StepCommandInput!]!) {
  tellSteps(${same}, commands: $commands) { card { state }
    verdicts { clientId verdict detail findingId stopId errors { path reason } } } }`;

const wholeSelection = `id kind state reasons togetherAndSafe restNotDone closedAt seal
  tasks { assetId task name why } unit { id } whole { sealHolds lacking { code stepId }
  signatures { id act stepId by { personId name } via togetherAndSafe words at recordedAt }
  corrections { id words }
  steps { id stepNo work title result disputed doneAt liftCritical needsCheck checked
    needsCountersign countersigned cautions taps
    said { clientId result tap words at saidAt by { name } late review replaces } } }`;
const shownByRest = (card: Json): Json => ({
  ...Object.fromEntries(
    ['kind', 'state', 'reasons', 'togetherAndSafe', 'restNotDone', 'closedAt', 'seal', 'tasks'].map(
      (key) => [key, card[key]],
    ),
  ),
  id: card.cardId,
  unit: { id: card.unitId },
  whole: {
    sealHolds: card.sealHolds,
    lacking: card.lacking,
    signatures: card.signatures.map(({ signatureId: id, ...row }: Json) => ({ id, ...row })),
    corrections: card.corrections,
    steps: card.steps.map((step: Json) => ({
      ...Object.fromEntries(
        [
          ...['stepNo', 'work', 'title', 'result', 'disputed', 'doneAt', 'liftCritical'],
          ...['needsCheck', 'checked', 'needsCountersign', 'countersigned', 'cautions', 'taps'],
        ].map((key) => [key, step[key]]),
      ),
      id: step.stepId,
      said: step.said.map((said: Json) => ({
        ...Object.fromEntries(
          [
            ...['clientId', 'result', 'tap', 'words', 'at', 'saidAt', 'late', 'review'],
            'replaces',
          ].map((key) => [key, said[key]]),
        ),
        by: { name: said.by.name },
      })),
    })),
  },
});

test('a card is worked and signed in the graph as in REST, and reads alike', async () => {
  const card = await shop.write(['bolts', 'grease']);
  const { ann, ben, lee } = shop;
  const { pin } = ann.signature as { pin: string };
  const { token } = await phone.made(`/v1/people/${ann.personId}/sign-ins`, { pin });
  const tapping = { signature: { signIn: token } } as unknown as Worker;
  expect((await did('beginJobCard', card, tapping)).state).toBe('hands_on');
  const commands = card.steps.map((step: Json) => shop.command(step));
  const told = await did('tellSteps', card, tapping, { query: tell, commands });
  expect(new Set(told.verdicts.map((each: Json) => each.verdict))).toEqual(new Set(['taken']));
  const again = { query: tell, commands: commands.toReversed() };
  const { verdicts } = await did('tellSteps', card, tapping, again);
  expect(new Set(verdicts.map((each: Json) => each.verdict))).toEqual(new Set(['duplicate']));
  // what changes what the unit may do wants the PIN itself
  const safe = { literal: 'togetherAndSafe: true' };
  expect(await refusal('endWorkOnJobCard', card, tapping.signature, safe)).toBe('pin_needed');
  expect((await did('endWorkOnJobCard', card, ann, safe)).state).toBe('to_sign');
  const ids = { literal: `stepIds: ${JSON.stringify(shop.critical(card))}` };
  expect(await refusal('checkSteps', card, ann.signature, ids)).toBe('second_person_needed');
  expect(await refusal('signOffJobCard', card, lee.signature)).toBe('card_lacks');
  await did('checkSteps', card, ben, ids);
  expect(await refusal('signOffJobCard', card, ben.signature)).toBe('competence_missing');
  const signed = await did('signOffJobCard', card, lee, { selection: wholeSelection });
  expect(signed.state).toBe('signed_off');
  expect(signed).toEqual(shownByRest(await shop.read(card.cardId)));
  expect(await shop.stops()).toEqual([]);
});

test('a sign-in is good with its key, for its time, and while its person is here', async () => {
  const card = await shop.write(['grease']);
  const made = await shop.fleet.person(['lift_work']);
  const { personId, signature } = made;
  const signIn = async () => {
    const { pin } = signature;
    return (await phone.made(`/v1/people/${personId}/sign-ins`, { pin, minutes: 30 })).token;
  };
  const begin = (token: string, client = phone) =>
    refusal('beginJobCard', card, { signIn: token }, { client });
  const token = await signIn();
  expect(await begin(token, await app.as('technician'))).toBe('sign_in_ended');
  expect(await begin(token, await app.as('lead'))).toBe('sign_in_ended');
  expect(await begin(token, await app.otherFleet())).toBe('sign_in_ended');
  app.clock.set(startMs + 30 * 60_000);
  expect(await begin(token)).toBe('sign_in_ended');
  app.clock.set(startMs);
  const second = await signIn();
  expect(await begin(token)).toBe('sign_in_ended');
  await phone.made(`/v1/people/${personId}/pin`, { newPin: '58203', signature });
  expect(await begin(second)).toBe('sign_in_ended');
  await shop.client.made(`/v1/people/${personId}/pin`, { newPin: signature.pin });
  const third = await signIn();
  await shop.client.patch(`/v1/people/${personId}`, { leftAt: text(startMs) });
  expect(await begin(third)).toBe('sign_in_ended');
  expect(await refusal('beginJobCard', card, signature)).toBe('person_left');
  expect((await shop.read(card.cardId)).state).toBe('written_up');
  await shop.client.patch(`/v1/people/${personId}`, { leftAt: null });
  await shop.client.made(`/v1/people/${personId}/pin`, { newPin: signature.pin });
  expect(await begin(third)).toBe('sign_in_ended');
  const last = { signature: { signIn: await signIn() } } as unknown as Worker;
  expect((await did('beginJobCard', card, last)).state).toBe('hands_on');
});

test('every card reads as in REST, whatever the size of pages', async () => {
  await shop.work(await shop.write(['look']), shop.ann);
  await shop.write(['grease']);
  const wanted = await Promise.all(
    (await shop.client.all('/v1/job-cards')).map(async ({ cardId }) =>
      shownByRest(await shop.read(cardId)),
    ),
  );
  expect(wanted.length).toBeGreaterThan(2);
  for (const first of [1, 100]) {
    expect(await nodesOf(shop.client, 'jobCards', wholeSelection, first)).toEqual(wanted);
  }
  const ofUnit = `query ($id: ID!) { unit(id: $id) { jobCards { nodes { id } }
    begun: jobCards(state: hands_on) { nodes { id } } } }`;
  const { unit } = await graph(shop.client, ofUnit, { id: shop.truck.unitId });
  expect(unit.jobCards.nodes).toEqual(wanted.map(({ id }) => ({ id })));
  expect(unit.begun.nodes).toEqual(
    wanted.filter(({ state }) => state === 'hands_on').map(({ id }) => ({ id })),
  );
  const query = `query ($n: Int) { jobCards(first: $n) { nodes { unit { number }
    whole { steps { title } } } } }`;
  // cards, units, and four for all that belongs to the cards
  for (const n of [1, 50, 50, 50, 50])
    expect(await statementsOf(shop.client, query, { n })).toBe(6);
});

describe('a mutation', () => {
  test('that is sent again with its requestId is done once, by the same person', async () => {
    const card = await shop.write(['grease']);
    const requestId = randomUUID();
    const begin = () => did('beginJobCard', card, shop.ann, { requestId });
    expect([(await begin()).state, (await begin()).state]).toEqual(['hands_on', 'hands_on']);
    const begun = (await shop.read(card.cardId)).signatures.filter(
      ({ act }: Json) => act === 'begin',
    );
    expect(begun).toHaveLength(1);
    const other = { requestId, literal: 'at: "2026-03-01T00:00:00Z"' };
    expect(await refusal('beginJobCard', card, shop.ann.signature, other)).toBe(
      'idempotency_key_reused',
    );
    expect(await refusal('beginJobCard', card, shop.ben.signature, { requestId })).toBe(
      'idempotency_key_reused',
    );
    const wrong = { ...shop.ann.signature, pin: '9205' };
    expect(await refusal('beginJobCard', card, wrong, { requestId })).toBe('pin_wrong');
    for (const unfit of ['', 'a b', 'x'.repeat(201), 'ü']) {
      expect(await refusal('beginJobCard', card, shop.ann.signature, { requestId: unfit })).toBe(
        'query_invalid',
      );
    }
  });

  test('is for roles that may work on cards, and of its own fleet', async () => {
    const card = await shop.write(['grease']);
    for (const role of ['dispatcher', 'parts', 'auditor'] as const) {
      const client = await app.as(role);
      const code = await refusal('beginJobCard', card, shop.ann.signature, { client });
      expect([role, code]).toEqual([role, 'role_not_allowed']);
    }
    const other = new FleetBuilder(app, await app.otherFleet());
    const stranger = await other.person(['lift_work']);
    const client = other.client;
    expect(await refusal('beginJobCard', card, stranger.signature, { client })).toBe('not_found');
    expect(await refusal('beginJobCard', card, shop.ann.signature, { client })).toBe('pin_wrong');
    expect(await refusal('beginJobCard', card, shop.dan.signature)).toBe('competence_missing');
    expect((await shop.read(card.cardId)).state).toBe('written_up');
  });

  test('comes alone, within its cost, by POST', async () => {
    const card = await shop.write(['grease']);
    const signature = shop.ann.signature;
    const twice = `mutation (${args}) { a: beginJobCard(${same}) { id }
      b: beginJobCard(${same}) { id } }`;
    const dear = mutation(
      'beginJobCard',
      '',
      'unit { jobCards(first: 100) { nodes { whole { lacking { code } } unit { id } } } }',
    );
    const spy = vi.spyOn(pg.Client.prototype, 'query');
    for (const query of [twice, `${dear.slice(0, -2)} b: beginJobCard(${same}) { id } }`]) {
      expect(await refusal('', card, signature, { query })).toBe('graph_too_large');
    }
    const wide = `mutation (${args}) { beginJobCard(${same}) { ${Array.from(
      { length: 3 },
      (_, i) => `a${i}: unit { jobCards(first: 100) { nodes { whole { lacking { code } } } } }`,
    ).join(' ')} } }`;
    expect(await refusal('', card, signature, { query: wide })).toBe('graph_too_large');
    expect(spy).not.toHaveBeenCalled();
    spy.mockRestore();
    const query = encodeURIComponent(`mutation { beginJobCard(cardId: "${card.cardId}") { id } }`);
    const get = await phone.call({ url: `/graphql?query=${query}`, undocumented: true });
    expect([get.status, get.code]).toEqual([405, 'method_not_allowed']);
    expect((await shop.read(card.cardId)).state).toBe('written_up');
  });

  test('takes a signature only as it must be, and only in a variable', async () => {
    const card = await shop.write(['grease']);
    const { personId, pin } = shop.ann.signature as { personId: string; pin: string };
    const cardId = card.cardId;
    const texts = [
      `mutation { beginJobCard(cardId: "${cardId}", signature: {personId: "${personId}",
        pin: "${pin}"}) { id } }`,
      `mutation ($s: SignatureInput! = {personId: "${personId}", pin: "${pin}"}) {
        beginJobCard(cardId: "${cardId}", signature: $s) { id } }`,
      `mutation ($p: ID) { beginJobCard(cardId: "${cardId}", signature: {personId: $p,
        pin: "${pin}"}) { id } }`,
    ];
    for (const query of texts) {
      const { body } = await phone.post('/graphql', { query });
      expect(body.errors[0].extensions.code).toBe('graph_invalid');
      expect(JSON.stringify(body)).not.toContain(pin);
    }
    const half: [object, string][] = [
      [{}, 'query_invalid'],
      [{ personId }, 'query_invalid'],
      [{ personId, pin: '12' }, 'query_invalid'],
      [{ personId: 'x', pin }, 'query_invalid'],
      [{ personId, pin, signIn: 'x' }, 'query_invalid'],
      [{ signIn: '' }, 'query_invalid'],
      [{ signIn: 'x'.repeat(101) }, 'query_invalid'],
      [{ signIn: 'lws_nothing' }, 'sign_in_ended'],
    ];
    for (const [signature, code] of half) {
      expect([signature, await refusal('beginJobCard', card, signature)]).toEqual([
        signature,
        code,
      ]);
    }
    const number = await ask('beginJobCard', card, { personId, pin: 58203917 });
    expect(number.errors[0].extensions.code).toBe('graph_invalid');
    expect(JSON.stringify(number)).not.toContain('58203917');
  });

  test('with guessed PINs is slowed, and told for how long', async () => {
    const card = await shop.write(['grease']);
    const { personId } = await shop.fleet.person(['lift_work']);
    for (let i = 0; i < 5; i += 1) {
      expect(await refusal('beginJobCard', card, { personId, pin: '9205' })).toBe('pin_wrong');
    }
    const { errors } = await ask('beginJobCard', card, { personId, pin: '9205' });
    expect(errors[0].extensions).toMatchObject({ code: 'pin_locked', retryAfterSeconds: 60 });
  });

  test('judges what was given before it acts', async () => {
    const card = await shop.write(['grease']);
    const by = shop.lee.signature;
    const long = `words: "${'x'.repeat(1_001)}"`;
    expect(await refusal('withdrawJobCard', card, by, { literal: long })).toBe('query_invalid');
    expect(await refusal('withdrawJobCard', card, by, { literal: 'words: " "' })).toBe(
      'query_invalid',
    );
    expect(await refusal('checkSteps', card, by, { literal: 'stepIds: []' })).toBe('query_invalid');
    expect(await refusal('checkSteps', card, by, { literal: 'stepIds: ["7"]' })).toBe(
      'query_invalid',
    );
    const odd = { literal: 'at: "yesterday"' };
    expect(await refusal('beginJobCard', card, shop.ann.signature, odd)).toBe('graph_invalid');
    expect(await refusal('beginJobCard', { cardId: '7' }, by)).toBe('query_invalid');
    const taken = await did('withdrawJobCard', card, shop.lee, { literal: 'words: "not needed"' });
    expect(taken.state).toBe('withdrawn');
  });

  test('that fails in the database does nothing, and says nothing of it', async () => {
    const card = await shop.write(['grease']);
    const { owner } = app.db;
    await owner.query('alter table liftwright.card_signature rename to card_signature_away');
    const { errors } = await ask('beginJobCard', card, shop.ann.signature);
    await owner.query('alter table liftwright.card_signature_away rename to card_signature');
    expect(errors[0].extensions.code).toBe('internal');
    expect(JSON.stringify(errors)).not.toMatch(/relation|card_signature|insert/);
    expect(app.logged.join()).toContain('card_signature');
    app.logged.length = 0;
    expect((await shop.read(card.cardId)).state).toBe('written_up');
    expect((await did('beginJobCard', card, shop.ann)).state).toBe('hands_on');
  });

  test('stays done when the rest of its answer cannot be read', async () => {
    const card = await shop.write(['grease']);
    const { owner } = app.db;
    await owner.query('alter table liftwright.card_correction rename to card_correction_away');
    const selection = 'state whole { lacking { code } }';
    const { data, errors } = await ask('beginJobCard', card, shop.ann.signature, { selection });
    await owner.query('alter table liftwright.card_correction_away rename to card_correction');
    expect([data, errors[0].extensions.code]).toEqual([null, 'internal']);
    app.logged.length = 0;
    expect((await shop.read(card.cardId)).state).toBe('hands_on');
  });
});

test('what is not right in a step becomes a finding, and a stop where it is unfit', async () => {
  const truck = await shop.newTruck();
  const card = await shop.write(['look'], {}, truck);
  await did('beginJobCard', card, shop.ann);
  const look = card.steps.find((step: Json) => step.endsCardIfUnfit);
  const bent = shop.command(look, 'not_right', {
    words: 'bent',
    find: { grade: 'unfit', point: 'pin' },
  });
  const wrong = shop.command(look, 'not_done', { reason: 'no_time', stepId: randomUUID() });
  const told = await did('tellSteps', card, shop.ann, { query: tell, commands: [bent, wrong] });
  const [first, second] = told.verdicts;
  expect(first).toMatchObject({ clientId: bent.clientId, verdict: 'taken' });
  expect([typeof first.findingId, typeof first.stopId]).toEqual(['string', 'string']);
  expect(second).toMatchObject({ verdict: 'refused', detail: 'This card has no such step.' });
  expect(told.card.state).toBe('to_sign');
});
