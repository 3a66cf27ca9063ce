import { beforeAll, expect, test } from 'vitest';
import type { Competence } from '../../src/domain/shop/competence.ts';
import { checkSignature, type Signer, signerOf } from '../../src/flows/sign.ts';
import { mustMayCheck, mustMayCountersign, needsCountersign } from '../../src/flows/who-may.ts';
import { withWork } from '../../src/flows/work.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, type Signing, startMs, text } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let keyId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  ({ keyId } = await fleet.client.made('/v1/keys', { role: 'technician', name: 'phone' }));
});

const code = (promise: Promise<unknown>) =>
  promise.then(
    (value) => value,
    (error) => error.code,
  );
/** Runs with a person who has just signed. */
async function as<T>({ signature }: Signing, fn: (signer: Signer) => T, need?: Competence) {
  const checked = await checkSignature(app.deps, { fleetId: 1, keyId }, signature, true);
  return withWork(app.deps, 1, async (work) =>
    fn(await signerOf(work, keyId, checked, need ?? null)),
  );
}
const check = ({ signature }: Signing, doers: string[]) =>
  code(
    checkSignature(app.deps, { fleetId: 1, keyId }, signature).then((checked) =>
      withWork(app.deps, 1, async (work) =>
        mustMayCheck(work, await signerOf(work, keyId, checked, null), doers),
      ),
    ),
  );
const setOneMan = (oneMan: boolean) => fleet.client.patch('/v1/fleet', { oneMan });

test('a fleet of one checks its own work, declared, until a second person is there', async () => {
  const only = await fleet.person(['lift_work', 'lift_check', 'lead']);
  expect(await check(only, [only.personId])).toBe('second_person_needed');
  const set = await setOneMan(true);
  expect([set.status, set.body.oneMan]).toEqual([200, true]);
  expect(await check(only, [only.personId])).toBe('declared_self_check');
  // nobody declares it where it is not so
  const second = await fleet.person(['lift_work']);
  expect(await check(only, [only.personId])).toBe('second_person_needed');
  await setOneMan(false);
  const refused = await setOneMan(true);
  expect([refused.status, refused.code]).toEqual([409, 'not_alone']);
  await fleet.client.patch(`/v1/people/${second.personId}`, { leftAt: text(startMs) });
  expect((await setOneMan(true)).status).toBe(200);
  await app.settle();
  const events = await fleet.events({ type: 'fleet.changed', subject: 'fleet/1' });
  expect(events.map(({ data }) => data.oneMan)).toEqual([
    { from: false, to: true },
    { from: true, to: false },
    { from: false, to: true },
  ]);
  await setOneMan(false);
});

test('who did none of it and may check is a second person; a trainee is not', async () => {
  const doer = await fleet.person(['lift_work', 'lift_check']);
  const checker = await fleet.person(['lift_check']);
  const trainee = await fleet.person(['lift_work'], { passesNeeded: 2 });
  expect(await check(checker, [doer.personId])).toBe('second_person');
  expect(await check(doer, [doer.personId, trainee.personId])).toBe('second_person_needed');
  expect(await check(trainee, [doer.personId])).toBe('competence_missing');
  expect(await as(trainee, needsCountersign)).toBe(true);
  expect(await as(doer, needsCountersign)).toBe(false);
  expect(await code(as(checker, needsCountersign))).toBe('competence_missing');
  const countersigns = (who: Signing) =>
    code(as(who, (signer) => mustMayCountersign(signer, trainee.personId)));
  expect(await countersigns(doer)).toBeUndefined();
  expect(await countersigns(trainee)).toBe('second_person_needed');
  expect(await countersigns(await fleet.person(['driving']))).toBe('competence_missing');
});
