import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import type { Limits } from '../../domain/shop/limit.ts';
import { localDay } from '../../domain/usage/local-day.ts';
import { deferTask } from '../../flows/defer-task.ts';
import { showDeferral, showListedDeferral } from '../../flows/show-deferral.ts';
import { type ListedDeferral, listDeferrals } from '../../store/upkeep.ts';
import { recorder, signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/upkeep.ts';

/** The zone in which a day ends last: a deferral is not called over before it is everywhere. */
const lastZone = 'Etc/GMT+12';

export async function deferralRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/tasks/:taskKey/deferrals',
    tag: 'upkeep',
    summary: 'Defer a task until a day and an amount of use; the lead who signs approves it',
    description:
      'It ends by its day or its use, whichever comes first. Its restriction limits readiness ' +
      'while it runs. Legal dates are never put off, nor what is unfit.',
    duty: 'decide_work',
    params: z.object({ unitId: id, taskKey: z.string().min(1).max(80) }),
    body: s.newDeferral,
    answer: s.deferral,
    sign: { need: 'lead', fresh: true },
    run: async (work, body, req) => {
      const row = await deferTask(work, recorder(req), signer(req), {
        ...req.params,
        assetId: body.assetId ?? null,
        untilDay: body.untilDay,
        untilUse: body.untilUse,
        restriction: body.restriction,
        effect: body.effect ?? null,
        functions: body.functions ?? null,
        limits: body.limits as Limits,
        reason: body.reason,
      });
      return { body: showDeferral(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/deferrals',
    tag: 'upkeep',
    summary: 'What was put off, by whom, until when and with which restriction',
    duty: 'read',
    query: z.object({
      unitId: id.optional().meta({ description: 'Of what is on this unit now.' }),
      open: z.enum(['true', 'false']).default('false').meta({
        description: 'true: without those whose place another one took.',
      }),
    }),
    item: s.listedDeferral,
    key: ['id'] as const,
    keyOf: (row: ListedDeferral) => [row.deferralId],
    show: (row) => showListedDeferral(row, localDay(deps.clock.nowMs(), lastZone)),
    read: (tx, req, after, limit) => {
      const { unitId = null, open } = req.query;
      const filter = { unitId, open: open === 'true', atMs: deps.clock.nowMs() };
      return listDeferrals(tx, req.caller.fleetId, filter, after, limit);
    },
  });
}
