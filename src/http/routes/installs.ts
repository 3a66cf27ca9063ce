import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import {
  correctInstall,
  endInstall,
  swapInstalls,
  withdrawInstall,
} from '../../flows/correct-install.ts';
import { install as installFlow } from '../../flows/install.ts';
import { type InstallHistory, readInstall } from '../../flows/read-install.ts';
import { type InstallRow, listInstalls, lockInstalls } from '../../store/install.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/fleet.ts';

const showPeriod = ({ fromMs, toMs }: InstallRow['during']) => ({
  from: instantText(fromMs),
  to: instantTextOrNull(toMs),
});

const show = (row: InstallRow) => ({
  installId: row.installId,
  unitId: row.unitId,
  assetId: row.assetId,
  gatewayId: row.gatewayId,
  ...showPeriod(row.during),
  note: row.note,
});

const showHistory = ({ row, withdrawn, corrections }: InstallHistory) => ({
  ...show(row),
  withdrawn,
  corrections: corrections.map((each) => ({
    correctionId: each.correctionId,
    kind: each.kind,
    before: { unitId: each.unitId, ...showPeriod(each.during), note: each.note },
    after:
      each.newUnitId === null || each.newDuring === null
        ? null
        : { unitId: each.newUnitId, ...showPeriod(each.newDuring), note: each.newNote },
    reason: each.reason,
    by: each.recordedBy,
    at: instantText(each.recordedAtMs),
  })),
});

const one = z.object({ installId: id });

function beginningRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/installs',
    tag: 'fleet',
    summary: 'Put an asset or a gateway on a unit',
    duty: 'keep_fleet',
    body: s.newInstall,
    answer: s.install,
    run: async (work, { unitId, assetId, gatewayId, from, to, move, note = null }, req) => {
      const row = await installFlow(work, recorder(req), {
        unitId,
        what: assetId === undefined ? { gatewayId: gatewayId as string } : { assetId },
        fromMs: toMs(from),
        toMs: to === undefined ? null : toMs(to),
        move,
        note,
      });
      return { body: show(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/installs',
    tag: 'fleet',
    summary: 'List installs; those that were withdrawn are left out',
    duty: 'read',
    query: z.object({ unitId: id.optional() }),
    item: s.install,
    key: ['id'] as const,
    keyOf: (row: InstallRow) => [row.installId],
    show,
    read: (tx, req, after, limit) =>
      listInstalls(tx, req.caller.fleetId, { unitId: req.query.unitId }, after, limit),
  });
}

function correctingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  editRoutes(app, deps, {
    url: '/v1/installs/:installId',
    tag: 'fleet',
    get: {
      summary: 'An install with its corrections, and the ETag that a change of it needs',
      duty: 'read',
    },
    patch: {
      summary: 'Correct an install afterwards; use moves to the asset that it belongs to',
      duty: 'keep_fleet',
    },
    params: one,
    body: s.installChange,
    answer: s.installWithHistory,
    read: async (tx, req) =>
      showHistory(await readInstall(tx, req.caller.fleetId, req.params.installId)),
    lock: (tx, req) => lockInstalls(tx, req.caller.fleetId),
    change: (work, { unitId, from, to, note, reason }, req) =>
      correctInstall(work, recorder(req), req.params.installId, {
        unitId,
        fromMs: from === undefined ? undefined : toMs(from),
        toMs: typeof to === 'string' ? toMs(to) : to,
        note,
        reason,
      }),
  });
  postRoute(app, deps, {
    url: '/v1/installs/:installId/end',
    tag: 'fleet',
    summary: 'Take an asset or a gateway off its unit',
    duty: 'keep_fleet',
    status: 200,
    params: one,
    body: s.installEnd,
    answer: s.install,
    run: async (work, { at, reason = null }, req) => {
      const end = { atMs: toMs(at), reason };
      return { body: show(await endInstall(work, recorder(req), req.params.installId, end)) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/installs/:installId/withdraw',
    tag: 'fleet',
    summary: 'Say that an install never was',
    duty: 'keep_fleet',
    status: 200,
    params: one,
    body: s.installWithdrawal,
    answer: s.install,
    run: async (work, { reason }, req) => ({
      body: show(await withdrawInstall(work, recorder(req), req.params.installId, reason)),
    }),
  });
  postRoute(app, deps, {
    url: '/v1/installs/swap',
    tag: 'fleet',
    summary: 'Two units exchange their assets of one kind, or their gateways, at one moment',
    duty: 'keep_fleet',
    body: s.installSwap,
    answer: s.swappedInstalls,
    run: async (work, { unitIds, what, at, reason }, req) => {
      const swap = { unitIds, what, atMs: toMs(at), reason };
      return { body: { installs: (await swapInstalls(work, recorder(req), swap)).map(show) } };
    },
  });
}

export async function installRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  beginningRoutes(app, deps);
  correctingRoutes(app, deps);
}
