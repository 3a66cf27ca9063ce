import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { mustFindUnit } from '../../flows/must-find.ts';
import { readJobCard, readWhole, showCardRow, showJobCard } from '../../flows/show-job-card.ts';
import { proposedTasks, writeUpJobCard } from '../../flows/write-up-job-card.ts';
import { type JobCardRow, listJobCards } from '../../store/job-card.ts';
import { actor } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/job-card.ts';

function writingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards',
    tag: 'job cards',
    summary: 'Write up a job card: the work on one unit, step by step',
    description:
      'Steps are frozen as the lift pattern says now, in the order of the work, with a step for ' +
      'each move of the lift. Without tasks and points the card takes what is in its window or ' +
      'past its limit and on no open card yet, and says why.',
    duty: 'work_cards',
    body: s.newJobCard,
    answer: s.wholeJobCard,
    run: async (work, body, req) => {
      const named = body.points.length > 0 || body.findings.length > 0;
      const tasks =
        body.tasks === undefined && !named && body.kind === 'upkeep'
          ? await proposedTasks(work, body.unitId)
          : (body.tasks ?? []).map(({ assetId, task }) => ({ assetId, taskKey: task }));
      const row = await writeUpJobCard(work, actor(req), {
        unitId: body.unitId,
        kind: body.kind,
        tasks,
        points: body.points.map(({ assetId, point }) => ({ assetId, pointKey: point })),
        findings: body.findings,
        reasons: body.reasons,
        cause: null,
        visitId: body.visitId ?? null,
        follows: body.follows ?? null,
      });
      return { body: showJobCard(await readWhole(work.tx, row)) };
    },
  });
}

function readingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  listRoute(app, deps, {
    url: '/v1/job-cards',
    tag: 'job cards',
    summary: 'List job cards, the latest written up first',
    duty: 'read',
    query: z.object({
      unitId: id.optional(),
      state: s.cardState.optional(),
      kind: s.cardKind.optional(),
    }),
    item: s.jobCard,
    key: ['id'] as const,
    keyOf: (row: JobCardRow) => [row.cardId],
    show: showCardRow,
    read: (tx, req, after, limit) => listJobCards(tx, req.caller.fleetId, req.query, after, limit),
  });
  listRoute(app, deps, {
    url: '/v1/units/:unitId/job-cards',
    tag: 'job cards',
    summary: 'List the job cards of a unit, the latest written up first',
    duty: 'read',
    params: z.object({ unitId: id }),
    query: z.object({ state: s.cardState.optional() }),
    item: s.jobCard,
    key: ['id'] as const,
    keyOf: (row: JobCardRow) => [row.cardId],
    show: showCardRow,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, deps.clock.nowMs());
      return listJobCards(tx, fleetId, { unitId, state: req.query.state }, after, limit);
    },
  });
  getRoute(app, deps, {
    url: '/v1/job-cards/:cardId',
    tag: 'job cards',
    summary: 'A job card with its steps, what was said of them, and who signed',
    duty: 'read',
    params: z.object({ cardId: id }),
    answer: s.wholeJobCard,
    read: async (tx, req) =>
      showJobCard(await readJobCard(tx, req.caller.fleetId, req.params.cardId)),
  });
}

export async function jobCardRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  writingRoutes(app, deps);
  readingRoutes(app, deps);
}
