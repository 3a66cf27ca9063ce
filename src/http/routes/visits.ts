import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { cancelVisit, editVisit, mustFindVisit, planVisit } from '../../flows/plan-visit.ts';
import { lockThing } from '../../store/edit.ts';
import { listVisits, type VisitRow } from '../../store/visit.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, instant, toMs } from '../schemas/common.ts';
import * as s from '../schemas/visit.ts';

const show = (row: VisitRow) => ({
  visitId: row.visitId,
  unitId: row.unitId,
  yardId: row.yardId,
  bay: row.bay,
  from: instantText(row.during.fromMs),
  to: instantText(row.during.toMs as number),
  canSpareFrom: instantTextOrNull(row.canSpareFromMs),
  backBy: instantTextOrNull(row.backByMs),
  agreedBy: row.agreedBy,
  note: row.note,
  createdAt: instantText(row.createdAtMs),
  cancelled:
    row.cancelledAtMs === null
      ? null
      : { reason: row.cancelReason ?? '', at: instantText(row.cancelledAtMs) },
});

const one = z.object({ visitId: id });
const msOrNull = (text: string | undefined) => (text === undefined ? null : toMs(text));
/** Undefined: left as it is; null: taken away. */
const msChange = (text: string | null | undefined) =>
  typeof text === 'string' ? toMs(text) : text;

function planningRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/visits',
    tag: 'shop',
    summary: 'Plan a visit of a unit to a bay, from-to, as agreed with dispatch',
    duty: 'plan_visits',
    body: s.newVisit,
    answer: s.visit,
    tagged: true,
    run: async (work, body, req) => {
      const row = await planVisit(work, recorder(req), {
        unitId: body.unitId,
        yardId: body.yardId,
        bay: body.bay,
        fromMs: toMs(body.from),
        toMs: toMs(body.to),
        canSpareFromMs: msOrNull(body.canSpareFrom),
        backByMs: msOrNull(body.backBy),
        agreedBy: body.agreedBy ?? null,
        note: body.note ?? null,
      });
      return { body: show(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/visits',
    tag: 'shop',
    summary: 'List visits by their beginning',
    duty: 'read',
    query: z.object({
      unitId: id.optional(),
      yardId: id.optional(),
      from: instant.optional().meta({ description: 'Only visits that last beyond this.' }),
      to: instant.optional().meta({ description: 'Only visits that begin before this.' }),
      cancelled: z.enum(['true', 'false']).optional(),
    }),
    item: s.visit,
    key: ['serial', 'id'] as const,
    keyOf: (row: VisitRow) => [row.during.fromMs, row.visitId],
    show,
    read: (tx, req, after, limit) => {
      const { unitId, yardId, from, to, cancelled } = req.query;
      const filter = {
        unitId,
        yardId,
        fromMs: from === undefined ? undefined : toMs(from),
        toMs: to === undefined ? undefined : toMs(to),
        cancelled: cancelled === undefined ? undefined : cancelled === 'true',
      };
      return listVisits(tx, req.caller.fleetId, filter, after, limit);
    },
  });
}

export async function visitRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  planningRoutes(app, deps);
  editRoutes(app, deps, {
    url: '/v1/visits/:visitId',
    tag: 'shop',
    get: { summary: 'A visit, with the ETag that a change of it needs', duty: 'read' },
    patch: {
      summary: 'Change a visit; other times or another yard must be agreed upon anew',
      duty: 'plan_visits',
    },
    params: one,
    body: s.visitChange,
    answer: s.visit,
    read: async (tx, req) => show(await mustFindVisit(tx, req.caller.fleetId, req.params.visitId)),
    lock: (tx, req) => lockThing(tx, req.caller.fleetId, 'visit', req.params.visitId),
    change: (work, { from, to, canSpareFrom, backBy, ...body }, req) =>
      editVisit(work, recorder(req), req.params.visitId, {
        ...body,
        fromMs: from === undefined ? undefined : toMs(from),
        toMs: to === undefined ? undefined : toMs(to),
        canSpareFromMs: msChange(canSpareFrom),
        backByMs: msChange(backBy),
      }),
  });
  postRoute(app, deps, {
    url: '/v1/visits/:visitId/cancel',
    tag: 'shop',
    summary: 'Call a visit off, with the reason; its bay is free again',
    duty: 'plan_visits',
    status: 200,
    params: one,
    body: s.visitCancellation,
    answer: s.visit,
    run: async (work, { reason }, req) => {
      const { visitId } = req.params;
      await lockThing(work.tx, work.fleetId, 'visit', visitId);
      return { body: show(await cancelVisit(work, recorder(req), visitId, reason)) };
    },
  });
}
