import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { needsPerson } from '../../domain/usage/verdict.ts';
import { declareCounters, issueEpoch, shownCounters } from '../../flows/declare-counters.ts';
import { editGateway } from '../../flows/edit-fleet.ts';
import { noteJoinRefused } from '../../flows/join-controller.ts';
import { addGateway, replaceGatewayKey } from '../../flows/keep-fleet.ts';
import { mustFindGateway } from '../../flows/must-find.ts';
import { readVerdicts } from '../../flows/read-verdicts.ts';
import { lockThing } from '../../store/edit.ts';
import { type GatewayWithContact, listGateways } from '../../store/gateway.ts';
import { editRoutes } from '../edit-routes.ts';
import { gatewayOf, gatewayParams as params } from '../gateway-params.ts';
import { recorder } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/fleet.ts';
import { verdicts } from '../schemas/usage.ts';

const show = (row: GatewayWithContact) => ({
  gatewayId: row.gatewayId,
  serial: row.serial,
  note: row.note,
  createdAt: instantText(row.createdAtMs),
  lastPostAt: instantTextOrNull(row.lastPostAtMs),
  states: row.states,
});

const showVerdicts = (found: Awaited<ReturnType<typeof readVerdicts>>) => ({
  items: found.verdicts.map(({ atMs, detail, verdict, ...rest }) => ({
    ...rest,
    verdict,
    ...detail,
    at: instantText(atMs),
    needsPerson: needsPerson(verdict),
  })),
  conflicts: found.conflicts.map(({ atMs, receivedAtMs, ...rest }) => ({
    ...rest,
    at: instantText(atMs),
    receivedAt: instantText(receivedAtMs),
  })),
});

function keepingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/gateways',
    tag: 'gateways',
    summary: 'Add a gateway; the answer shows its key, once',
    duty: 'keep_fleet',
    body: s.newGateway,
    answer: s.gateway,
    run: async (work, { serial, note = null }) => {
      const { row, secret } = await addGateway(work, { serial, note });
      return {
        body: { ...show({ ...row, lastPostAtMs: null, states: [] }), key: null },
        once: { key: secret },
      };
    },
  });
  listRoute(app, deps, {
    url: '/v1/gateways',
    tag: 'gateways',
    summary: 'List gateways; `state` finds those that need somebody',
    duty: 'read',
    query: s.gatewayQuery,
    item: s.gateway,
    key: ['id'] as const,
    keyOf: (row: GatewayWithContact) => [row.gatewayId],
    show,
    read: (tx, req, after, limit) =>
      listGateways(tx, req.caller.fleetId, after, limit, req.query.state),
  });
  editRoutes(app, deps, {
    url: '/v1/gateways/:gatewayId',
    tag: 'gateways',
    get: { summary: 'A gateway, with the ETag that a change of it needs', duty: 'see_gateway' },
    patch: { summary: 'Correct the serial or note of a gateway', duty: 'keep_fleet' },
    // `me` has a route of its own, which answers more.
    params: z.object({ gatewayId: id }),
    body: s.gatewayChange,
    answer: s.gatewayRecord,
    read: async (tx, req) => {
      const row = await mustFindGateway(tx, req.caller.fleetId, gatewayOf(req));
      const { gatewayId, serial, note, createdAt } = show(row);
      return { gatewayId, serial, note, createdAt };
    },
    lock: (tx, req) => lockThing(tx, req.caller.fleetId, 'gateway', gatewayOf(req)),
    change: (work, body, req) => editGateway(work, recorder(req), gatewayOf(req), body),
  });
  postRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/keys',
    tag: 'gateways',
    summary: 'Give a gateway a new key; the one before lives on, older ones end',
    duty: 'keep_fleet',
    params: z.object({ gatewayId: id }),
    body: z.strictObject({}).meta({ id: 'NewGatewayKey' }),
    answer: s.gateway,
    run: async (work, _body, req) => {
      const { row, secret } = await replaceGatewayKey(work, req.params.gatewayId);
      return { body: { ...show(row), key: null }, once: { key: secret } };
    },
  });
}

function countingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/counters',
    tag: 'gateways',
    summary: 'Declare what a gateway counts, once each',
    duty: 'declare_counters',
    status: 200,
    params,
    body: s.newCounters,
    answer: s.counters,
    run: async (work, body, req) => {
      const declared = body.counters.map((counter) => ({
        ...counter,
        controller: counter.controller ?? null,
      }));
      const trusted = req.caller.role !== 'gateway';
      return {
        body: { counters: await declareCounters(work, gatewayOf(req), declared, trusted) },
      };
    },
    refused: async (problem, body, req) => {
      if (problem.code !== 'controller_elsewhere') return;
      const named = body.counters.flatMap((each) => each.controller ?? []);
      await noteJoinRefused(deps, req.caller.fleetId, gatewayOf(req), named);
    },
  });
  getRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/counters',
    tag: 'gateways',
    summary: 'The counters of a gateway, with where each of their streams stands',
    duty: 'see_gateway',
    params,
    answer: s.counters,
    read: async (tx, req) => {
      const gatewayId = gatewayOf(req);
      const { fleetId } = req.caller;
      await mustFindGateway(tx, fleetId, gatewayId);
      return { counters: await shownCounters(tx, fleetId, gatewayId) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/epochs',
    tag: 'gateways',
    summary: 'Begin a new epoch of a counter; its numbers start again at 0',
    duty: 'declare_counters',
    params,
    body: s.newEpoch,
    answer: s.epoch,
    run: async (work, body, req) => ({ body: await issueEpoch(work, gatewayOf(req), body) }),
  });
  getRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/verdicts',
    tag: 'gateways',
    summary: 'What became of readings that were not plainly accepted, newest last',
    duty: 'see_gateway',
    params,
    answer: verdicts,
    read: async (tx, req) => {
      const gatewayId = gatewayOf(req);
      const { fleetId } = req.caller;
      await mustFindGateway(tx, fleetId, gatewayId);
      return showVerdicts(await readVerdicts(tx, fleetId, gatewayId));
    },
  });
}

export async function gatewayRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  keepingRoutes(app, deps);
  countingRoutes(app, deps);
}
