import fc from 'fast-check';
import { v7 as uuid } from 'uuid';
import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { dayMs, hourMs, startMs, text } from '../helpers/fleet.ts';
import { Shop } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
});

const begun = async (...tasks: string[]) => {
  const card = await shop.write(tasks.length > 0 ? tasks : ['grease']);
  await shop.did(card, 'begin', shop.ann);
  return card;
};
const stepOf = (card: Json, work: string) => card.steps.find((s: Json) => s.work === work);
const resultOf = async (card: Json, step: Json) =>
  (await shop.read(card.cardId)).steps.find((s: Json) => s.stepId === step.stepId);
const post = (card: Json, commands: unknown[], by = shop.ann) =>
  shop.did(card, 'commands', by, { commands });

describe('a batch', () => {
  test('is answered command by command, and a bad one harms no other', async () => {
    const card = await begun();
    const good = shop.command(stepOf(card, 'first_look'), 'done', { tap: 'sound' });
    const also = shop.command(stepOf(card, 'grease'), 'done', { tap: 'took_grease' });
    const elsewhere = { ...good, clientId: uuid(), stepId: uuid() };
    const { verdicts } = await post(card, [
      good,
      'what?',
      { ...good, clientId: 'x' },
      elsewhere,
      { ...also, clientId: uuid(), tap: 'took_none' },
      also,
    ]);
    expect(verdicts.map((each: Json) => each.verdict)).toEqual([
      'taken',
      'refused',
      'refused',
      'refused',
      'refused',
      'taken',
    ]);
    expect(verdicts[2]).toMatchObject({ clientId: 'x', errors: [{ path: '/clientId' }] });
    expect(verdicts[4].detail).toMatch(/tap says not_right/);
    expect((await resultOf(card, stepOf(card, 'grease'))).result).toBe('done');
  });

  test.each<[string, string, string, object, RegExp]>([
    [
      'a move without anybody at the controls',
      'function_test',
      'done',
      { atControls: null },
      /controls/,
    ],
    ['a stranger at the controls', 'function_test', 'done', { atControls: uuid() }, /nobody/],
    ['not done without a reason', 'grease', 'not_done', { reason: null }, /reason/],
    ['other without words', 'grease', 'not_done', { reason: 'other' }, /words/],
    ['a reason for what was done', 'grease', 'done', { reason: 'no_time' }, /reason/],
    ['not right without a find', 'grease', 'not_right', { find: null }, /find/],
    ['a find in what was done', 'grease', 'done', { find: { grade: 'unfit' } }, /find/],
    ['not right without saying what', 'grease', 'not_right', { words: null }, /tap or in words/],
    ['a tap of another step', 'grease', 'done', { tap: 'mark_whole' }, /no such tap/],
    [
      'a find elsewhere',
      'grease',
      'not_right',
      { find: { grade: 'unfit', point: 'bolt' } },
      /point/,
    ],
    [
      'a wear part that is not there',
      'grease',
      'done',
      { measurement: { part: 'pad', value: 1, unit: 'mm' } },
      /wear part/,
    ],
  ])('%s is refused', async (_what, work, result, more, why) => {
    const card = await begun();
    const { verdicts } = await post(card, [shop.command(stepOf(card, work), result, more)]);
    expect(verdicts[0].verdict).toBe('refused');
    expect(verdicts[0].detail).toMatch(why);
    expect((await resultOf(card, stepOf(card, work))).said).toEqual([]);
  });

  test.each<[string, object, string]>([
    ['no time', { at: undefined }, '/at'],
    ['a day that is none', { find: { grade: 'mend_by', mendByDay: 'soon' } }, '/find/mendByDay'],
    ['mend by without a day', { find: { grade: 'mend_by' } }, '/find/mendByDay'],
    ['a grade that is none', { find: { grade: 'sound' } }, '/find/grade'],
    ['a measurement without a size', { measurement: { tool: 'caliper' } }, '/measurement'],
    ['a key that is none', { colour: 'red' }, '/colour'],
    ['half a character', { words: '\ud800' }, '/words'],
    ['words without end', { words: 'x'.repeat(1001) }, '/words'],
    ['more replaced than there can be', { replaces: Array(21).fill(uuid()) }, '/replaces'],
  ])('%s is told with its place', async (_what, more, path) => {
    const card = await begun();
    const command = shop.command(stepOf(card, 'grease'), 'not_right', more);
    const { verdicts } = await post(card, [command]);
    expect(verdicts[0].verdict).toBe('refused');
    expect(verdicts[0].errors.map((each: Json) => each.path)).toContain(path);
  });

  test('before the card is begun nothing is taken: it is sent again', async () => {
    const card = await shop.write(['grease']);
    const command = shop.command(stepOf(card, 'grease'));
    expect(await shop.tell(card, shop.ann, command)).toEqual(['refused']);
    await shop.did(card, 'begin', shop.ann);
    expect(await shop.tell(card, shop.ann, command)).toEqual(['taken']);
  });

  test('of more than a batch holds nothing is taken', async () => {
    const card = await begun();
    const commands = Array(101).fill(shop.command(stepOf(card, 'grease')));
    expect((await shop.act(card, 'commands', shop.ann, { commands })).code).toBe('body_invalid');
  });
});

describe('the same again', () => {
  test('changes nothing; another under the same client id is told and does not stand', async () => {
    const card = await begun();
    const step = stepOf(card, 'grease');
    const command = shop.command(step, 'done', { at: text(startMs), words: 'Well.' });
    const rewritten = { ...command, at: '2026-03-02T12:00:00-06:00' };
    expect(await shop.tell(card, shop.ann, command, command)).toEqual(['taken', 'duplicate']);
    expect(await shop.tell(card, shop.ann, rewritten)).toEqual(['duplicate']);
    expect(await shop.tell(card, shop.ben, command), 'said by another').toEqual(['conflict']);
    const other = { ...command, words: 'Badly.' };
    expect(await shop.tell(card, shop.ann, other)).toEqual(['conflict']);
    const { said } = await resultOf(card, step);
    expect(said.map((each: Json) => each.words)).toEqual(['Well.']);
  });

  test('not right told twice is one report of one finding', async () => {
    const card = await begun();
    const command = shop.command(stepOf(card, 'grease'), 'not_right', { tap: 'took_none' });
    const first = await post(card, [command]);
    await post(card, [command]);
    const { findingId } = first.verdicts[0];
    const { rows } = await app.db.owner.query(
      'select reports, words from liftwright.finding where finding_id = $1',
      [findingId],
    );
    expect(rows).toEqual([{ reports: 1, words: 'It took no grease. It is bent.' }]);
  });
});

describe('two people on a step', () => {
  test('the worse holds until one puts the other right', async () => {
    const card = await begun();
    const step = stepOf(card, 'grease');
    const wrong = shop.command(step, 'not_right', { at: text(startMs - hourMs) });
    await shop.tell(card, shop.ben, wrong);
    await shop.tell(card, shop.ann, shop.command(step));
    expect(await resultOf(card, step)).toMatchObject({ result: 'not_right', disputed: true });
    const right = shop.command(step, 'done', { replaces: [wrong.clientId] });
    await shop.tell(card, shop.ann, right);
    expect(await resultOf(card, step)).toMatchObject({ result: 'done', disputed: false });
  });
});

describe('clocks of phones', () => {
  test('work counts when it was done, never before the card nor after it came', async () => {
    app.clock.set(startMs + 2 * dayMs);
    const card = await begun();
    app.clock.set(startMs + 5 * dayMs);
    const step = stepOf(card, 'grease');
    const times: [string, string][] = [
      [text(startMs + 3 * dayMs), text(startMs + 3 * dayMs)],
      ['1999-01-01T00:00:00Z', card.writtenUpAt],
      ['2099-01-01T00:00:00Z', text(startMs + 5 * dayMs)],
    ];
    for (const [at, counts] of times) {
      const command = shop.command(step, 'done', { at });
      await shop.tell(card, shop.ann, command);
      const { said } = await resultOf(card, step);
      const mine = said.find((each: Json) => each.clientId === command.clientId);
      expect(mine).toMatchObject({ at: counts, receivedAt: text(startMs + 5 * dayMs) });
    }
    app.clock.set(startMs);
  });
});

/** What a card shows of its steps, without when it heard of them. */
const shownSteps = (card: Json) =>
  card.steps.map(({ stepNo, result, disputed, doneAt, said }: Json) => ({
    ...{ stepNo, result, disputed, doneAt },
    said: said.map(({ clientId, result: each, by }: Json) => [clientId, each, by.personId]).sort(),
  }));

test('any order, twice, in any batches, from two phones: one card', async () => {
  const model = await begun('grease', 'bolts');
  const results = fc.array(
    fc.record({
      step: fc.nat(model.steps.length - 1),
      result: fc.constantFrom('done', 'not_done'),
      minute: fc.nat(3),
      who: fc.constantFrom('ann', 'ben'),
      replaces: fc.array(fc.nat(9), { maxLength: 2 }),
    }),
    { minLength: 3, maxLength: 8 },
  );
  const cards = fc.tuple(results, fc.array(fc.nat(), { minLength: 40, maxLength: 40 }));
  await fc.assert(
    fc.asyncProperty(cards, async ([told, dice]) => {
      const ids = told.map(() => uuid());
      const play = async (order: number[], sizes: number[]) => {
        const card = await begun('grease', 'bolts');
        // A client id is the phone's own; on another card it is another command.
        const all = order.map((i) => {
          const { step, result, minute, replaces } = told[i]!;
          return shop.command(card.steps[step], result, {
            clientId: ids[i],
            at: text(startMs + minute * 60_000),
            replaces: replaces.flatMap((n) => ids[n] ?? []),
          });
        });
        for (let i = 0, b = 0; i < all.length; b += 1) {
          const size = 1 + ((sizes[b] ?? 0) % 3);
          for (const who of ['ann', 'ben'] as const) {
            const batch = all.slice(i, i + size).filter((_, k) => told[order[i + k]!]!.who === who);
            await post(card, batch, shop[who]);
          }
          i += size;
        }
        return shownSteps(await shop.read(card.cardId));
      };
      const straight = told.map((_, i) => i);
      const shuffled = [...straight].sort((a, b) => (dice[a] ?? 0) - (dice[b] ?? 0));
      const twice = [...shuffled, ...dice.slice(0, 4).map((n) => n % told.length)];
      expect(await play(twice, dice)).toEqual(await play(straight, []));
    }),
    { numRuns: 5 },
  );
});

describe('what comes when the card is closed', () => {
  const closed = async (left: string) => {
    const truck = await shop.newTruck();
    const card = await shop.write(['grease'], {}, truck);
    await shop.did(card, 'begin', shop.ann);
    const steps = card.steps.filter((step: Json) => step.work !== left);
    await shop.tell(card, shop.ann, ...steps.map((step: Json) => shop.command(step)));
    await shop.end(card, shop.ann, { restNotDone: 'The phone of the other is dead.' });
    await shop.did(card, 'sign-off', shop.lee);
    return { card, truck };
  };
  const settle = (card: Json, clientId: string, decision: string) =>
    shop.did(card, `late-commands/${clientId}/settle`, shop.lee, { decision, words: 'I saw it.' });
  const waiting = async (card: Json) =>
    (await shop.client.all(`/v1/late-step-commands?cardId=${card.cardId}`, 1)).map(
      ({ clientId }) => clientId,
    );

  test('waits for a word; what counts makes the task done, when it was', async () => {
    const { card, truck } = await closed('grease');
    const before = await shop.read(card.cardId);
    app.clock.set(startMs + 3 * dayMs);
    const late = shop.command(stepOf(card, 'grease'), 'done', { at: text(startMs + hourMs) });
    expect(await shop.tell(card, shop.ben, late, late)).toEqual(['kept_for_review', 'duplicate']);
    expect(await waiting(card)).toEqual([late.clientId]);
    const meanwhile = await shop.read(card.cardId);
    expect(meanwhile.seal).toBe(before.seal);
    expect(meanwhile.sealHolds).toBe(true);
    expect(stepOf(meanwhile, 'grease')).toMatchObject({
      result: null,
      said: [{ late: true, review: 'waits' }],
    });
    const url = `/v1/assets/${truck.liftId}/dones`;
    expect(await shop.client.all(url)).toEqual([]);
    const settled = await settle(card, late.clientId, 'counts');
    expect(settled.corrections).toMatchObject([
      { clientId: late.clientId, decision: 'counts', tasks: [{ task: 'grease' }] },
    ]);
    expect(stepOf(settled, 'grease')).toMatchObject({ result: null, said: [{ review: 'counts' }] });
    expect(await shop.client.all(url)).toMatchObject([
      { task: 'grease', at: text(startMs + hourMs), cardId: card.cardId },
    ]);
    expect(await waiting(card)).toEqual([]);
    const again = await shop.act(card, `late-commands/${late.clientId}/settle`, shop.lee, {
      ...{ decision: 'does_not_count', words: 'No.' },
    });
    expect(again.code).toBe('nothing_to_decide');
    app.clock.set(startMs);
  });

  test('what does not count leaves everything as it was', async () => {
    const { card, truck } = await closed('grease');
    const late = shop.command(stepOf(card, 'grease'));
    await shop.tell(card, shop.ben, late);
    await settle(card, late.clientId, 'does_not_count');
    expect(await shop.client.all(`/v1/assets/${truck.liftId}/dones`)).toEqual([]);
    expect(await waiting(card)).toEqual([]);
  });

  test('a find is a finding at once, and what is unfit stops the unit', async () => {
    const { card, truck } = await closed('grease');
    const late = shop.command(stepOf(card, 'first_look'), 'not_right', {
      find: { grade: 'unfit', point: 'pin' },
    });
    const { verdicts, state } = await post(card, [late], shop.ben);
    expect(state).toBe('signed_off');
    expect(verdicts[0].verdict).toBe('kept_for_review');
    expect(verdicts[0].stopId).not.toBeNull();
    expect(await shop.stops(truck)).toMatchObject([{ kind: 'defect' }]);
  });

  test('also on a card that was withdrawn; there nothing becomes done by it', async () => {
    const truck = await shop.newTruck();
    const card = await shop.write(['look'], {}, truck);
    await shop.did(card, 'withdraw', shop.lee, { words: 'Not wanted.' });
    const late = card.steps.map((step: Json) => shop.command(step));
    expect(new Set(await shop.tell(card, shop.ann, ...late))).toEqual(new Set(['kept_for_review']));
    for (const { clientId } of late) await settle(card, clientId, 'counts');
    expect(await shop.client.all(`/v1/assets/${truck.liftId}/dones`)).toEqual([]);
  });

  test('who is no lead does not say what counts', async () => {
    const { card } = await closed('grease');
    const late = shop.command(stepOf(card, 'grease'));
    await shop.tell(card, shop.ben, late);
    const url = `late-commands/${late.clientId}/settle`;
    const answer = await shop.act(card, url, shop.ben, { decision: 'counts', words: 'x' });
    expect(answer.code).toBe('competence_missing');
    const nowhere = await shop.act(card, `late-commands/${uuid()}/settle`, shop.lee, {
      ...{ decision: 'counts', words: 'x' },
    });
    expect(nowhere.code).toBe('not_found');
  });
});

describe('at once', () => {
  test('two phones that send the same: each command is taken by one of them', async () => {
    const card = await begun('grease', 'bolts');
    const commands = card.steps.map((step: Json) => shop.command(step));
    const answers = await Promise.all([1, 2, 3].map(() => post(card, commands)));
    for (const i of commands.keys()) {
      const words = answers.map(({ verdicts }: Json) => verdicts[i].verdict).sort();
      expect(words).toEqual(['duplicate', 'duplicate', 'taken']);
    }
  });

  test('signed off while a phone sends: in time or kept for review, nothing between', async () => {
    for (let round = 0; round < 3; round += 1) {
      const truck = await shop.newTruck();
      const card = await shop.write(['grease'], {}, truck);
      await shop.did(card, 'begin', shop.ann);
      const rest = card.steps.filter((step: Json) => step.work !== 'grease');
      await shop.tell(card, shop.ann, ...rest.map((step: Json) => shop.command(step)));
      await shop.end(card, shop.ann, { restNotDone: 'No time.' });
      const [told] = await Promise.all([
        shop.tell(card, shop.ben, shop.command(stepOf(card, 'grease'))),
        shop.did(card, 'sign-off', shop.lee),
      ]);
      const dones = await shop.client.all(`/v1/assets/${truck.liftId}/dones`);
      expect([told[0], dones.length]).toEqual(
        told[0] === 'taken' ? ['taken', 1] : ['kept_for_review', 0],
      );
      expect((await shop.read(card.cardId)).sealHolds).toBe(true);
    }
  });
});
