import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { startMs, text } from '../helpers/fleet.ts';
import { Shop, type Worker } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
});

/** A card of the bolt, every step done. */
const worked = async (by: Worker) => {
  const card = await shop.write(['bolts']);
  await shop.work(card, by);
  await shop.end(card, by);
  return card;
};
const bolt = (card: Json) => card.steps.find((s: Json) => s.work === 'fasten');

describe('what holds the load is checked', () => {
  test('by somebody else, who may; shown with the name', async () => {
    const card = await worked(shop.ann);
    const stepIds = shop.critical(card);
    expect(stepIds).toEqual([bolt(card).stepId]);
    const refused = await shop.act(card, 'checks', shop.ann, { stepIds });
    expect(refused.code).toBe('second_person_needed');
    expect((await shop.act(card, 'checks', shop.dan, { stepIds })).code).toBe('competence_missing');
    const checked = await shop.did(card, 'checks', shop.ben, { stepIds });
    expect(bolt(checked)).toMatchObject({ needsCheck: true, checked: 'check' });
    expect(checked.signatures.at(-1)).toMatchObject({
      act: 'check',
      stepId: bolt(card).stepId,
      by: { personId: shop.ben.personId },
      via: 'pin',
    });
  });

  test('never by the one who did it, though he may check', async () => {
    const card = await worked(shop.ben);
    const answer = await shop.act(card, 'checks', shop.ben, { stepIds: shop.critical(card) });
    expect(answer.code).toBe('second_person_needed');
    expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('card_lacks');
  });

  test('again when the step was told anew', async () => {
    const card = await worked(shop.ann);
    const stepIds = shop.critical(card);
    await shop.did(card, 'checks', shop.ben, { stepIds });
    const later = { at: text(startMs + 60_000) };
    app.clock.set(startMs + 120_000);
    await shop.tell(card, shop.ann, shop.command(bolt(card), 'done', later));
    expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('card_lacks');
    await shop.did(card, 'checks', shop.ben, { stepIds });
    await shop.did(card, 'sign-off', shop.lee);
    app.clock.set(startMs);
  });

  test('only what is done, and of this card', async () => {
    const card = await shop.write(['bolts']);
    await shop.did(card, 'begin', shop.ann);
    const stepIds = shop.critical(card);
    expect((await shop.act(card, 'checks', shop.ben, { stepIds })).code).toBe('nothing_to_check');
    const other = await shop.write(['bolts']);
    const foreign = await shop.act(card, 'checks', shop.ben, { stepIds: shop.critical(other) });
    expect(foreign.code).toBe('reference_unknown');
  });

  test('in a fleet of one the doer declares it, which is shown as such', async () => {
    const admin = await app.otherFleet();
    const alone = new Shop(app);
    Object.assign(alone.fleet, { client: admin });
    const made = await admin.made('/v1/patterns', {
      document: (await import('../helpers/job-card.ts')).cardPattern,
    });
    alone.patternId = made.patternId;
    alone.truck = await alone.newTruck();
    const { personId, signature } = await alone.fleet.person(['lift_work', 'lift_check']);
    const { pin } = signature as { pin: string };
    await admin.made(`/v1/people/${personId}/competences`, {
      ...{ competence: 'lead', from: text(startMs - 1), evidence: 'owns it' },
    });
    const one = { personId, signature: { personId, pin } };
    alone.ben = one;
    const card = await alone.write(['bolts']);
    await alone.work(card, one);
    await alone.end(card, one);
    const stepIds = alone.critical(card);
    expect((await alone.act(card, 'checks', one, { stepIds })).code).toBe('second_person_needed');
    expect((await admin.patch('/v1/fleet', { oneMan: true })).status).toBe(200);
    const checked = await alone.did(card, 'checks', one, { stepIds });
    expect(bolt(checked).checked).toBe('self_check');
    const signed = await alone.did(card, 'sign-off', one);
    expect(bolt(signed)).toMatchObject({ checked: 'self_check', result: 'done' });
  });
});

describe('what a trainee did', () => {
  test('wants a countersign, which is a pass; after enough passes it does not', async () => {
    const tia = await shop.fleet.person(['lift_work'], { passesNeeded: 2 });
    for (let pass = 0; pass < 3; pass += 1) {
      const card = await shop.write(['grease']);
      await shop.work(card, tia);
      const ended = await shop.end(card, tia);
      const stepIds = card.steps.map((step: Json) => step.stepId);
      const codes = new Set(ended.lacking.map((each: Json) => each.code));
      expect(codes).toEqual(new Set(pass < 2 ? ['needs_countersign'] : []));
      if (pass < 2) {
        const own = await shop.act(card, 'countersigns', tia, { stepIds });
        expect(own.code).toBe('second_person_needed');
        expect((await shop.act(card, 'sign-off', shop.lee)).code).toBe('card_lacks');
        // In two parts: of one card it is one pass.
        await shop.did(card, 'countersigns', shop.ann, { stepIds: stepIds.slice(0, 2) });
        const vouched = await shop.did(card, 'countersigns', shop.ben, { stepIds });
        expect(vouched.steps.every((step: Json) => step.countersigned)).toBe(true);
      }
      await shop.did(card, 'sign-off', shop.lee);
    }
  });
});

describe('after the signature', () => {
  const signedOff = async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease'], {}, truck);
    await shop.work(card, shop.ann);
    await shop.end(card, shop.ann);
    return { truck, card: await shop.did(card, 'sign-off', shop.lee) };
  };

  test('only corrections: a task that was not done is due again, the card stays', async () => {
    const { truck, card } = await signedOff();
    const tasks = [{ assetId: truck.liftId, task: 'grease' }];
    const step = card.steps[3];
    const corrected = await shop.did(card, 'corrections', shop.lee, {
      ...{ stepId: step.stepId, words: 'The fitting was another one.', notDone: tasks },
    });
    expect(corrected).toMatchObject({
      state: 'signed_off',
      seal: card.seal,
      sealHolds: true,
      corrections: [{ stepId: step.stepId, tasks, decision: null }],
    });
    expect(corrected.steps).toEqual(card.steps);
    const [done] = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
    expect(done.voided.reason).toBe('The fitting was another one.');
    const twice = await shop.act(card, 'corrections', shop.lee, { words: 'x', notDone: tasks });
    expect(twice.code).toBe('reference_unknown');
    const by = await shop.act(card, 'corrections', shop.ben, { words: 'x' });
    expect(by.code).toBe('competence_missing');
  });

  test('nothing is checked or countersigned any more', async () => {
    const { card } = await signedOff();
    const stepIds = [card.steps[0].stepId];
    for (const act of ['checks', 'countersigns']) {
      expect((await shop.act(card, act, shop.ben, { stepIds })).code).toBe('card_state');
    }
  });

  test('what was changed behind the service shows in the seal', async () => {
    const { card } = await signedOff();
    const { owner } = app.db;
    await owner.query('begin');
    await owner.query('alter table liftwright.card_step disable row level security');
    await owner.query(
      `update liftwright.card_step set step = step || '{"title": "Nothing"}'
       where card_id = $1 and step_no = 1`,
      [card.cardId],
    );
    await owner.query('alter table liftwright.card_step enable row level security');
    await owner.query('commit');
    expect((await shop.read(card.cardId)).sealHolds).toBe(false);
  });
});

describe('the app role, whatever it tries', () => {
  const attack = async (cardId: string, sql: string) => {
    const client = await app.db.pools.app.connect();
    try {
      await client.query('begin');
      await client.query(`select set_config('liftwright.fleets', '{1}', true)`);
      const { rowCount } = await client.query(sql.replaceAll('CARD', `'${cardId}'::uuid`));
      return `${rowCount} rows`;
    } catch (error) {
      return (error as { code: string }).code;
    } finally {
      await client.query('rollback');
      client.release();
    }
  };
  const copy = (table: string, set: string) =>
    `insert into liftwright.${table} select (jsonb_populate_record(t, ${set})).*
     from liftwright.${table} t where card_id = CARD limit 1`;
  const fresh = `'01900000-0000-7000-8000-0000000000aa'`;

  test.each([
    [
      'the card back to work',
      `update liftwright.job_card set state = 'hands_on' where card_id = CARD`,
      '23001',
    ],
    ['another seal', `update liftwright.job_card set seal = null where card_id = CARD`, '23001'],
    [
      'other reasons',
      `update liftwright.job_card set reasons = '[]' where card_id = CARD`,
      '42501',
    ],
    ['no card', `delete from liftwright.job_card where card_id = CARD`, '42501'],
    ['another step', `update liftwright.card_step set step = '{}' where card_id = CARD`, '42501'],
    ['one step less', `delete from liftwright.card_step where card_id = CARD`, '42501'],
    [
      'one step more',
      copy('card_step', `jsonb_build_object('step_no', 99, 'step_id', ${fresh})`),
      '23001',
    ],
    [
      'another word',
      `update liftwright.step_command set result = 'not_done' where card_id = CARD`,
      '42501',
    ],
    ['one word less', `delete from liftwright.step_command where card_id = CARD`, '42501'],
    [
      'one word more, as if in time',
      copy('step_command', `jsonb_build_object('client_id', ${fresh})`),
      '23001',
    ],
    [
      'another name',
      `update liftwright.card_signature set person_name = 'X' where card_id = CARD`,
      '42501',
    ],
    ['one name less', `delete from liftwright.card_signature where card_id = CARD`, '42501'],
    [
      'one name more',
      copy('card_signature', `jsonb_build_object('signature_id', ${fresh})`),
      '23001',
    ],
  ])('gives a closed card %s', async (_what, sql, code) => {
    const card = await shop.write(['grease']);
    await shop.work(card, shop.ann);
    await shop.end(card, shop.ann);
    await shop.did(card, 'sign-off', shop.lee);
    expect(await attack(card.cardId, sql)).toBe(code);
  });

  test('an open card takes no correction and no late word', async () => {
    const card = await shop.write(['grease']);
    await shop.work(card, shop.ann);
    const late = copy('step_command', `jsonb_build_object('client_id', ${fresh}, 'late', true)`);
    expect(await attack(card.cardId, late)).toBe('23001');
    const correction = `insert into liftwright.card_correction (fleet_id, correction_id, card_id,
        words, tasks, person_id, person_name, key_id, recorded_at)
      select 1, ${fresh}, CARD, 'w', '[]', person_id, 'A', person_id, 'epoch'
      from liftwright.person limit 1`;
    expect(await attack(card.cardId, correction)).toBe('23001');
  });
});
