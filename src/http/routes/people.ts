import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import {
  addPerson,
  beginSignIn,
  editPerson,
  endSignIn,
  mustFindPerson,
  preparePin,
  setPin,
} from '../../flows/keep-people.ts';
import { showPerson, showPersonNow, showSignIn } from '../../flows/show-person.ts';
import { checkSignature } from '../../flows/sign.ts';
import { listPeople, lockPerson, type PersonRow } from '../../store/person.ts';
import { listSignIns, type SignInRow } from '../../store/sign-in.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/person.ts';

const tag = 'people';
const one = z.object({ personId: id });

function keepingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/people',
    tag,
    summary: 'Take a person in, who signs nothing before a PIN is set',
    duty: 'keep_people',
    body: s.newPerson,
    answer: s.person,
    run: async (work, body, req) => ({
      body: showPerson(await addPerson(work, recorder(req), body)),
    }),
  });
  listRoute(app, deps, {
    url: '/v1/people',
    tag,
    summary: 'List people by name',
    duty: 'read_people',
    query: z.object({
      here: z.enum(['true', 'false']).default('false').meta({
        description: 'true: without those who have left.',
      }),
    }),
    item: s.person,
    key: ['text', 'id'] as const,
    keyOf: (row: PersonRow) => [row.name, row.personId],
    show: showPerson,
    read: (tx, req, after, limit) =>
      listPeople(tx, req.caller.fleetId, req.query.here === 'true', after, limit),
  });
  editRoutes(app, deps, {
    url: '/v1/people/:personId',
    tag,
    get: {
      summary: 'A person and what they may do now, with the ETag that a change needs',
      duty: 'read_people',
    },
    patch: { summary: 'Rename a person, or say that they left or came back', duty: 'keep_people' },
    params: one,
    body: s.personChange,
    answer: s.personNow,
    read: (tx, req) =>
      showPersonNow(tx, req.caller.fleetId, req.params.personId, deps.clock.nowMs()),
    lock: (tx, req) => lockPerson(tx, req.caller.fleetId, req.params.personId),
    change: (work, { name, leftAt }, req) => {
      const leftAtMs = typeof leftAt === 'string' ? toMs(leftAt) : leftAt;
      return editPerson(work, recorder(req), req.params.personId, { name, leftAtMs });
    },
  });
}

function pinRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/people/:personId/pin',
    tag,
    summary: 'Set or change a PIN; every sign-in of the person ends',
    duty: 'sign',
    status: 200,
    params: one,
    body: s.newPin,
    answer: s.person,
    receipt: false,
    sign: { need: null, fresh: true, optional: true },
    before: (body, req) => preparePin(deps, req.caller.keyId, body.newPin),
    run: async (work, _body, req, hash) => {
      const { signer } = req;
      const person = await setPin(work, recorder(req), req.params.personId, { hash, signer });
      return { body: showPerson(person) };
    },
  });
}

function signInRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/people/:personId/sign-ins',
    tag,
    summary: 'Sign in on this phone; the answer shows the token, once',
    description:
      'A person who signs in can be switched to without the PIN for what a sign-in is enough ' +
      'for. It goes with the key that asks, and takes the place of an earlier one there.',
    duty: 'sign',
    params: one,
    body: s.newSignIn,
    answer: s.begunSignIn,
    receipt: false,
    before: ({ pin }, req) =>
      checkSignature(deps, req.caller, { personId: req.params.personId, pin }),
    run: async (work, { minutes }, req, checked) => {
      const { token, ...row } = await beginSignIn(work, req.caller, checked, minutes * 60_000);
      return { body: { ...showSignIn(row), token } };
    },
  });
  listRoute(app, deps, {
    url: '/v1/people/:personId/sign-ins',
    tag,
    summary: 'List the sign-ins of a person that hold now',
    duty: 'read_people',
    params: one,
    item: s.signIn,
    key: ['id'] as const,
    keyOf: (row: Omit<SignInRow, 'tokenSha256'>) => [row.signInId],
    show: showSignIn,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      await mustFindPerson(tx, fleetId, req.params.personId);
      const nowMs = deps.clock.nowMs();
      return listSignIns(tx, fleetId, req.params.personId, nowMs, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/people/:personId/sign-ins/:signInId/end',
    tag,
    summary: 'End a sign-in before its time',
    duty: 'sign',
    status: 200,
    params: one.extend({ signInId: id }),
    body: s.signInEnd,
    answer: z.object({ signInId: id }).meta({ id: 'EndedSignIn' }),
    run: async (work, _body, req) => {
      const { personId, signInId } = req.params;
      await endSignIn(work, personId, signInId);
      return { body: { signInId } };
    },
  });
}

export async function peopleRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  keepingRoutes(app, deps);
  pinRoutes(app, deps);
  signInRoutes(app, deps);
}
