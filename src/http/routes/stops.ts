import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import type { Limits } from '../../domain/shop/limit.ts';
import { ALL_FUNCTIONS } from '../../domain/shop/stop.ts';
import { clearStop, endWaiting, extendStop } from '../../flows/act-on-stop.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { placeStop } from '../../flows/place-stop.ts';
import { showStop, showStopAct } from '../../flows/show-stop.ts';
import { listStopActs, listStops, type StopActRow, type StopRow } from '../../store/stop.ts';
import { actor, signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/stop.ts';

const tag = 'readiness';
const ofUnit = z.object({ unitId: id });
const one = z.object({ unitId: id, stopId: id });

function settingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/stops',
    tag,
    summary: 'Take functions of a unit away, or limit them',
    description:
      'It counts from the answer on. A work lock is signed by the person who is in it, a ' +
      'restriction by somebody of dispatch; a defect or an order of an inspector may come ' +
      'unsigned, because nothing must keep anybody from stopping a unit.',
    duty: 'set_stops',
    params: ofUnit,
    body: s.newStop,
    answer: s.stop,
    sign: { need: null, optional: true },
    run: async (work, body, req) => {
      const row = await placeStop(work, actor(req), req.signer, {
        unitId: req.params.unitId,
        assetId: body.assetId ?? null,
        kind: body.kind,
        functions: body.functions ?? ALL_FUNCTIONS,
        effect: body.effect,
        limits: body.limits as Limits,
        effective: body.effective,
        reason: body.reason,
        cause: null,
        untilMs: body.until === undefined ? null : toMs(body.until),
        findingId: null,
      });
      return { body: showStop(row, work.nowMs) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/units/:unitId/stops',
    tag,
    summary: 'The stops of a unit and of what is on it, the last set first',
    duty: 'read',
    params: ofUnit,
    query: s.openQuery,
    item: s.stop,
    key: ['id'] as const,
    keyOf: (row: StopRow) => [row.stopId],
    show: (row) => showStop(row, deps.clock.nowMs()),
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const atMs = deps.clock.nowMs();
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, atMs);
      const open = req.query.open === undefined ? undefined : req.query.open === 'true';
      return listStops(tx, fleetId, { unitId, atMs, open }, after, limit);
    },
  });
  listRoute(app, deps, {
    url: '/v1/stops/:stopId/acts',
    tag,
    summary: 'What was done with a stop, by whom, from setting it on',
    duty: 'read',
    params: z.object({ stopId: id }),
    item: s.stopAct,
    key: ['id'] as const,
    keyOf: (row: StopActRow) => [row.actId],
    show: showStopAct,
    read: (tx, req, after, limit) =>
      listStopActs(tx, req.caller.fleetId, req.params.stopId, after, limit),
  });
}

function endingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/stops/:stopId/clear',
    tag,
    summary: 'Clear a stop; whose it is says who may',
    description:
      'A work lock: the person who placed it, or by the written procedure a lead who did not. A ' +
      'defect: a lead, when its finding is closed. An order of an inspector: a lead, with the ' +
      'repairs certified. A restriction: somebody of dispatch. Others are refused with 409.',
    duty: 'set_stops',
    status: 200,
    params: one,
    body: s.stopClearing,
    answer: s.stop,
    sign: { need: null, fresh: true },
    run: async (work, { words, procedure = null, certification = null }, req) => {
      const input = { ...req.params, words, procedure, certification };
      return { body: showStop(await clearStop(work, signer(req), input), work.nowMs) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/stops/:stopId/extend',
    tag,
    summary: 'Say anew until when a stop is to stand',
    duty: 'set_stops',
    status: 200,
    params: one,
    body: s.stopExtension,
    answer: s.stop,
    sign: { need: null, fresh: true },
    run: async (work, { until, words }, req) => {
      const input = { ...req.params, words, untilMs: until === null ? null : toMs(until) };
      return { body: showStop(await extendStop(work, signer(req), input), work.nowMs) };
    },
  });
  for (const [act, summary] of [
    ['dropped', 'Say that the load is off: a stop that waited for it counts in full'],
    ['hasten', 'Let a stop not wait for the drop any longer'],
  ] as const) {
    postRoute(app, deps, {
      url: `/v1/units/:unitId/stops/:stopId/${act}`,
      tag,
      summary,
      duty: 'set_stops',
      status: 200,
      params: one,
      body: s.stopDrop,
      answer: s.stop,
      sign: { need: null, optional: true },
      run: async (work, { words }, req) => {
        const row = await endWaiting(work, actor(req), { ...req.params, act, words });
        return { body: showStop(row, work.nowMs) };
      },
    });
  }
}

export async function stopRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  settingRoutes(app, deps);
  endingRoutes(app, deps);
}
