import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { hourMs, startMs, text } from '../helpers/fleet.ts';
import { Shop } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
});

const kinds = (stops: Json[]) => stops.map(({ kind }) => kind);
const stepOf = (card: Json, work: string) => card.steps.find((s: Json) => s.work === work);

describe('a card from being written up to being signed off', () => {
  test('locks, steps, together and safe, checked, signed: done when it was', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease', 'bolts'], {}, truck);
    const begun = await shop.did(card, 'begin', shop.ann);
    expect(begun).toMatchObject({ state: 'hands_on', begunAt: text(startMs) });
    expect(await shop.stops(truck)).toMatchObject([
      { kind: 'work_lock', placed_by_person: shop.ann.personId, cause_kind: 'job_card' },
    ]);
    app.clock.set(startMs + 2 * hourMs);
    const steps: Json[] = card.steps;
    const commands = steps.map((step, i) =>
      shop.command(step, 'done', { at: text(startMs + i * 60_000) }),
    );
    expect(new Set(await shop.tell(card, shop.ann, ...commands))).toEqual(new Set(['taken']));
    const ended = await shop.end(card, shop.ann);
    expect(ended).toMatchObject({ state: 'to_sign', togetherAndSafe: true });
    expect(await shop.stops(truck)).toEqual([]);
    expect(ended.lacking).toEqual([{ code: 'needs_check', stepId: shop.critical(card)[0] }]);
    expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('card_lacks');
    await shop.did(card, 'checks', shop.ben, { stepIds: shop.critical(card) });
    const signed = await shop.did(card, 'sign-off', shop.lee, { words: 'Good work.' });
    expect(signed).toMatchObject({ state: 'signed_off', lacking: [], sealHolds: true });
    expect(signed.signatures.map((each: Json) => each.act)).toEqual([
      'begin',
      'end_work',
      'check',
      'sign_off',
    ]);
    expect(await shop.read(card.cardId)).toEqual(signed);
    const dones = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
    const at = (work: string) =>
      text(startMs + 60_000 * steps.findIndex((each) => each.work === work));
    expect(dones.map((each) => [each.task, each.at, each.cardId]).sort()).toEqual([
      ['bolts', at('fasten'), card.cardId],
      ['grease', at('grease'), card.cardId],
    ]);
    await app.settle();
    const task = await shop.fleet.task(truck.unitId, 'grease');
    expect(task.status).toBe('ahead');
    const events = await shop.fleet.events({ subject: `unit/${truck.unitId}` });
    const types = events.map(({ type }) => type).filter((type) => type.startsWith('job_card'));
    expect(types).toEqual([
      'job_card.written_up',
      'job_card.begun',
      'job_card.steps_told',
      'job_card.work_ended',
      'job_card.checked',
      'job_card.signed_off',
      'job_card.sealed',
    ]);
    app.clock.set(startMs);
  });

  test('what was not done leaves its task due; what was done counts', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease', 'look'], {}, truck);
    await shop.did(card, 'begin', shop.ann);
    const commands = card.steps
      .filter((step: Json) => step.work !== 'wipe_and_look')
      .map((step: Json) => shop.command(step, step.work === 'grease' ? 'not_done' : 'done'));
    await shop.tell(card, shop.ann, ...commands);
    await shop.end(card, shop.ann);
    expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('card_lacks');
    await shop.did(card, 'sign-off', shop.lee, { restNotDone: 'The unit was wanted.' });
    const dones = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
    expect(dones.map((each) => each.task)).toEqual(['look']);
  });
});

describe('hands on and off', () => {
  test('two people: each lifts the own lock, and the card is set down by the last', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease'], {}, truck);
    await shop.did(card, 'begin', shop.ann);
    await shop.did(card, 'begin', shop.ann);
    await shop.did(card, 'begin', shop.ben);
    expect(kinds(await shop.stops(truck))).toEqual(['work_lock', 'work_lock']);
    const early = await shop.act(card, 'end-work', shop.ann, { togetherAndSafe: true });
    expect(early.code).toBe('locks_stand');
    expect(kinds(await shop.stops(truck)), 'nothing was half done').toHaveLength(2);
    const left = await shop.did(card, 'set-down', shop.ann, { togetherAndSafe: true });
    expect(left.state).toBe('hands_on');
    expect(await shop.stops(truck)).toMatchObject([{ placed_by_person: shop.ben.personId }]);
    const down = await shop.did(card, 'set-down', shop.ben, { togetherAndSafe: true });
    expect(down.state).toBe('set_down');
    expect(await shop.stops(truck)).toEqual([]);
    const again = await shop.did(card, 'begin', shop.ann);
    expect(again.state).toBe('hands_on');
  });

  test('not together and safe: the unit is stopped until a lead signs it off as safe', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease'], {}, truck);
    await shop.did(card, 'begin', shop.ann);
    const more = { togetherAndSafe: false, words: 'The crossbar is off.' };
    await shop.did(card, 'set-down', shop.ann, more);
    expect(await shop.stops(truck)).toMatchObject([
      { kind: 'defect', functions: expect.arrayContaining(['wheel_lift', 'road']) },
    ]);
    await shop.did(card, 'begin', shop.ann);
    await shop.did(card, 'set-down', shop.ann, more);
    expect(await shop.stops(truck), 'one such stop a card').toHaveLength(1);
    await shop.work(card, shop.ann);
    await shop.end(card, shop.ann);
    expect(await shop.stops(truck)).toHaveLength(1);
    await shop.did(card, 'sign-off', shop.lee);
    expect(await shop.stops(truck)).toEqual([]);
  });

  test('signed off apart: the stop stays', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease'], {}, truck);
    await shop.work(card, shop.ann);
    await shop.end(card, shop.ann, { togetherAndSafe: false });
    await shop.did(card, 'sign-off', shop.lee);
    expect(kinds(await shop.stops(truck))).toEqual(['defect']);
  });

  test('sent back, worked on, and signed', async () => {
    const card = await shop.write(['grease']);
    await shop.work(card, shop.ann);
    await shop.end(card, shop.ann);
    const back = await shop.did(card, 'send-back', shop.lee, { words: 'Wipe it.' });
    expect(back).toMatchObject({ state: 'set_down', workEndedAt: null });
    await shop.did(card, 'begin', shop.ben);
    await shop.end(card, shop.ben);
    expect((await shop.did(card, 'sign-off', shop.lee)).state).toBe('signed_off');
  });

  test('begun while the phone was offline: when it was, not before the card', async () => {
    app.clock.set(startMs + 5 * hourMs);
    const card = await shop.write(['grease']);
    app.clock.set(startMs + 9 * hourMs);
    const begun = await shop.did(card, 'begin', shop.ann, { at: text(startMs + 7 * hourMs) });
    expect(begun.begunAt).toBe(text(startMs + 7 * hourMs));
    const early = await shop.write(['grease']);
    const before = await shop.did(early, 'begin', shop.ann, { at: text(startMs) });
    expect(before.begunAt).toBe(early.writtenUpAt);
    app.clock.set(startMs);
  });
});

describe('what a state does not have', () => {
  const bodies: Record<string, object> = {
    'set-down': { togetherAndSafe: true },
    'end-work': { togetherAndSafe: true },
    'send-back': { words: 'x' },
    'sign-off': {},
    withdraw: { words: 'x' },
    corrections: { words: 'x' },
  };
  const refusedIn: Record<string, string[]> = {
    written_up: ['set-down', 'end-work', 'send-back', 'sign-off', 'corrections'],
    hands_on: ['send-back', 'sign-off', 'withdraw', 'corrections'],
    set_down: ['set-down', 'send-back', 'sign-off', 'corrections'],
    to_sign: ['begin', 'end-work', 'withdraw', 'corrections'],
    signed_off: ['begin', 'set-down', 'end-work', 'send-back', 'sign-off', 'withdraw'],
    withdrawn: ['begin', 'set-down', 'end-work', 'send-back', 'sign-off', 'withdraw'],
  };
  const leads = ['send-back', 'sign-off', 'withdraw', 'corrections'];
  const to: Record<string, (card: Json) => Promise<unknown>> = {
    written_up: async () => undefined,
    hands_on: (card) => shop.did(card, 'begin', shop.ann),
    set_down: async (card) => {
      await shop.did(card, 'begin', shop.ann);
      await shop.did(card, 'set-down', shop.ann, { togetherAndSafe: true });
    },
    to_sign: async (card) => {
      await shop.work(card, shop.ann);
      await shop.end(card, shop.ann);
    },
    signed_off: async (card) => {
      await shop.work(card, shop.ann);
      await shop.end(card, shop.ann);
      await shop.did(card, 'sign-off', shop.lee);
    },
    withdrawn: (card) => shop.did(card, 'withdraw', shop.lee, { words: 'Not wanted.' }),
  };

  test.each(Object.keys(refusedIn))('%s', async (state) => {
    const card = await shop.write(['grease']);
    await to[state]?.(card);
    expect((await shop.read(card.cardId)).state).toBe(state);
    for (const act of refusedIn[state] as string[]) {
      const by = leads.includes(act) ? shop.lee : shop.ann;
      const answer = await shop.act(card, act, by, bodies[act] ?? {});
      expect([act, answer.code]).toEqual([act, 'card_state']);
    }
    expect((await shop.read(card.cardId)).state).toBe(state);
  });

  test('a card with work on it is not withdrawn', async () => {
    const card = await shop.write(['grease']);
    await shop.work(card, shop.ann);
    await shop.did(card, 'set-down', shop.ann, { togetherAndSafe: true });
    const answer = await shop.act(card, 'withdraw', shop.lee, { words: 'x' });
    expect(answer.code).toBe('card_has_work');
  });
});

describe('who may', () => {
  test.each([
    ['begin', () => shop.dan, {}],
    ['commands', () => shop.lee, { commands: [] }],
    ['set-down', () => shop.dan, { togetherAndSafe: true }],
    ['withdraw', () => shop.ann, { words: 'x' }],
    ['sign-off', () => shop.ben, {}],
    ['send-back', () => shop.ben, { words: 'x' }],
  ] as const)('%s wants another competence', async (act, by, more) => {
    const card = await shop.write(['grease']);
    expect((await shop.act(card, act, by(), more)).code).toBe('competence_missing');
  });

  test('nobody begins without signing, and hands off wants the PIN itself', async () => {
    const card = await shop.write(['grease']);
    expect((await shop.act(card, 'begin', null)).code).toBe('body_invalid');
    const url = `/v1/people/${shop.ann.personId}/sign-ins`;
    const { pin } = shop.ann.signature as { pin: string };
    const { token } = await shop.client.made(url, { pin });
    const signedIn = { ...shop.ann, signature: { signIn: token } };
    await shop.did(card, 'begin', signedIn);
    const off = await shop.act(card, 'set-down', signedIn, { togetherAndSafe: true });
    expect(off.code).toBe('pin_needed');
  });
});

test('a short card in the yard: the driver works and signs it', async () => {
  const truck = await shop.newTruck();
  const card = await shop.write(['grease'], { kind: 'yard' }, truck);
  await shop.work(card, shop.dan);
  await shop.end(card, shop.dan);
  expect((await shop.did(card, 'sign-off', shop.dan)).state).toBe('signed_off');
  const dones = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
  expect(dones.map((each) => each.task)).toEqual(['grease']);
});

test('a first look that finds it unfit ends the card with a stop', async () => {
  const truck = await shop.newTruck();
  const card = await shop.write(['look', 'grease'], {}, truck);
  await shop.did(card, 'begin', shop.ann);
  const look = stepOf(card, 'look');
  const unfit = { find: { grade: 'unfit' }, tap: 'cracked', words: 'At the root.' };
  const told = await shop.did(card, 'commands', shop.ann, {
    commands: [shop.command(look, 'not_right', unfit), shop.command(stepOf(card, 'grease'))],
  });
  expect(told).toMatchObject({
    state: 'to_sign',
    verdicts: [{ verdict: 'taken' }, { verdict: 'taken', findingId: null }],
  });
  const ended = await shop.read(card.cardId);
  expect(ended).toMatchObject({ state: 'to_sign', endedByFinding: told.verdicts[0].findingId });
  const stops = await shop.stops(truck);
  expect(stops).toMatchObject([{ kind: 'work_lock' }, { kind: 'defect' }]);
  expect(stops[1].functions.sort()).toEqual(['road', 'wheel_lift']);
  expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('locks_stand');
  await shop.did(card, 'set-down', shop.ann, { togetherAndSafe: true });
  await shop.did(card, 'sign-off', shop.lee);
  expect(kinds(await shop.stops(truck)), 'it is still unfit').toEqual(['defect']);
});

test('what is unfit is mended, checked by a second person, and free again', async () => {
  const truck = await shop.newTruck();
  const first = await shop.write(['look'], {}, truck);
  await shop.did(first, 'begin', shop.ann);
  const find = { find: { grade: 'unfit' }, tap: 'bent' };
  const { verdicts } = await shop.did(first, 'commands', shop.ann, {
    commands: [shop.command(stepOf(first, 'look'), 'not_right', find)],
  });
  const { findingId } = verdicts[0];
  await shop.did(first, 'set-down', shop.ann, { togetherAndSafe: true });
  await shop.did(first, 'sign-off', shop.lee);
  const repair = await shop.client.made('/v1/job-cards', {
    ...{ unitId: truck.unitId, kind: 'follow_on', findings: [findingId], follows: first.cardId },
  });
  const mend = stepOf(repair, 'mend');
  expect(mend).toMatchObject({ pointKey: 'pin', findingId, liftCritical: true });
  await shop.work(repair, shop.ann);
  await shop.end(repair, shop.ann);
  expect((await shop.act(repair, 'sign-off', shop.lee)).code).toBe('card_lacks');
  await shop.did(repair, 'checks', shop.ben, { stepIds: [mend.stepId] });
  expect(kinds(await shop.stops(truck))).toEqual(['defect']);
  await shop.did(repair, 'sign-off', shop.lee);
  expect(await shop.stops(truck)).toEqual([]);
  const again = await shop.client.post('/v1/job-cards', {
    ...{ unitId: truck.unitId, findings: [findingId] },
  });
  expect(again.code, 'it is mended').toBe('reference_unknown');
});

test('a card that follows does what one left, and the task is done with both', async () => {
  const truck = await shop.newTruck();
  const card = await shop.write(['grease', 'bolts'], {}, truck);
  await shop.did(card, 'begin', shop.ann);
  expect((await shop.act(card, 'follow-on', null)).code).toBe('card_state');
  const waits = { reason: 'waits_for_part', words: 'The fitting is on order.' };
  const commands = card.steps.map((step: Json) =>
    step.work === 'grease'
      ? shop.command(step, 'not_done', waits)
      : shop.command(step, 'done', { at: text(startMs) }),
  );
  await shop.tell(card, shop.ann, ...commands);
  await shop.end(card, shop.ann);
  await shop.did(card, 'checks', shop.ben, { stepIds: shop.critical(card) });
  await shop.did(card, 'sign-off', shop.lee);
  const next = await shop.did(card, 'follow-on', null, { reasons: ['The fitting came.'] });
  expect(next).toMatchObject({
    kind: 'follow_on',
    follows: card.cardId,
    cause: { kind: 'job_card', id: card.cardId },
    tasks: [{ task: 'grease' }],
  });
  await shop.work(next, shop.ben);
  await shop.end(next, shop.ben);
  await shop.did(next, 'sign-off', shop.lee);
  const dones = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
  expect(dones.map((each) => [each.task, each.cardId]).sort()).toEqual([
    ['bolts', card.cardId],
    ['grease', next.cardId],
  ]);
  expect((await shop.act(next, 'follow-on', null)).code, 'nothing is left').toBe('card_empty');
});
